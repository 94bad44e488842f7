package clock_test

import (
	"cmp"
	"encoding/json"
	"math/big"
	"slices"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// anyEntries draws a worker's days on the floor, no booking longer than is believed.
func anyEntries(y *costing.Yard, from, to costing.Date) *rapid.Generator[[]*clock.Entry] {
	return rapid.Custom(func(t *rapid.T) []*clock.Entry {
		var list []*clock.Entry
		at := from.At(0, y.Zone)
		for end := to.At(0, y.Zone); len(list) < 40; {
			at += costing.Instant(rapid.IntRange(0, 13*60).Draw(t, "minutes")) * 60_000
			if at >= end {
				break
			}
			e := &clock.Entry{ID: "e" + strconv.Itoa(len(list)), At: at, Station: "clock", N: int64(len(list)), Worker: "W1", Kind: clock.ClockOn}
			switch w := rapid.SampledFrom([]string{"J1", "J2", "J3", "clean", "off"}).Draw(t, "what"); w {
			case "off":
				e.Kind = clock.ClockOff
			case "clean":
				e.Indirect = w
			default:
				e.Job = w
			}
			list = append(list, e)
		}
		return append(list, &clock.Entry{ID: "last", At: at, Station: "clock", N: 1000, Worker: "W1", Kind: clock.ClockOff})
	})
}

// anyYard draws a yard with odd rates and limits.
func anyYard(t *rapid.T) *costing.Yard {
	y := newYard(t)
	y.Zone = zone(t, rapid.SampledFrom([]string{"Africa/Johannesburg", "Europe/Lisbon", "America/New_York", "Australia/Lord_Howe"}).Draw(t, "zone"))
	y.Workers["W1"].Rates = always(costing.Price(rapid.Int64Range(0, 90*unit).Draw(t, "rate")))
	y.Stages["lay"].Absorption = always(costing.Price(rapid.Int64Range(0, 90*unit).Draw(t, "absorption")))
	y.Policy.OnCost = always(costing.Share(rapid.Int64Range(0, unit).Draw(t, "on-cost")))
	y.Policy.PremiumOnCost = always(rapid.Bool().Draw(t, "premium bears on-cost"))
	y.Policy.DailyOrdinary = always(time.Duration(rapid.IntRange(1, 12*3600).Draw(t, "daily")) * time.Second)
	y.Policy.WeeklyOrdinary = always(time.Duration(rapid.IntRange(1, 50*3600).Draw(t, "weekly")) * time.Second)
	y.Shifts["day"].Breaks = append(y.Shifts["day"].Breaks, costing.Break{Span: costing.Span{Start: 23*60 + 45, End: 15}},
		costing.Break{Weekday: 3, Span: costing.Span{Start: 12*60 + 15, End: 13 * 60}},
		costing.Break{Weekday: 4, Span: costing.Span{Start: 11*60 + 45, End: 13 * 60}})
	return y
}

// onBreak asks the wall clock: is a second in one of anyYard's breaks?
func onBreak(at time.Time) bool {
	m := at.Hour()*60 + at.Minute()
	return m >= 720 && m < 750 || m >= 1425 || m < 15 || at.Weekday() == time.Wednesday && m >= 735 && m < 780 ||
		at.Weekday() == time.Thursday && m >= 705 && m < 780
}

// A booking's pieces are its elapsed seconds without the breaks, each on its
// own local date; here counted minute by minute on the wall's clock.
func TestPiecesAreTheBooking(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := anyYard(t)
		y.Policy.MaxBooking = always(1000 * time.Hour) // on to one thing again and again is one long booking
		from := rapid.SampledFrom([]costing.Date{monday, monday + 2, costing.NewDate(2026, 3, 28), costing.NewDate(2026, 10, 31), costing.NewDate(2026, 4, 4)}).Draw(t, "day")
		list := anyEntries(y, from, from+2).Draw(t, "entries")
		want := map[costing.Date]int64{}
		for i := 0; i+1 < len(list); i++ {
			if list[i].Kind == clock.ClockOff {
				continue
			}
			for s := list[i].At.Second(); s < list[i+1].At.Second(); s += 60 {
				at := time.Unix(s, 0).In(y.Zone)
				if !onBreak(at) {
					want[costing.NewDate(at.Date())] += 60
				}
			}
		}
		got := map[costing.Date]int64{}
		var last int64
		for _, p := range fold(t, y, "W1", list, 0) {
			if p.Seconds <= 0 || p.Start < last {
				t.Fatalf("piece %+v is empty or out of order", p)
			}
			last = p.Start + p.Seconds
			got[p.Date] += p.Seconds
		}
		for d, s := range want {
			if got[d] != s {
				t.Fatalf("%s has %d s in pieces, want %d", d, got[d], s)
			}
			delete(got, d)
		}
		if len(got) > 0 {
			t.Fatalf("pieces on days nobody worked: %v", got)
		}
	})
}

type sum struct {
	seconds                                        int64
	base, onCost, premium, premiumOnCost, overhead costing.Money
}

func weeks(ps []clock.Piece) map[costing.Date]sum {
	m := map[costing.Date]sum{}
	for _, p := range ps {
		s := m[p.Date.Monday()]
		s.seconds += p.Seconds
		s.base += p.Base
		s.onCost += p.OnCost
		s.premium += p.Premium
		s.premiumOnCost += p.PremiumOnCost
		s.overhead += p.Overhead
		m[p.Date.Monday()] = s
	}
	return m
}

// What a week's pieces are charged is what payroll pays: the exact sum, rounded once.
func TestWeekIsPaidToTheCent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := anyYard(t)
		ps := fold(t, y, "W1", anyEntries(y, monday, monday+14).Draw(t, "entries"), 0)
		rate, _ := y.Workers["W1"].Rates.On(monday)
		onCost := big.NewRat(int64(y.Policy.OnCost.Or(monday, 0)), unit)
		exact := map[costing.Date]*[5]big.Rat{}
		for _, p := range ps {
			x := exact[p.Date.Monday()]
			if x == nil {
				x = new([5]big.Rat)
				exact[p.Date.Monday()] = x
			}
			pay := new(big.Rat).Mul(big.NewRat(p.Seconds*100, 3600), big.NewRat(int64(rate), unit))
			extra := new(big.Rat).Mul(pay, map[clock.Band]*big.Rat{clock.Ordinary: new(big.Rat), clock.Overtime: big.NewRat(1, 2), clock.Double: big.NewRat(1, 1)}[p.Band])
			x[0].Add(&x[0], pay)
			x[1].Add(&x[1], new(big.Rat).Mul(pay, onCost))
			x[2].Add(&x[2], extra)
			if y.Policy.PremiumOnCost.Or(monday, false) {
				x[3].Add(&x[3], new(big.Rat).Mul(extra, onCost))
			}
			if p.Job != "" {
				x[4].Add(&x[4], new(big.Rat).Mul(big.NewRat(p.Seconds*100, 3600), big.NewRat(int64(y.Stages["lay"].Absorption.Or(monday, 0)), unit)))
			}
		}
		for week, got := range weeks(ps) {
			for i, m := range []costing.Money{got.base, got.onCost, got.premium, got.premiumOnCost, got.overhead} {
				if want, _ := costing.RoundRat(&exact[week][i]); int64(m) != want {
					t.Fatalf("component %d of the week of %s is %d, want %s", i, week, m, &exact[week][i])
				}
			}
		}
	})
}

// Going off and on again at one instant changes neither time nor pay of a
// week, nor of a day and band.
func TestSplittingABookingLosesNothing(t *testing.T) {
	type dayBand struct {
		date costing.Date
		band clock.Band
	}
	bands := func(ps []clock.Piece) map[dayBand]int64 {
		m := map[dayBand]int64{}
		for _, p := range ps {
			m[dayBand{p.Date, p.Band}] += p.Seconds
		}
		return m
	}
	rapid.Check(t, func(t *rapid.T) {
		y := anyYard(t)
		y.Policy.MaxBooking = always(1000 * time.Hour)
		list := anyEntries(y, monday, monday+7).Draw(t, "entries")
		if len(list) < 2 {
			return
		}
		i := rapid.IntRange(0, len(list)-2).Draw(t, "booking")
		if list[i].Kind != clock.ClockOn {
			return
		}
		at := costing.Instant(rapid.Int64Range(int64(list[i].At), int64(list[i+1].At)).Draw(t, "instant"))
		off := &clock.Entry{ID: "off", At: at, Station: "clock", N: list[i].N, Worker: "W1", Kind: clock.ClockOff}
		on := *list[i]
		on.ID, on.At = "on", at
		split := slices.Insert(slices.Clone(list), i+1, off, &on)
		whole, parts := fold(t, y, "W1", list, 0), fold(t, y, "W1", split, 0)
		if got, want := weeks(parts), weeks(whole); !equalMaps(got, want) {
			t.Fatalf("split at %s: %+v, want %+v", at, got, want)
		}
		if got, want := bands(parts), bands(whole); !equalMaps(got, want) {
			t.Fatalf("split at %s: %+v, want %+v", at, got, want)
		}
	})
}

func equalMaps[K comparable, V comparable](a, b map[K]V) bool {
	if len(a) != len(b) {
		return false
	}
	for k, v := range a {
		if w, ok := b[k]; !ok || v != w {
			return false
		}
	}
	return true
}

// Postings of a piece balance, name two accounts, and hold its seconds once
// and its amounts whole.
func TestPostingsAreThePiece(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := anyYard(t)
		for _, p := range fold(t, y, "W1", anyEntries(y, monday+4, monday+8).Draw(t, "entries"), 0) {
			ps, err := clock.Postings(y, &p)
			if err != nil {
				t.Fatal(err)
			}
			if err := costing.CheckBalance(ps); err != nil {
				t.Fatal(err)
			}
			totals := costing.NewTotals()
			var seconds int64
			for i := range ps {
				totals.Add(&ps[i])
				seconds += ps[i].Seconds
			}
			var balance costing.Money
			for _, m := range totals.Ledger {
				balance += m
			}
			owed := func(a costing.Account) costing.Money {
				return -totals.Ledger[costing.Ledger{Account: a, Period: p.Date.Period()}]
			}
			if balance != 0 || seconds != p.Seconds || owed(costing.WagesPayable) != p.Base+p.Premium ||
				owed(costing.OnCostsPayable) != p.OnCost+p.PremiumOnCost || owed(costing.OverheadAbsorbed) != p.Overhead {
				t.Fatalf("%+v is posted as %+v", p, ps)
			}
		}
	})
}

// A fold put into JSON between two entries goes on as if it had not been.
func TestFoldJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := anyYard(t)
		list := anyEntries(y, monday, monday+10).Draw(t, "entries")
		var want, got []clock.Piece
		into := func(ps *[]clock.Piece) *clock.Clockwork {
			return clock.NewClockwork(y, func(p *clock.Piece) error {
				*ps = append(*ps, *p)
				return nil
			})
		}
		a, b := into(&want), into(&got)
		var f, g clock.Fold
		for _, e := range list {
			text, err := json.Marshal(g)
			if err != nil {
				t.Fatal(err)
			}
			g = clock.Fold{}
			if err := json.Unmarshal(text, &g); err != nil {
				t.Fatal(err)
			}
			if err := cmp.Or(a.Apply(&f, y.Workers["W1"], e), b.Apply(&g, y.Workers["W1"], e)); err != nil {
				t.Fatal(err)
			}
		}
		if !slices.Equal(got, want) {
			t.Fatalf("from JSON %+v, want %+v", got, want)
		}
	})
}

// A year of unbroken work has as many seconds as elapsed, and each date as
// many as its day, 23-hour and 25-hour days and those of half an hour more or less too.
func TestClockChangesLoseNoTime(t *testing.T) {
	for _, name := range []string{"Europe/Lisbon", "America/New_York", "Australia/Lord_Howe"} {
		y := newYard(t)
		y.Zone, y.Shifts["day"].Breaks = zone(t, name), nil
		first, end := costing.NewDate(2026, 1, 1).At(0, y.Zone), costing.NewDate(2027, 1, 1).At(0, y.Zone)
		var list []*clock.Entry
		for at, i := first, 0; at < end; at, i = at+costing.Instant(47*time.Minute/time.Millisecond)*15, i+1 {
			list = append(list, &clock.Entry{ID: "e", At: at, N: int64(i), Worker: "W1", Kind: clock.ClockOn, Job: []string{"J1", "J2"}[i%2]})
		}
		list = append(list, &clock.Entry{ID: "e", At: end, N: int64(len(list)), Worker: "W1", Kind: clock.ClockOff})
		var total int64
		days := map[costing.Date]int64{}
		for _, p := range fold(t, y, "W1", list, 0) {
			total += p.Seconds
			days[p.Date] += p.Seconds
			if d := costing.DateOf(costing.Instant((p.Start+p.Seconds-1)*1000), y.Zone); d != p.Date {
				t.Errorf("%s: a piece of %s ends on %s", name, p.Date, d)
			}
		}
		if want := (end - first).Second(); total != want || len(days) != 365 {
			t.Errorf("%s: a year has %d s on %d days, want %d on 365", name, total, len(days), want)
		}
		odd := map[int64]int{}
		for _, s := range days {
			odd[s]++
		}
		change := int64(3600)
		if name == "Australia/Lord_Howe" {
			change = 1800
		}
		if odd[86400] != 363 || odd[86400-change] != 1 || odd[86400+change] != 1 {
			t.Errorf("%s: lengths of days %v", name, odd)
		}
	}
}
