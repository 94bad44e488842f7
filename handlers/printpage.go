package handlers

import (
	"errors"
	"slices"
	"strings"

	"hulltally/labels"
	"hulltally/models"
)

// mostChoices is how many things the page lists to tick.
const mostChoices = 200

// slowCards is from how many cards on the page says that drawing takes a while;
// cardsPerSecond is what a small machine draws.
const slowCards, cardsPerSecond = 300, 300

// printData is what the page of prints shows.
type printData struct {
	Form           *printForm
	Kinds          []printKind
	Hulls, Stages  []choice
	Languages      []choice
	Choices        []printTick
	More           int // that are not listed
	Cards, Pages   int
	Left           string
	Slow           int // seconds that making it takes, where that is long
	Cells          int // on a page
	Wrong          []string
	Picture, PDF   string
	Earlier, Later string // addresses of the pages before and after
	Everything     string // the address that prints all
}

type printKind struct {
	Kind  labels.SheetKind
	Label string
	Here  bool
}

// choice is a line of a list to choose from.
type choice struct {
	Key, Name string
	On        bool
}

// printTick is a thing to tick, or to replace the code of.
type printTick struct {
	models.PrintChoice
	Code string // in groups
	On   bool
}

var kindLabels = map[labels.SheetKind]string{
	labels.SheetJobs: "Job cards", labels.SheetStage: "A stage's set", labels.SheetBadges: "Badges", labels.SheetCrews: "Crew cards",
	labels.SheetLots: "Lot labels", labels.SheetIndirects: "Indirect codes", labels.SheetWall: "Wall sheet",
}

// printPage shows what can be printed and, once chosen, how it looks.
func (s *Server) printPage(v *Visit) error {
	f, err := readPrint(v.Request.URL.Query(), printsFor[v.Caller.Role])
	return s.showPrint(v, f, err)
}

// printFault shows the page again with what was wrong.
func (s *Server) printFault(v *Visit, f *printForm, err error) error { return s.showPrint(v, f, err) }

func (s *Server) showPrint(v *Visit, f *printForm, wrong error) error {
	if errors.Is(wrong, errMayNot) {
		return wrong
	}
	kinds := printsFor[v.Caller.Role]
	if !slices.Contains(kinds, f.Kind) {
		f.Kind = kinds[0]
	}
	d := &printData{Form: f}
	for _, k := range kinds {
		d.Kinds = append(d.Kinds, printKind{k, kindLabels[k], k == f.Kind})
	}
	for _, l := range labels.Languages {
		d.Languages = append(d.Languages, choice{l, labels.LanguageName(l), slices.Contains(f.Also, l)})
	}
	if err := s.fillPrint(v, d); err != nil {
		return err
	}
	if wrong == nil && f.Chosen() {
		wrong = s.tryPrint(v, d)
	}
	if wrong != nil {
		if _, fault := formFault(wrong); fault != nil {
			return fault
		}
		d.Wrong = strings.Split(wrong.Error(), "\n")
		return v.pageAs(describeError(wrong).Status, "print.html", "Print", d)
	}
	return v.Page("print.html", "Print", d)
}

// fillPrint lists what there is to choose from.
func (s *Server) fillPrint(v *Visit, d *printData) error {
	f, ctx := d.Form, v.Request.Context()
	return s.store.Read(ctx, func(tx *models.Tx) error {
		snap, err := tx.LoadedSnapshot(ctx)
		if err != nil {
			return err
		}
		for key, h := range snap.Yard.Hulls {
			d.Hulls = append(d.Hulls, choice{key, strings.TrimSpace(key + " " + h.Name), key == f.Hull})
		}
		slices.SortFunc(d.Hulls, func(a, b choice) int { return strings.Compare(a.Key, b.Key) })
		for _, key := range stagesInOrder(snap) {
			d.Stages = append(d.Stages, choice{key, snap.Yard.Stages[key].Name, key == f.Stage})
		}
		ask := models.PrintAsk{Kind: f.Kind, Keys: f.Keys, Text: f.Text}
		if f.Kind == labels.SheetJobs {
			ask.Hull, ask.Stage = f.Hull, f.Stage
		}
		all, err := tx.PrintChoices(ctx, ask)
		if err != nil {
			return err
		}
		if len(all) > mostChoices {
			d.More = len(all) - mostChoices
			all = all[:mostChoices]
		}
		for _, c := range all {
			d.Choices = append(d.Choices, printTick{c, labels.Group(c.Payload), slices.Contains(f.Keys, c.Key)})
		}
		return nil
	})
}

func stagesInOrder(snap *models.Snapshot) []string {
	var keys []string
	for key := range snap.Yard.Stages {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, func(a, b string) int {
		x, y := snap.Yard.Stages[a], snap.Yard.Stages[b]
		if x.Order != y.Order {
			return x.Order - y.Order
		}
		return strings.Compare(a, b)
	})
	return keys
}

// tryPrint draws the page that is looked at, to know how many there are and
// what is wrong with the sheet.
func (s *Server) tryPrint(v *Visit, d *printData) error {
	f, ctx := d.Form, v.Request.Context()
	run, err := s.filled(ctx, f)
	if err != nil {
		return err
	}
	if _, d.Pages, err = s.preview(ctx, run, f.Show); err != nil {
		return err
	}
	d.Cards = len(run.Payloads()) * max(1, f.Copies)
	d.Left = strings.Join(run.Left, ", ")
	if g := run.Options.Grid; g != nil {
		d.Cells = g.Columns * g.Rows
	}
	if d.Cards >= slowCards {
		d.Slow = 1 + d.Cards/cardsPerSecond
	}
	d.Picture = "/print/page.svg?" + f.query(f.Show)
	d.PDF = "/print/sheet.pdf?" + f.query(1)
	if f.Show > 1 {
		d.Earlier = "/print?" + f.query(f.Show-1) + "#preview"
	}
	if f.Show < d.Pages {
		d.Later = "/print?" + f.query(f.Show+1) + "#preview"
	}
	return nil
}
