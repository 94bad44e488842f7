package review

import (
	"math/big"

	"hulltally/costing"
	"hulltally/costing/estimate"
	"hulltally/costing/forecast"
	"hulltally/costing/variance"
)

// Standpoint is how a hull stood at the end of a day by the rules of the
// forecast.
type Standpoint struct {
	Day costing.Date
	forecast.Margin
}

// Trend is a hull's margin from month end to month end, by what was dated,
// stated and agreed by then, as the books have it now. It begins with the month
// of signing, or of the first cost, and ends when nothing has changed any more;
// its last point is the margin of today. Statements are in order.
func (h *Hull) Trend(b *Books, statements []Statement) ([]Standpoint, error) {
	t := newTrend(b, h.Hull)
	first, last := h.Hull.Signed.Period(), h.Hull.Signed.Period()
	for k, s := range b.Totals.Cells {
		if k.Hull == h.Hull.Key && s != (costing.Sums{}) {
			first, last = min(first, k.Period), max(last, k.Period)
			t.cells[k.Period] = append(t.cells[k.Period], cellOf{k, s.Amount})
		}
	}
	for _, s := range statements {
		last = max(last, costing.DateOf(s.At, b.Yard.Zone).Period())
	}
	for i := range t.yard.Said {
		last = max(last, costing.DateOf(t.yard.Said[i].At, b.Yard.Zone).Period())
	}
	for _, c := range t.yard.Changes {
		if c.AgreedOn != nil {
			last = max(last, c.AgreedOn.Period())
		}
	}
	var list []Standpoint
	for p := first; p.First() <= b.Day; p = p.Next() {
		day := min(p.Next().First()-1, b.Day)
		t.spend(p)
		if p > last && len(list) > 0 {
			break
		}
		m, err := t.at(day, StatedBy(statements, (day+1).At(0, b.Yard.Zone)))
		if err != nil {
			return nil, err
		}
		list = append(list, Standpoint{day, *m})
	}
	return list, nil
}

type cellOf struct {
	costing.Cell
	amount costing.Money
}

// trend is a hull's trend in the making.
type trend struct {
	yard   costing.Yard // with this hull and its estimate alone
	hull   string
	cells  map[costing.Period][]cellOf
	actual map[rowOf]costing.Money
	plan   *estimate.Plan
	agreed int // changes that counted when the plan was built
}

type rowOf struct {
	estimate.Key
	element costing.Element
}

func newTrend(b *Books, hull *costing.Hull) *trend {
	t := &trend{yard: *b.Yard, hull: hull.Key, cells: map[costing.Period][]cellOf{}, actual: map[rowOf]costing.Money{}, agreed: -1}
	t.yard.Hulls = map[string]*costing.Hull{hull.Key: hull}
	t.yard.Estimate = b.linesOf(hull.Key)
	t.yard.Changes = map[string]*costing.Change{}
	for _, c := range b.Yard.Changes {
		if c.Hull == hull.Key {
			t.yard.Changes[c.Key] = c
		}
	}
	t.yard.Said = nil
	for i := range b.Yard.Said {
		if s := &b.Yard.Said[i]; s.Hull == hull.Key && s.At < (b.Day+1).At(0, b.Yard.Zone) {
			t.yard.Said = append(t.yard.Said, *s)
		}
	}
	return t
}

// spend counts a month's cost in.
func (t *trend) spend(p costing.Period) {
	for _, c := range t.cells[p] {
		t.actual[rowOf{estimate.Key{Hull: c.Hull, Stage: c.Stage, Purpose: c.Purpose}, c.Element}] += c.amount
	}
}

// at is the margin at the end of a day.
func (t *trend) at(day costing.Date, stated estimate.Progress) (*forecast.Margin, error) {
	agreed := 0
	for _, c := range t.yard.Changes {
		if c.Counts(day) {
			agreed++
		}
	}
	if agreed != t.agreed { // changes are only ever agreed to as days go by
		t.plan, t.agreed = estimate.Build(&t.yard, day), agreed
	}
	rows, err := t.rows(stated)
	if err != nil {
		return nil, err
	}
	cells, err := forecast.Cells(t.plan, stated, rows)
	if err != nil {
		return nil, err
	}
	cells = forecast.Say(cells, t.yard.Said, (day+1).At(0, t.yard.Zone)-1)
	list, err := forecast.Margins(&t.yard, day, rows, cells)
	if err != nil {
		return nil, err
	}
	for i := range list {
		if list[i].Hull == t.hull {
			return &list[i], nil
		}
	}
	return &forecast.Margin{Hull: t.hull}, nil
}

// rows are the rows of the cost report without their variances.
func (t *trend) rows(stated estimate.Progress) ([]variance.Row, error) {
	keys := map[rowOf]bool{}
	for k := range t.actual {
		keys[k] = true
	}
	for k := range t.plan.Rows {
		if k.Hull == t.hull {
			for _, el := range []costing.Element{costing.Labour, costing.Material, costing.BoughtIn, costing.Overhead} {
				keys[rowOf{k, el}] = true
			}
		}
	}
	progress := map[string]*big.Rat{}
	var rows []variance.Row
	for k := range keys {
		if progress[k.Stage] == nil {
			progress[k.Stage] = t.plan.Stage(costing.HullStage{Hull: t.hull, Stage: k.Stage}, stated)
		}
		r := variance.Row{Hull: t.hull, Stage: k.Stage, Element: k.element, Purpose: k.Purpose, Actual: t.actual[k]}
		for _, exact := range exactOf(t.plan.Rows[k.Key], k.element) {
			estimated, err := costing.RoundRat(exact)
			if err != nil {
				return nil, err
			}
			allowed, err := costing.RoundRat(new(big.Rat).Mul(exact, progress[k.Stage]))
			if err != nil {
				return nil, err
			}
			r.Estimate += costing.Money(estimated)
			r.Allowed += costing.Money(allowed)
		}
		if r.Estimate != 0 || r.Actual != 0 {
			rows = append(rows, r)
		}
	}
	return rows, nil
}

// exactOf is an element of a plan row by what is rounded apart.
func exactOf(row *estimate.Row, el costing.Element) []*big.Rat {
	switch {
	case row == nil:
		return nil
	case el == costing.Labour:
		return []*big.Rat{row.Labour}
	case el == costing.Overhead:
		return []*big.Rat{row.Overhead}
	case el == costing.BoughtIn:
		return []*big.Rat{row.Bought}
	}
	var list []*big.Rat
	for _, it := range row.Items {
		list = append(list, it.Cost)
	}
	return list
}

// LosingSince is the day from which every point of a trend forecasts a loss;
// ok is false where the last one doesn't.
func LosingSince(trend []Standpoint) (day costing.Date, ok bool) {
	for i := len(trend) - 1; i >= 0 && trend[i].Margin.Margin < 0; i-- {
		day, ok = trend[i].Day, true
	}
	return day, ok
}

// Before is the margin at the month end before the last point; ok is false
// where there is none.
func Before(trend []Standpoint) (costing.Money, bool) {
	if len(trend) < 2 {
		return 0, false
	}
	return trend[len(trend)-2].Margin.Margin, true
}

// Saying is what the forecast said when the work had come so far.
type Saying struct {
	Percent int
	Standpoint
	Became costing.Money // at completion, as the trend ends
	Done   bool          // the work is finished, so it became that for good
}

// Miss is how far what it became is above what was said; above nought the
// forecast was too kind.
func (s *Saying) Miss() costing.Money { return s.Became - s.AtCompletion }

// Share is the miss as a share of what it became; nil of nothing.
func (s *Saying) Share() *big.Rat {
	if s.Became == 0 {
		return nil
	}
	return big.NewRat(int64(s.Miss()), int64(s.Became))
}

// looked is the progress, in per cent, at which forecasts are looked back on.
var looked = [...]int{25, 50, 75}

// Sayings looks back: what was forecast at the first month end with a quarter,
// half and three quarters of the work done, against what it became.
func Sayings(trend []Standpoint) []Saying {
	var list []Saying
	if len(trend) == 0 {
		return nil
	}
	end := &trend[len(trend)-1]
	done := end.Progress().Cmp(big.NewRat(1, 1)) >= 0
	for _, percent := range looked {
		for i := range trend {
			if trend[i].Progress().Cmp(big.NewRat(int64(percent), 100)) >= 0 {
				list = append(list, Saying{percent, trend[i], end.AtCompletion, done})
				break
			}
		}
	}
	return list
}
