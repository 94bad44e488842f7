package labels

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
)

func TestTheSameRowsGiveTheSameBytes(t *testing.T) {
	for name, s := range sampleSheets(t) {
		var a, b bytes.Buffer
		if _, err := s.Write(&a); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Write(&b); err != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Errorf("%s differs from itself (%v)", name, err)
		}
	}
}

func TestStartCellAndCopies(t *testing.T) {
	var seen []placement
	last := 0
	s := Sheet{Kind: SheetBadges, Badges: sampleBadges()[:3], Options: SheetOptions{
		Grid: GridOn(A4, SizeBadge), Start: 4, Copies: 3, Fonts: testFonts(t),
		placed:   func(p placement) { seen = append(seen, p) },
		Progress: func(done, total int) { last = done*100 + total },
	}}
	pages, err := s.Write(io.Discard)
	if err != nil || pages != 2 || len(seen) != 9 || last != 9*100+9 {
		t.Fatalf("%d pages, %d codes, progress %d, %v", pages, len(seen), last, err)
	}
	g := s.Options.Grid
	// Cell 4 is the right of the second row; seven cells remain on the page.
	if seen[0].area.x < g.Left+g.StepX || seen[0].area.y < g.Top+g.StepY || seen[6].page != 1 || seen[7].page != 2 || seen[7].area.y > g.Top+g.StepY {
		t.Errorf("placed at %+v, %+v, %+v", seen[0].area, seen[6], seen[7])
	}
	if seen[2].symbol.Payload != s.Badges[0].Payload || seen[3].symbol.Payload != s.Badges[1].Payload {
		t.Error("copies do not lie side by side")
	}
}

func TestBadInputIsToldPlainly(t *testing.T) {
	good := payloads(Person, 1)[0]
	job := payloads(Job, 1)[0]
	lot := payloads(Lot, 1)[0]
	badge := func(b Badge) Sheet { return Sheet{Kind: SheetBadges, Badges: []Badge{b}} }
	with := func(s Sheet, o SheetOptions) Sheet { s.Options = o; return s }
	ok := badge(Badge{Payload: good, Name: "A"})
	bigHazard := &Hazard{"Danger", []string{strings.Repeat("H999 A very long statement ", 60)}}
	for want, s := range map[string]Sheet{
		"the name is empty":              badge(Badge{Payload: good, Name: " \t"}),
		"revoked":                        badge(Badge{Payload: good, Name: "A", Revoked: true}),
		"check character":                badge(Badge{Payload: good[:7] + "X", Name: "A"}),
		"is the code of a job card, not": badge(Badge{Payload: job, Name: "A"}),
		"U+12000":                        badge(Badge{Payload: good, Name: "A 𒀀 B"}),
		"neither JPEG nor PNG":           badge(Badge{Payload: good, Name: "A", Photo: []byte("GIF89a")}),
		"the page has 210 × 297":         with(ok, SheetOptions{Grid: &Grid{Width: 210, Height: 297, Columns: 3, Rows: 5, StepX: 86, StepY: 54}}),
		"cells are smaller":              with(ok, SheetOptions{Grid: &Grid{Width: 210, Height: 297, Columns: 3, Rows: 5, StepX: 60, StepY: 54}}),
		"cannot hold":                    with(ok, SheetOptions{Grid: &Grid{Width: 210, Height: 297}}),
		"cells 1 to 10, not 11":          with(ok, SheetOptions{Grid: GridOn(A4, SizeBadge), Start: 11}),
		"copies":                         with(ok, SheetOptions{Copies: -1}),
		"dpi":                            with(ok, SheetOptions{DPI: 150}),
		"nothing to print":               {Kind: SheetJobs},
		"not a kind of sheet":            {Kind: "poster"},
		"the item is empty":              {Kind: SheetLots, Lots: []LotLabel{{Payload: lot}}},
		"from its safety data sheet":     {Kind: SheetLots, Lots: []LotLabel{{Payload: lot, Item: "X", Hazard: &Hazard{}}}},
		"print the large label":          {Kind: SheetLots, Lots: []LotLabel{{Payload: lot, Item: "X", Hazard: bigHazard}}, LotSize: LotSmall},
		"no words in \"xx\"":             {Kind: SheetWall, Wall: sampleWall(), OnWall: WallOptions{Languages: []string{"xx"}}},
		"A4 or larger":                   {Kind: SheetWall, Wall: sampleWall(), OnWall: WallOptions{Page: SizeJob}},
		"the stage has no jobs":          {Kind: SheetStage},
	} {
		if s.Options.Fonts == nil {
			if f, err := LoadFonts(); err == nil {
				s.Options.Fonts = f
			}
		}
		var b bytes.Buffer
		pages, err := s.Write(&b)
		if err == nil || !strings.Contains(err.Error(), want) || b.Len() > 0 || pages != 0 {
			t.Errorf("want …%s…: %d pages, %d bytes, %v", want, pages, b.Len(), err)
		}
	}
	if _, err := LoadFonts("/no/such/folder"); err == nil {
		t.Error("a missing fonts folder went unnoticed")
	}
}

// Every bad row is named, not the first alone.
func TestAllBadRowsAreNamed(t *testing.T) {
	rows := sampleBadges()[:4]
	rows[1].Name, rows[3].Payload = "", "P0000000"
	_, err := WriteBadges(io.Discard, rows, SheetOptions{Fonts: testFonts(t)})
	if err == nil || !strings.Contains(err.Error(), "badge 2") || !strings.Contains(err.Error(), "badge 4") || strings.Contains(err.Error(), "badge 1") {
		t.Error(err)
	}
}

func TestCaptionsAreTranslated(t *testing.T) {
	var asked []string
	s := Sheet{Kind: SheetJobs, Jobs: sampleJobs(1), Options: SheetOptions{Say: func(c string) string { asked = append(asked, c); return c }}}
	if _, err := s.Write(io.Discard); err != nil {
		t.Fatal(err)
	}
	if all := strings.Join(asked, "|"); !strings.Contains(all, "Hull") || !strings.Contains(all, "Planned hours") {
		t.Error(all)
	}
}

func TestWallWordsAreComplete(t *testing.T) {
	for a, words := range wallWords {
		if len(words) != len(Languages) {
			t.Errorf("%s has %d words for %d languages", a, len(words), len(Languages))
		}
		seen := map[string]bool{}
		for _, w := range words {
			if clean(w) == "" {
				t.Errorf("%s lacks a word", a)
			}
			seen[w] = true
		}
	}
	for i, l := range Languages {
		seen := map[string]Action{}
		for a, words := range wallWords {
			if other, twice := seen[words[i]]; twice {
				t.Errorf("%s: %q stands for %s and %s", l, words[i], a, other)
			}
			seen[words[i]] = a
		}
	}
}

// A thousand job cards take seconds; the memory held per card is that of the
// finished page, a few kB.
func TestAThousandCards(t *testing.T) {
	rows := sampleJobs(1000)
	fonts := testFonts(t)
	start := time.Now()
	var before, during runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	peak := uint64(0)
	pages, err := WriteJobCards(io.Discard, rows, SheetOptions{Grid: GridOn(A4, SizeJob), Fonts: fonts, Progress: func(done, _ int) {
		if done%250 == 0 {
			runtime.GC()
			runtime.ReadMemStats(&during)
			peak = max(peak, during.HeapAlloc-min(before.HeapAlloc, during.HeapAlloc))
		}
	}})
	took := time.Since(start)
	t.Logf("%d pages in %.2f s, %.1f kB held a card", pages, took.Seconds(), float64(peak)/1000/1024)
	if err != nil || pages != 250 || took > 2*time.Minute {
		t.Errorf("%d pages, %v, %v", pages, took, err)
	}
	if peak > 24<<20 {
		t.Errorf("%d bytes held", peak)
	}
}

func BenchmarkJobCards1000(b *testing.B) {
	rows := sampleJobs(1000)
	fonts := testFonts(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := WriteJobCards(io.Discard, rows, SheetOptions{Grid: GridOn(A4, SizeJob), Fonts: fonts}); err != nil {
			b.Fatal(err)
		}
	}
}

// Prints may run side by side and share the fonts.
func TestConcurrentPrints(t *testing.T) {
	sheets := sampleSheets(t)
	fonts := testFonts(t)
	var wg sync.WaitGroup
	for _, name := range []string{"badge-single-300", "badge-a4-600", "crew-single-300", "wall-a3-300", "job-a4-300"} {
		s := sheets[name]
		s.Options.Fonts = fonts
		for range 2 {
			wg.Go(func() {
				if _, err := s.Write(io.Discard); err != nil {
					t.Errorf("%s: %v", name, err)
				}
			})
		}
	}
	wg.Wait()
}

func TestPreviewShowsEachPage(t *testing.T) {
	for name, s := range sampleSheets(t) {
		want, err := s.Write(io.Discard)
		if err != nil {
			t.Fatal(err)
		}
		for page := 1; page <= want; page++ {
			var b bytes.Buffer
			pages, err := s.Preview(&b, page)
			if err != nil || pages != want || xml.Unmarshal(b.Bytes(), new(struct{})) != nil || b.Len() < 1000 {
				t.Errorf("%s page %d: %d pages, %d bytes, %v", name, page, pages, b.Len(), err)
			}
			if out := os.Getenv("LABELS_OUT"); out != "" {
				_ = os.WriteFile(filepath.Join(out, fmt.Sprintf("%s-%d.svg", name, page)), b.Bytes(), 0o600)
			}
		}
		if _, err := s.Preview(io.Discard, want+1); err == nil {
			t.Errorf("%s: page %d was shown", name, want+1)
		}
	}
}

// A damaged file in the fonts folder is passed over.
func TestDamagedFontsAreIgnored(t *testing.T) {
	dir := t.TempDir()
	whole, err := os.ReadFile(filepath.Join(notoFonts, "NotoSansThai-Regular.ttf"))
	if err != nil {
		t.Fatal(err)
	}
	for i, data := range [][]byte{nil, []byte("no font"), whole[:100], whole[:len(whole)/2], whole[:len(whole)-5000]} {
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%d.ttf", i)), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	fonts, err := LoadFonts(dir)
	if err != nil {
		t.Fatal(err)
	}
	row := Badge{Payload: payloads(Person, 1)[0], Name: "สมหญิง ใจดี 漢"}
	var missing *UndrawableError
	if _, err := WriteBadges(io.Discard, []Badge{row}, SheetOptions{Fonts: fonts}); !errors.As(err, &missing) {
		t.Error(err)
	}
}
