package labels

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"
)

// notoFonts is the folder that stands for the yard's own fonts.
const notoFonts = "/usr/share/fonts/truetype/noto"

func testFonts(tb testing.TB) *Fonts {
	tb.Helper()
	f, err := LoadFonts(notoFonts)
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

// payloads gives n codes of a kind.
func payloads(kind Kind, n int) []string {
	var out []string
	for last := ""; len(out) < n; {
		s, p := NextSerial(kind, last)
		out, last = append(out, p), s
	}
	return out
}

// face paints a stand-in for a photo.
func face() []byte {
	img := image.NewRGBA(image.Rect(0, 0, 300, 420))
	for y := range 420 {
		for x := range 300 {
			c := color.RGBA{205, 215, 225, 255}
			dx, dy := float64(x-150)/70, float64(y-160)/90
			if dx*dx+dy*dy < 1 {
				c = color.RGBA{190, 140, 110, 255}
			}
			if bx, by := float64(x-150)/140, float64(y-420)/170; bx*bx+by*by < 1 {
				c = color.RGBA{40, 80, 110, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	_ = png.Encode(&b, img)
	return b.Bytes()
}

const longPart = "Bulkhead between the forward cabin and the chain locker, carbon skins on foam core, with the doublers for the " +
	"windlass bracket, the anchor roller and the inner forestay, bonded and taped both sides, including all cable and hose " +
	"penetrations sleeved, sealed and pressure tested before the deck goes on and the hull leaves the mould"

func sampleBadges() []Badge {
	names := []string{
		"Ilse Vandermoor", "Bartholomew Featherstonehaugh-Quillington", "محمد الصياد", "สมหญิง ใจดี", "प्रिया नायक", "Łucja Śnieżyńska",
		"Дмитро Корабельник", "Nguyễn Thị Hải", "דוד הספן", "Þórdís Ægisdóttir",
	}
	var rows []Badge
	for i, p := range payloads(Person, len(names)) {
		rows = append(rows, Badge{Payload: p, Name: names[i], Trade: "Laminator", Crew: "Crew Petrel", Number: fmt.Sprintf("04%02d", i), Yard: "Sandvoort Composite Yard"})
	}
	rows[0].Photo, rows[1].Photo = face(), face()
	rows[2].Reprint = 2
	return rows
}

func sampleJobs(n int) []JobCard {
	var rows []JobCard
	for i, p := range payloads(Job, n) {
		r := JobCard{
			Payload: p, Job: fmt.Sprintf("H07-LAM-%03d", i+1), Hull: "H07", Model: "Tern 38", Stage: "Lamination", Part: "Hull shell, outer skin below the waterline",
			Purpose: "build", Hours: []Planned{{"Laminator", "14.5", "h"}, {"Helper", "6", "h"}},
			Materials: []Planned{{"Biaxial glass 450", "38.5", "m²"}, {"Vinyl ester resin", "24", "kg"}, {"Peel ply", "40", "m²"}},
			Cautions:  []string{"Mixed pots run hot: never leave one standing full."},
		}
		switch i % 4 {
		case 1:
			r.Part, r.Purpose, r.Rush = longPart, "rework", true
			r.Cautions = append(r.Cautions, "Carbon dust conducts: keep it away from switchboards and tools.", "Masks on from the first cut.")
		case 2:
			r.Part, r.Hull, r.Stage, r.Model = "غطاء المحرك", "H112-SPECIAL-EDITION", "Assembly of the deck and superstructure", ""
			for k := range 9 {
				r.Materials = append(r.Materials, Planned{fmt.Sprintf("Core foam sheet %d mm, perforated", 5+k), "12.25", "C62"})
			}
		case 3:
			r.Cautions, r.Materials, r.Part, r.Purpose = nil, nil, "Rudder", "change"
		}
		rows = append(rows, r)
	}
	return rows
}

func sampleLots() []LotLabel {
	p := payloads(Lot, 4)
	return []LotLabel{
		{Payload: p[0], Item: "GLASS-450", Name: "Biaxial glass 450 g/m², 1270 mm", Lot: "L-2026-0117", Batch: "B77-4410", Quantity: "127", Unit: "m²", Received: "2026-03-02", Notes: "Keep dry and rolled."},
		{
			Payload: p[1], Item: "VE-RESIN", Name: "Vinyl ester infusion resin, promoted", Batch: "VX 20931", Quantity: "200", Unit: "kg", Received: "2026-03-02", Expires: "2026-09-01",
			Hazard: &Hazard{"Danger", []string{
				"H226 Flammable liquid and vapour", "H315 Causes skin irritation", "H319 Causes serious eye irritation", "H332 Harmful if inhaled",
				"H335 May cause respiratory irritation", "H361d Suspected of damaging the unborn child", "H372 Causes damage to organs through prolonged or repeated exposure",
			}},
			Notes: "Mixed pots run hot.",
		},
		{Payload: p[2], Item: "PEROX", Name: "Peroxide hardener", Batch: "11-A", Quantity: "5", Unit: "kg", Received: "2026-02-11", Expires: "2026-08-01", Hazard: &Hazard{"Warning", []string{"H317 May cause an allergic skin reaction"}}},
		{Payload: p[3], Item: "CORE-20", Name: "Structural foam core 20 mm, grid scored on one side, perforated for infusion, 1220 × 1020 mm sheets", Quantity: "44", Unit: "C62", Received: "2026-03-05", Reprint: 1},
	}
}

func sampleWall() []WallCard {
	p := payloads(Wall, 10)
	return []WallCard{
		{Payload: p[0], Action: ActionOff},
		{Payload: p[1], Action: ActionDone},
		{Payload: p[2], Action: ActionProgress, Key: "25"},
		{Payload: p[3], Action: ActionProgress, Key: "50"},
		{Payload: p[4], Action: ActionProgress, Key: "75"},
		{Payload: p[5], Action: ActionReturn},
		{Payload: p[6], Action: ActionWaste},
		{Payload: p[7], Action: ActionScrap},
		{Payload: p[8], Action: ActionUndo},
		{Payload: p[9], Action: ActionCancel},
	}
}

func sampleIndirects() []IndirectCard {
	p := payloads(Indirect, 3)
	return []IndirectCard{{Payload: p[0], Key: "CLEAN", Name: "Cleaning the shop"}, {Payload: p[1], Key: "MEET", Name: "Meeting"}, {Payload: p[2], Key: "TRAIN", Name: "Training and instruction of new people in the lamination hall"}}
}

func sampleCrews() []CrewCard {
	p := payloads(Crew, 2)
	many := []string{}
	for i := range 20 {
		many = append(many, fmt.Sprintf("Member %c. Number-%d", 'A'+i, i))
	}
	return []CrewCard{
		{Payload: p[0], Name: "Petrel", Yard: "Sandvoort Composite Yard", Members: []string{"Ilse Vandermoor", "محمد الصياد", "Дмитро Корабельник", "สมหญิง ใจดี", "Łucja Śnieżyńska"}},
		{Payload: p[1], Name: "Evening infusion team of the big hall", Members: many},
	}
}

// sampleSheets is one sheet of every kind, as the yard would print them.
func sampleSheets(tb testing.TB) map[string]Sheet {
	fonts := testFonts(tb)
	opt := func(dpi int, card *Size) SheetOptions {
		o := SheetOptions{DPI: dpi, Fonts: fonts}
		if card != nil {
			o.Grid, o.Outline = GridOn(A4, *card), true
		}
		return o
	}
	many := func(l ...string) WallOptions { return WallOptions{Languages: l} }
	a3 := many("de", "pl", "uk", "ar", "hi", "vi")
	a3.Page = A3
	return map[string]Sheet{
		"badge-single-300":     {Kind: SheetBadges, Badges: sampleBadges(), Options: opt(300, nil)},
		"badge-a4-600":         {Kind: SheetBadges, Badges: sampleBadges(), Options: opt(600, &SizeBadge)},
		"badge-single-203":     {Kind: SheetBadges, Badges: sampleBadges(), Options: opt(203, nil)},
		"wall-a4-203":          {Kind: SheetWall, Wall: sampleWall(), OnWall: many("fr"), Options: opt(203, nil)},
		"crew-single-300":      {Kind: SheetCrews, Crews: sampleCrews(), Options: opt(300, nil)},
		"job-a4-300":           {Kind: SheetJobs, Jobs: sampleJobs(4), Options: opt(300, &SizeJob)},
		"job-single-203":       {Kind: SheetJobs, Jobs: sampleJobs(2), Options: opt(203, nil)},
		"lot-large-203":        {Kind: SheetLots, Lots: sampleLots(), Options: opt(203, nil)},
		"lot-large-a4-300":     {Kind: SheetLots, Lots: sampleLots(), Options: opt(300, &SizeLot)},
		"lot-small-203":        {Kind: SheetLots, Lots: smallLots(), LotSize: LotSmall, Options: opt(203, nil)},
		"lot-small-a4-600":     {Kind: SheetLots, Lots: smallLots(), LotSize: LotSmall, Options: opt(600, &SizeLotSmall)},
		"lot-small-matrix-300": {Kind: SheetLots, Lots: smallLots(), LotSize: LotSmall, Matrix: DataMatrix, Options: opt(300, nil)},
		"indirect-a4-300":      {Kind: SheetIndirects, Indirects: sampleIndirects(), Options: opt(300, &SizeIndirect)},
		"wall-a4-300":          {Kind: SheetWall, Wall: sampleWall(), OnWall: many("en", "de", "pl", "uk", "ar"), Options: opt(300, nil)},
		"wall-a3-300":          {Kind: SheetWall, Wall: sampleWall(), OnWall: a3, Options: opt(300, nil)},
		"stage-300":            {Kind: SheetStage, Stage: StageSet{Hull: "H07", Model: "Tern 38", Stage: "Lamination", Jobs: sampleJobs(6)}, Options: opt(300, nil)},
	}
}

// smallLots leaves out the resin, whose hazard statements need the large label.
func smallLots() []LotLabel {
	l := sampleLots()
	return []LotLabel{l[0], l[2], l[3]}
}

// TestSamples writes the sheets for the eye where LABELS_OUT names a folder.
func TestSamples(t *testing.T) {
	for name, sheet := range sampleSheets(t) {
		var b bytes.Buffer
		pages, err := sheet.Write(&b)
		if err != nil || pages == 0 {
			t.Errorf("%s: %d pages, %v", name, pages, err)
			continue
		}
		if out := os.Getenv("LABELS_OUT"); out != "" {
			if err := os.WriteFile(filepath.Join(out, name+".pdf"), b.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}
