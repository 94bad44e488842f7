package clock_test

import (
	"fmt"
	"strings"
	"testing"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// What a piece is charged to: the components to the job or the code's account,
// the premium to overhead unless the job is a rush, seconds once.
func TestPostings(t *testing.T) {
	for _, c := range []struct{ name, entries, want string }{
		{"a job", "Mon 07:00 J1, Mon 08:00 off", `
			H1 J1 build labour 3600 s 20.00: work in progress < wages payable
			H1 J1 build labour 0 s 5.00: work in progress < on-costs payable
			H1 J1 build overhead 0 s 15.00: work in progress < overhead absorbed`},
		{"indirect", "Mon 07:00 clean, Mon 08:00 off", `
			labour 3600 s 20.00: overhead: code clean < wages payable
			labour 0 s 5.00: overhead: code clean < on-costs payable`},
		{"Sunday", "Sun 07:00 J1, Sun 08:00 off", `
			H1 J1 build labour 3600 s 20.00: work in progress < wages payable
			H1 J1 build labour 0 s 5.00: work in progress < on-costs payable
			labour 0 s 20.00: overhead: overtime premium < wages payable
			labour 0 s 5.00: overhead: overtime premium < on-costs payable
			H1 J1 build overhead 0 s 15.00: work in progress < overhead absorbed`},
		{"Sunday, a rush", "Sun 07:00 J2, Sun 08:00 off", `
			H1 J2 build labour 3600 s 20.00: work in progress < wages payable
			H1 J2 build labour 0 s 5.00: work in progress < on-costs payable
			H1 J2 build labour 0 s 20.00: work in progress < wages payable
			H1 J2 build labour 0 s 5.00: work in progress < on-costs payable
			H1 J2 build overhead 0 s 15.00: work in progress < overhead absorbed`},
		{"Sunday, indirect", "Sun 07:00 clean, Sun 07:30 off", `
			labour 1800 s 10.00: overhead: code clean < wages payable
			labour 0 s 2.50: overhead: code clean < on-costs payable
			labour 0 s 10.00: overhead: overtime premium < wages payable
			labour 0 s 2.50: overhead: overtime premium < on-costs payable`},
		// Two parts to one: 20.00 is 13.33 + 6.67, an hour 2400 s + 1200 s.
		{"shared", "Mon 07:00 J3, Mon 08:00 off", `
			H1 J3 rework labour 2400 s 13.33: work in progress < wages payable
			H2 J3 rework labour 1200 s 6.67: work in progress < wages payable
			H1 J3 rework labour 0 s 3.33: work in progress < on-costs payable
			H2 J3 rework labour 0 s 1.67: work in progress < on-costs payable
			H1 J3 rework overhead 0 s 10.00: work in progress < overhead absorbed
			H2 J3 rework overhead 0 s 5.00: work in progress < overhead absorbed`},
		// One second of half a cent: the second goes to one hull.
		{"shared, a second", "Mon 07:00:00 J3, Mon 07:00:01 off", `
			H1 J3 rework labour 1 s 0.01: work in progress < wages payable`},
	} {
		y := newYard(t)
		y.Policy.OnCost, y.Policy.PremiumOnCost = always(costing.One/4), always(true)
		var lines []string
		for _, p := range fold(t, y, "W1", entries(t, y, c.entries), 0) {
			ps, err := clock.Postings(y, &p)
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range ps {
				s := fmt.Sprintf("%s %s %s %s %d s %s: %s < %s", e.Hull, e.Job, e.Purpose, e.Element, e.Seconds, y.Currency.Format(e.Amount), e.Debit, e.Credit)
				lines = append(lines, strings.Join(strings.Fields(s), " "))
				grade := "laminator"
				if e.Element == costing.Overhead {
					grade = ""
				}
				if e.Source != "e1" || e.Date != p.Date || e.Detail != grade || (e.Stage == "lay") != (e.Hull != "") {
					t.Errorf("%s: %+v bears the wrong source, date, grade or stage", c.name, e)
				}
			}
		}
		got := strings.Join(lines, "\n")
		want := strings.ReplaceAll(strings.TrimSpace(c.want), "\t", "")
		if got != want {
			t.Errorf("%s:\n%s\nwant\n%s", c.name, got, want)
		}
	}
}
