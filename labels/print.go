package labels

import (
	"fmt"
	"io"
)

// SheetKind names what a Sheet prints.
type SheetKind string

// The kinds of sheet.
const (
	SheetBadges    SheetKind = "badge"
	SheetCrews     SheetKind = "crew"
	SheetJobs      SheetKind = "job"
	SheetLots      SheetKind = "lot"
	SheetIndirects SheetKind = "indirect"
	SheetWall      SheetKind = "wall"
	SheetStage     SheetKind = "stage"
)

// SheetKinds lists every kind of sheet.
var SheetKinds = []SheetKind{SheetBadges, SheetCrews, SheetJobs, SheetLots, SheetIndirects, SheetWall, SheetStage}

// Sheet is any print run: its kind, the rows of that kind and the options.
type Sheet struct {
	Kind      SheetKind
	Badges    []Badge
	Crews     []CrewCard
	Jobs      []JobCard
	Lots      []LotLabel
	Indirects []IndirectCard
	Wall      []WallCard
	Stage     StageSet

	LotSize LotSize
	Matrix  Symbology // beside the long code on lots: QR (also for Code128) or DataMatrix
	OnWall  WallOptions
	Options SheetOptions
}

// Card is the size of one card of the sheet; the wall's is its whole page.
func (s *Sheet) Card() Size {
	switch s.Kind {
	case SheetBadges:
		return SizeBadge
	case SheetCrews:
		return SizeCrew
	case SheetLots:
		if s.LotSize == LotSmall {
			return SizeLotSmall
		}
		return SizeLot
	case SheetIndirects:
		return SizeIndirect
	case SheetWall:
		if s.OnWall.Page == (Size{}) {
			return A4
		}
		return s.OnWall.Page
	}
	return SizeJob
}

// Payloads lists the codes that the sheet bears, card by card.
func (s *Sheet) Payloads() []string {
	var all []string
	for i := range s.Badges {
		all = append(all, s.Badges[i].Payload)
	}
	for i := range s.Crews {
		all = append(all, s.Crews[i].Payload)
	}
	for i := range s.Jobs {
		all = append(all, s.Jobs[i].Payload)
	}
	for i := range s.Stage.Jobs {
		all = append(all, s.Stage.Jobs[i].Payload)
	}
	for i := range s.Lots {
		all = append(all, s.Lots[i].Payload)
	}
	for i := range s.Indirects {
		all = append(all, s.Indirects[i].Payload)
	}
	for i := range s.Wall {
		all = append(all, s.Wall[i].Payload)
	}
	return all
}

// run gives the cards of a kind that is laid out card by card.
func (s *Sheet) run() (cards, error) {
	switch s.Kind {
	case SheetBadges:
		return badges(s.Badges), nil
	case SheetCrews:
		return crewCards(s.Crews), nil
	case SheetJobs:
		return jobCards(s.Jobs), nil
	case SheetLots:
		return lotLabels(s.Lots, s.LotSize, s.Matrix)
	case SheetIndirects:
		return indirects(s.Indirects), nil
	}
	return cards{}, fmt.Errorf("%q is not a kind of sheet", clip(string(s.Kind)))
}

// Write prints the sheet as PDF and gives the number of pages. On an error
// nothing is written.
func (s *Sheet) Write(w io.Writer) (pages int, err error) {
	switch s.Kind {
	case SheetWall:
		return WriteWall(w, s.Wall, s.OnWall, s.Options)
	case SheetStage:
		return WriteStage(w, s.Stage, s.Options)
	}
	run, err := s.run()
	if err != nil {
		return 0, err
	}
	return run.write(w, s.Options)
}
