package load

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"time"

	"github.com/google/uuid"

	"hulltally/costing"
	"hulltally/models"
)

// A working day of the bulk: bookings and issues of a person.
const (
	bookingsADay = 7
	issuesADay   = 4
)

// Bulk records so many months of a yard in order, as fast as it goes, and
// prints a line a month: whether the time for a read grows with the history.
// Then it measures what is read back.
func (p *Program) Bulk(ctx context.Context, people, months int) (err error) {
	store, err := models.Open(ctx, p.Database)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	first := time.Date(2016, 1, 4, 0, 0, 0, 0, time.UTC)
	y, err := newYard(ctx, store, people, first)
	if err != nil {
		return err
	}
	start, err := bytesOf(ctx, store, p.Database)
	if err != nil {
		return err
	}
	fmt.Fprintf(p.Out, "%d months of %d people, %s\n  month      reads   reads/s  bytes/read  heap MB\n", months, people, store.Kind())
	total, day := 0, first
	for month := range months {
		began, n := time.Now(), 0
		for end := first.AddDate(0, month+1, 0); day.Before(end); day = day.AddDate(0, 0, 1) {
			if day.Weekday() == time.Saturday || day.Weekday() == time.Sunday {
				continue
			}
			reads := y.day(day, total+n)
			for part := range slices.Chunk(reads, 2000) {
				if _, err := store.Scan(ctx, part, costing.InstantOf(day.AddDate(0, 0, 1)), nil); err != nil {
					return err
				}
			}
			n += len(reads)
		}
		total += n
		size, err := bytesOf(ctx, store, p.Database)
		if err != nil {
			return err
		}
		var memory runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&memory)
		fmt.Fprintf(p.Out, "  %5d %10d %9.0f %11.0f %8d\n", month+1, total, float64(n)/time.Since(began).Seconds(), float64(size-start)/float64(total), memory.HeapAlloc>>20)
	}
	return p.readBack(ctx, store, total)
}

// day is everything scanned on a day, in order: people change jobs, draw
// material at their station, and go home.
func (y *yard) day(day time.Time, salt int) []models.ReadRow {
	var list []models.ReadRow
	scan := func(station int, at time.Time, payloads ...string) {
		for i, payload := range payloads {
			list = append(list, models.ReadRow{
				ID: uuid.NewString(), Station: stationName(station), N: at.Unix()*1000 + int64(len(list)%1000),
				At: costing.InstantOf(at.Add(time.Duration(i) * 700 * time.Millisecond)), Payload: payload,
			})
		}
	}
	for w := range y.people {
		station := w / peopleAtStation % y.stations
		begin := day.Add(6*time.Hour + 55*time.Minute + time.Duration(w%peopleAtStation)*37*time.Second)
		for b := range bookingsADay {
			at := begin.Add(time.Duration(b) * 75 * time.Minute)
			job := y.jobs[(w*31+b*7+salt/1000)%len(y.jobs)]
			reads := []string{y.badges[w], job}
			if b < issuesADay {
				reads = append(reads, y.lots[(w*13+b*5+salt/777)%len(y.lots)], "0.25")
			}
			scan(station, at, reads...)
		}
		scan(station, begin.Add(9*time.Hour+5*time.Minute), y.badges[w], y.off)
	}
	slices.SortStableFunc(list, func(a, b models.ReadRow) int { return int(a.At - b.At) })
	return list
}

func (p *Program) readBack(ctx context.Context, store *models.Store, reads int) error {
	began := time.Now()
	rows, err := store.StreamOut(ctx)
	if err != nil {
		return err
	}
	streamed := time.Since(began)
	began = time.Now()
	differences, err := store.Check(ctx, func(string, int, int) {})
	if err != nil {
		return err
	}
	checked := time.Since(began)
	fmt.Fprintf(p.Out, "  %d rows read out in %.1f s; everything computed anew and compared in %.1f s (%.2f of reading out), %d differences; %d reads\n",
		rows, streamed.Seconds(), checked.Seconds(), streamed.Seconds()/checked.Seconds(), len(differences), reads)
	if len(differences) > 0 {
		return fmt.Errorf("the books are not as a rebuild makes them, first %+v", differences[0])
	}
	return nil
}
