//go:build unix

package recost_test

import (
	"fmt"
	"syscall"
	"testing"
	"time"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/costing/stock"
)

// Each benchmark prints its rate, and the ratio of that to what we hold
// ourselves to: two million pieces or draws a second and core where everything
// is done, half of a bare fold over an array where only sums are asked. Seconds
// are those of a core, the collector's included, so that other work on the
// machine doesn't count.
const wanted = 2_000_000

// cpu is the time that cores have spent on this process.
func cpu() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// benchYard is a yard of 40 workers and 200 hulls with 30 stages each.
func benchYard(b *testing.B) *costing.Yard {
	y := newYard(b)
	y.Stages, y.Jobs, y.Workers = map[string]*costing.Stage{}, map[string]*costing.Job{}, map[string]*costing.Worker{}
	y.Shifts["day"].Hours = map[int]costing.Span{1: {Start: 420, End: 960}, 2: {Start: 420, End: 960}, 3: {Start: 420, End: 960}, 4: {Start: 420, End: 960}, 5: {Start: 420, End: 960}}
	for s := range 30 {
		key := fmt.Sprintf("S%02d", s)
		y.Stages[key] = &costing.Stage{Key: key, Absorption: always(costing.Price(18_500_000))}
		for h := range 200 {
			hull := fmt.Sprintf("H%03d", h)
			y.Jobs[hull+key] = &costing.Job{Key: hull + key, Stage: key, Purpose: costing.Build, Shares: []costing.ShareOf{{Hull: hull, Weight: 1}}}
		}
	}
	for w := range 40 {
		key := fmt.Sprintf("W%02d", w)
		y.Workers[key] = &costing.Worker{Key: key, Grade: "laminator", Shift: "day", Rates: always(costing.Price(21_350_000))}
	}
	y.Policy.OnCost = always(costing.Share(212_500))
	return y
}

// benchEntries is a worker's weeks: five bookings a day, each on another job of
// the few hulls that are being built.
func benchEntries(y *costing.Yard, weeks int) []*clock.Entry {
	var list []*clock.Entry
	for week := range weeks {
		for d := range 5 {
			day := monday + costing.Date(7*week+d)
			for i := range 6 {
				e := &clock.Entry{
					ID: fmt.Sprintf("e%d", len(list)), At: day.At(420+108*i, y.Zone), Station: "clock", N: int64(len(list)), Worker: "W00", Kind: clock.ClockOn,
					Job: fmt.Sprintf("H%03dS%02d", (week+i)%7, (week*3+i)%30),
				}
				if i == 5 {
					e.Kind, e.Job = clock.ClockOff, ""
				}
				list = append(list, e)
			}
		}
	}
	return list
}

func rate(b *testing.B, what string, n int, since time.Duration) {
	perSecond := float64(n) / (cpu() - since).Seconds()
	b.ReportMetric(perSecond, what+"/s")
	b.ReportMetric(perSecond/wanted, "×limit")
	b.ReportMetric(0, "ns/op")
}

// Pieces alone: entries to priced pieces.
func BenchmarkPieces(b *testing.B) { benchLabour(b, false) }

// Pieces with their postings, checked and added to the totals.
func BenchmarkPiecesPosted(b *testing.B) { benchLabour(b, true) }

func benchLabour(b *testing.B, posted bool) {
	y := benchYard(b)
	entries := benchEntries(y, 52)
	b.ReportAllocs()
	var ps []costing.Posting
	pieces, began := 0, cpu()
	for b.Loop() {
		tally := costing.NewTally()
		cw := clock.NewClockwork(y, func(p *clock.Piece) error {
			pieces++
			if !posted {
				return nil
			}
			var err error
			if ps, err = clock.AppendPostings(ps[:0], y, p); err != nil {
				return err
			}
			for i := range ps {
				tally.Add(&ps[i])
			}
			return costing.CheckBalance(ps)
		})
		for _, w := range y.Workers {
			var f clock.Fold
			for _, e := range entries {
				if err := cw.Apply(&f, w, e); err != nil {
					b.Fatal(err)
				}
			}
		}
		tally.Totals()
	}
	rate(b, "pieces", pieces, began)
}

func BenchmarkDraws(b *testing.B) {
	for _, method := range []costing.CostMethod{costing.ByLot, costing.ByAverage} {
		for _, posted := range []bool{false, true} {
			b.Run(fmt.Sprintf("%s/posted=%t", method, posted), func(b *testing.B) { benchDraws(b, method, posted) })
		}
	}
}

func benchDraws(b *testing.B, method costing.CostMethod, posted bool) {
	y := benchYard(b)
	y.Items["glass"].CostMethod = method
	y.Items["glass"].WasteMode, y.Items["glass"].WasteFactor = costing.Factored, always(costing.Share(80_000))
	events := []stock.Event{stock.Received(y.Lots["G1"])}
	for i := range 2000 {
		events = append(events, stock.Event{
			Source: fmt.Sprint("e", i), Kind: stock.Issue, At: monday.At(i, y.Zone), N: int64(i), Lot: "G1",
			Job: fmt.Sprintf("H%03dS%02d", i%7, i%30), Quantity: costing.Quantity(1000 + i),
		})
	}
	b.ReportAllocs()
	var ps []costing.Posting
	draws, began := 0, cpu()
	for b.Loop() {
		tally, book := costing.NewTally(), &stock.Book{}
		c := stock.Costing{Yard: y, AsOf: 1 << 50}
		for i := range 20 * len(events) { // as of twenty lots
			if i%len(events) == 0 {
				book = &stock.Book{}
			}
			e := events[i%len(events)]
			ch, err := c.Apply(book, e)
			if err != nil {
				b.Fatal(err)
			}
			draws++
			if !posted {
				continue
			}
			if ps, err = stock.AppendPostings(ps[:0], y, &ch); err != nil {
				b.Fatal(err)
			}
			for i := range ps {
				tally.Add(&ps[i])
			}
		}
		tally.Totals()
	}
	rate(b, "draws", draws, began)
}

// Sums only: what a set of pieces costs in all, exact and rounded once, against
// a bare fold over the same array in plain whole numbers.
func BenchmarkSums(b *testing.B) {
	type paid struct{ seconds, rate int64 }
	list := make([]paid, 1_000_000)
	for i := range list {
		list[i] = paid{int64(i%40_000 + 1), int64(15_000_000 + i)}
	}
	// Turns are taken, so that both meet the same machine.
	var spent [2]time.Duration
	var sum costing.Wide
	var bare int64
	for b.Loop() {
		began := cpu()
		sum = costing.Wide{}
		for _, p := range list {
			sum = sum.Add(costing.Mul(p.seconds*100, p.rate))
		}
		middle := cpu()
		bare = 0
		for _, p := range list {
			bare += p.seconds * 100 * p.rate
		}
		spent[0], spent[1] = spent[0]+middle-began, spent[1]+cpu()-middle
	}
	if sum.Lo != uint64(bare) {
		b.Fatal("the sums differ")
	}
	n := float64(b.N) * float64(len(list))
	b.ReportMetric(n/spent[0].Seconds(), "engine/s")
	b.ReportMetric(n/spent[1].Seconds(), "bare/s")
	b.ReportMetric(spent[1].Seconds()/spent[0].Seconds(), "×bare")
	b.ReportMetric(0, "ns/op")
}
