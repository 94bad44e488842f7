package benchtest

import (
	"context"
	"fmt"
	"time"

	"hulltally/costing"
	"hulltally/models"
)

// Big says how large a made-up yard is.
type Big struct {
	Hulls, Stages, Months int
}

// YearsOfWork is ten years of a yard that builds twenty hulls a year.
var YearsOfWork = Big{Hulls: 200, Stages: 30, Months: 120}

// Cells is how many kept totals the yard has.
func (b Big) Cells() int { return b.Hulls * b.Stages * len(bigElements) * bigMonths }

var bigElements = [...]string{"labour", "overhead", "material", "bought-in"}

const (
	bigJobs   = 2  // of a stage
	bigMonths = 2  // that a stage takes
	bigBuild  = 12 // months from the keel to the launch
)

// Fill adds hulls, stages, jobs, estimates, statements and kept totals to a
// yard that was loaded, without the postings behind them: what pages are made
// of, where writing ten years of reads would take too long. The last hulls are
// still at work in the month of now.
func (b Big) Fill(ctx context.Context, s *models.Store, now costing.Date) error {
	return s.InTx(ctx, func(tx *models.Tx) error {
		f := &bigFill{ctx: ctx, tx: tx, big: b, last: monthsOf(now)}
		for _, part := range []func() error{f.stages, f.hulls, f.jobs, f.estimate, f.totals, f.fine, f.progress} {
			if err := part(); err != nil {
				return err
			}
		}
		return tx.Bump()
	})
}

type bigFill struct {
	ctx  context.Context
	tx   *models.Tx
	big  Big
	last int // the month of now, counted from year nought
}

func monthsOf(d costing.Date) int {
	p := int(d.Period())
	return p/100*12 + p%100 - 1
}

func periodOf(month int) int64 { return int64(month/12*100 + month%12 + 1) }

// begun is the month a hull is begun in; the last ones are half-way now.
func (f *bigFill) begun(hull int) int {
	first := f.last - f.big.Months
	return first + hull*(f.big.Months-bigBuild/2)/max(f.big.Hulls-1, 1)
}

// month is the first month of work on a stage.
func (f *bigFill) month(hull, stage int) int { return f.begun(hull) + stage*bigBuild/f.big.Stages }

func hullKey(i int) string  { return fmt.Sprintf("B%03d", i) }
func stageKey(i int) string { return fmt.Sprintf("S%02d", i) }
func jobKey(hull, stage, job int) string {
	return fmt.Sprintf("%s-%s-%d", hullKey(hull), stageKey(stage), job)
}

// rows gathers columns by name, in the order they were first given.
type rows struct {
	order   []string
	texts   map[string][]string
	numbers map[string][]int64
	bools   map[string][]bool
}

func newRows() *rows {
	return &rows{texts: map[string][]string{}, numbers: map[string][]int64{}, bools: map[string][]bool{}}
}

// put adds a row of name and value in turn.
func (r *rows) put(cells ...any) {
	for i := 0; i < len(cells); i += 2 {
		name, _ := cells[i].(string)
		if r.texts[name] == nil && r.numbers[name] == nil && r.bools[name] == nil {
			r.order = append(r.order, name)
		}
		switch v := cells[i+1].(type) {
		case string:
			r.texts[name] = append(r.texts[name], v)
		case int64:
			r.numbers[name] = append(r.numbers[name], v)
		case int:
			r.numbers[name] = append(r.numbers[name], int64(v))
		case bool:
			r.bools[name] = append(r.bools[name], v)
		}
	}
}

func (f *bigFill) write(table string, r *rows) error {
	var columns []models.Column
	for _, name := range r.order {
		c := models.Column{Name: name}
		switch {
		case r.texts[name] != nil:
			c.Values = r.texts[name]
		case r.numbers[name] != nil:
			c.Values = r.numbers[name]
		default:
			c.Values = r.bools[name]
		}
		columns = append(columns, c)
	}
	return f.tx.Insert(f.ctx, table, "", columns...)
}

func (f *bigFill) stages() error {
	stages, overheads := newRows(), newRows()
	for s := range f.big.Stages {
		stages.put("stage", stageKey(s), "name", "Stage "+stageKey(s), "sequence", 100+s)
		overheads.put("stage", stageKey(s), "from_date", "2000-01-01", "rate", int64(22*costing.Million))
	}
	if err := f.write("stages", stages); err != nil {
		return err
	}
	return f.write("overheads", overheads)
}

func dayOf(month, day int) string {
	return time.Date(month/12, time.Month(month%12+1), day, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
}

func (f *bigFill) hulls() error {
	r := newRows()
	for h := range f.big.Hulls {
		r.put("hull", hullKey(h), "model", fmt.Sprintf("Model %d", h%6), "name", "", "price", int64(900_000*costing.Million),
			"price_currency", "EUR", "price_rate", int64(costing.Million), "signed", dayOf(f.begun(h), 1), "due", dayOf(f.begun(h)+bigBuild, 20))
	}
	return f.write("hulls", r)
}

// each visits every job.
func (f *bigFill) each(do func(hull, stage, job int, key string)) {
	for h := range f.big.Hulls {
		for s := range f.big.Stages {
			for j := range bigJobs {
				do(h, s, j, jobKey(h, s, j))
			}
		}
	}
}

func (f *bigFill) jobs() error {
	r := newRows()
	f.each(func(h, s, j int, key string) {
		r.put("job", key, "hull", hullKey(h), "stage", stageKey(s), "part", fmt.Sprintf("part %d", j), "purpose", "build",
			"change", "", "rush", false, "shares", "")
	})
	return f.write("jobs", r)
}

func (f *bigFill) estimate() error {
	r := newRows()
	line := func(job, element, key string, quantity, rate int64) {
		r.put("job", job, "change", "", "element", element, "key", key, "ordinal", 1, "quantity", quantity*costing.Million, "standard_rate", rate*costing.Million)
	}
	f.each(func(_, _, j int, key string) {
		line(key, "labour", "laminator", 60, 28)
		line(key, "labour", "fitter", 40, 31)
		line(key, "material", "RES", 50, 5)
		line(key, "material", "BIAX", 120, 4)
		if j == 0 {
			line(key, "bought-in", "fittings", 1, 900)
		}
	})
	return f.write("estimate", r)
}

// worked visits the months of work on a stage that have been.
func (f *bigFill) worked(do func(hull, stage int, period int64)) {
	for h := range f.big.Hulls {
		for s := range f.big.Stages {
			for m := range bigMonths {
				if at := f.month(h, s) + m; at <= f.last {
					do(h, s, periodOf(at))
				}
			}
		}
	}
}

// off is some way from the estimate, different from cell to cell.
func off(hull, stage int) int64 { return int64(90 + (hull*7+stage*13)%25) }

func (f *bigFill) totals() error {
	r := newRows()
	f.worked(func(h, s int, period int64) {
		for i, el := range bigElements {
			seconds := int64(0)
			if el == "labour" {
				seconds = 100 * 36 * off(h, s)
			}
			amount := [...]int64{292_000, 220_000, 73_000, 45_000}[i]
			r.put("hull", hullKey(h), "stage", stageKey(s), "element", el, "purpose", "build", "period", period, "seconds", seconds, "amount", amount*off(h, s)/100)
		}
	})
	return f.write("totals", r)
}

func (f *bigFill) fine() error {
	r := newRows()
	f.worked(func(h, s int, period int64) {
		for j := range bigJobs {
			put := func(el, detail string, seconds, quantity, amount int64) {
				r.put("hull", hullKey(h), "job", jobKey(h, s, j), "element", el, "detail", detail, "period", period, "seconds", seconds*off(h, s)/100,
					"quantity", quantity*costing.Million*off(h, s)/100, "net", quantity*costing.Million, "waste", 0, "amount", amount*off(h, s)/100)
			}
			put("labour", "laminator", 30*3600, 0, 84_000)
			put("labour", "fitter", 20*3600, 0, 62_000)
			put("overhead", "", 0, 0, 110_000)
			put("material", "RES", 0, 25, 12_500)
			put("material", "BIAX", 0, 60, 24_000)
		}
	})
	return f.write("fine_totals", r)
}

func (f *bigFill) progress() error {
	r := newRows()
	n := 0
	f.each(func(h, s, _ int, key string) {
		for i, percent := range []int{25, 50, 75, 100} {
			month := f.month(h, s) + i*bigMonths/4
			if month > f.last {
				return
			}
			n++
			at := time.Date(month/12, time.Month(month%12+1), 1, 6, i, 0, 0, time.UTC).UnixMilli()
			r.put("id", fmt.Sprintf("big-%07d", n), "at_ms", at, "station", "GATE", "n", n, "kind", "progress", "worker", "", "crew", "", "job", key,
				"indirect", "", "lot", "", "quantity", 0, "percent", percent, "voided_by", "", "voided_at_ms", 0)
		}
	})
	return f.write("entries", r)
}
