package costing_test

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"
	"time"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/estimate"
	"hulltally/costing/recost"
	"hulltally/costing/variance"
)

func always[T any](v T) costing.Dated[T] { return costing.Dated[T](nil).Add(costing.FromStart, v) }

func TestPublishedVariances(t *testing.T) {
	for _, e := range published(t, "variance.txt", 5) {
		y := &costing.Yard{
			Currency: euro,
			Stages:   map[string]*costing.Stage{"S": {Key: "S"}},
			Jobs:     map[string]*costing.Job{"J": {Key: "J", Stage: "S", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: "H", Weight: 1}}}},
			Items:    map[string]*costing.Item{"resin": {Key: "resin", HardenerItem: "hardener"}, "hardener": {Key: "hardener"}},
		}
		totals := costing.NewTotals()
		for _, line := range e.given {
			el, quantity := costing.Element(line[1]), decimal(t, line[3])
			switch line[0] {
			case "estimate": // element key quantity "at" rate ["with overhead" rate]
				y.Estimate = append(y.Estimate, costing.EstimateLine{
					Job: "J", Element: el, Key: line[2], Quantity: costing.Quantity(quantity), Rate: costing.Price(decimal(t, line[5])),
				})
				if len(line) > 6 {
					y.Stages["S"].Absorption = always(costing.Price(decimal(t, line[8])))
				}
			case "actual": // element key quantity "for" amount
				p := costing.Posting{Debit: "a", Credit: "b", Hull: "H", Stage: "S", Job: "J", Element: el, Purpose: costing.Build, Detail: line[2], Amount: money(t, line[5])}
				if el == costing.Labour {
					p.Seconds = quantity * 3600 / costing.Million
				} else {
					p.Quantity = costing.Quantity(quantity)
				}
				totals.Add(&p)
			default:
				t.Fatalf("%s: %q isn't understood", e.name, line)
			}
		}
		rows, err := variance.Rows(y, estimate.Build(y, 0), estimate.Progress{"J": 100}, totals)
		if err != nil {
			t.Fatal(err)
		}
		got := map[string]costing.Money{}
		for _, r := range rows {
			for cause, v := range r.Variances {
				got[string(cause)] += v
			}
		}
		check(t, e, figures(got))
		for cause, v := range got {
			if v != 0 && !slices.ContainsFunc(e.want, func(line []string) bool { return line[0] == cause }) {
				t.Errorf("%s: %s is %s, and isn't wanted", e.name, cause, euro.Format(v))
			}
		}
	}
}

// TestPublishedJobs plays jobs from clocked hours and issues to totals.
func TestPublishedJobs(t *testing.T) {
	for _, e := range published(t, "jobs.txt", 5) {
		y := &costing.Yard{
			Currency: euro, Zone: time.UTC, Stages: map[string]*costing.Stage{"S": {Key: "S"}}, Jobs: map[string]*costing.Job{},
			Workers: map[string]*costing.Worker{}, Items: map[string]*costing.Item{"I": {Key: "I"}}, Lots: map[string]*costing.Lot{},
		}
		// These books know neither long bookings nor overtime.
		y.Policy.MaxBooking = always(1_000_000 * time.Hour)
		y.Policy.OvertimeMultiplier, y.Policy.DoubleMultiplier = always(costing.One), always(costing.One)
		var entries []*clock.Entry
		add := func(e clock.Entry) {
			e.ID = fmt.Sprint(len(entries))
			entries = append(entries, &e)
		}
		// work has a new worker work some hours at a rate.
		work := func(job, indirect, hours, rate string) {
			w := &costing.Worker{Key: fmt.Sprint("W", len(y.Workers)), Rates: always(costing.Price(decimal(t, rate)))}
			y.Workers[w.Key] = w
			add(clock.Entry{Kind: clock.ClockOn, Worker: w.Key, Job: job, Indirect: indirect})
			add(clock.Entry{Kind: clock.ClockOff, Worker: w.Key, At: costing.Instant(decimal(t, hours) * 3600 / 1000)})
		}
		job := func(key string) string {
			if y.Jobs[key] == nil {
				y.Jobs[key] = &costing.Job{Key: key, Stage: "S", Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: key, Weight: 1}}}
			}
			return key
		}
		for _, line := range e.given {
			switch line[0] {
			case "overhead":
				y.Stages["S"].Absorption = always(costing.Price(decimal(t, line[1])))
			case "opening":
				y.Bought = append(y.Bought, costing.Bought{Hull: job(line[1]), Stage: "S", Purpose: costing.Build, Amount: money(t, line[2])})
			case "material":
				lot := "L" + job(line[1])
				y.Lots[lot] = &costing.Lot{Key: lot, Item: "I", Quantity: costing.Million, Cost: money(t, line[2])}
				add(clock.Entry{Kind: clock.Issue, Job: line[1], Lot: lot, Quantity: costing.Million})
			case "labour":
				work(job(line[1]), "", line[2], line[5])
			case "indirect":
				work("", "clean", line[1], line[4])
			default:
				t.Fatalf("%s: %q isn't understood", e.name, line)
			}
		}
		b, err := recost.Everything(recost.Facts{Yard: y, Entries: entries, AsOf: 1 << 50}, nil)
		if err != nil {
			t.Fatal(err)
		}
		cost := func(jobs string, elements ...costing.Element) (sum costing.Money) {
			for cell, s := range b.Totals.Cells {
				if slices.Contains(strings.Fields(jobs), cell.Hull) && (elements == nil || slices.Contains(elements, cell.Element)) {
					sum += s.Amount
				}
			}
			return sum
		}
		check(t, e, func(what string) (string, bool) {
			if jobs, ok := strings.CutPrefix(what, "cost of "); ok {
				return euro.Format(cost(jobs)), true
			}
			if jobs, ok := strings.CutPrefix(what, "overhead of "); ok {
				return euro.Format(cost(jobs, costing.Overhead)), true
			}
			var under costing.Money
			for l, m := range b.Totals.Ledger {
				if l.Account.IsOverhead() || l.Account == costing.OverheadAbsorbed {
					under += m
				}
			}
			return euro.Format(under), what == "under-absorbed"
		})
	}
}

func TestPublishedPay(t *testing.T) {
	monday := costing.NewDate(2026, time.March, 2)
	days := map[string]costing.Date{"Mon": 0, "Tue": 1, "Wed": 2, "Thu": 3, "Fri": 4, "Sat": 5, "Sun": 6}
	for _, e := range published(t, "pay.txt", 8) {
		y := &costing.Yard{Currency: euro, Zone: zone(t, "Africa/Johannesburg"), Shifts: map[string]*costing.Shift{"S": {Key: "S"}}}
		w := &costing.Worker{Key: "W", Shift: "S"}
		var entries []*clock.Entry
		minutes := func(s string) int {
			m, err := costing.ParseClock(s)
			if err != nil {
				t.Fatal(err)
			}
			return m
		}
		for _, line := range e.given {
			span := func(unit time.Duration) costing.Dated[time.Duration] {
				return always(time.Duration(decimal(t, line[1])/costing.Million) * unit)
			}
			switch line[0] {
			case "rate":
				w.Rates = always(costing.Price(decimal(t, line[1])))
			case "weekly":
				y.Policy.WeeklyOrdinary = span(time.Hour)
			case "daily":
				y.Policy.DailyOrdinary = span(time.Hour)
			case "round":
				y.Policy.ClockRounding = span(time.Minute)
			case "break":
				y.Shifts["S"].Breaks = []costing.Break{{Span: costing.Span{Start: minutes(line[1]), End: minutes(line[2])}}}
			case "work":
				day := monday + days[line[1]]
				entries = append(entries, &clock.Entry{Kind: clock.ClockOn, Job: "J", At: day.At(minutes(line[2]), y.Zone)},
					&clock.Entry{Kind: clock.ClockOff, At: day.At(minutes(line[3]), y.Zone)})
			default:
				t.Fatalf("%s: %q isn't understood", e.name, line)
			}
		}
		var seconds int64
		got := map[string]costing.Money{}
		cw := clock.NewClockwork(y, func(p *clock.Piece) error {
			seconds += p.Seconds
			got["base"] += p.Base
			got["premium"] += p.Premium
			got["pay"] += p.Base + p.Premium
			return nil
		})
		var f clock.Fold
		for _, entry := range entries {
			if err := cw.Apply(&f, w, entry); err != nil {
				t.Fatal(err)
			}
		}
		amounts := figures(got)
		check(t, e, func(what string) (string, bool) {
			if what == "hours" {
				return big.NewRat(seconds, 3600).FloatString(6), true
			}
			return amounts(what)
		})
	}
}
