package models

import (
	"fmt"
	"slices"

	"hulltally/costing"
)

// findOverIssues: lots of which more was issued than they held. What is issued
// on top of it is a new thing to settle.
func findOverIssues(x *looking) ([]Exception, error) {
	books, err := x.tx.stockBooks()
	if err != nil {
		return nil, err
	}
	var list []Exception
	for _, b := range books {
		for lot, shelf := range b.Lots {
			if shelf.Closing() >= 0 {
				continue
			}
			unit, item, at := "", "", costing.Instant(0)
			if l := x.snap.Yard.Lots[lot]; l != nil && x.snap.Yard.Items[l.Item] != nil {
				it := x.snap.Yard.Items[l.Item]
				unit, item, at = string(it.StockUnit), it.Name, l.Received
			}
			list = append(list, Exception{
				ID: lot + "/" + (-shelf.Closing()).String(), At: at, Lot: lot,
				What: fmt.Sprintf("%s: %s %s more was issued than the lot held.", item, -shelf.Closing(), unit),
				Ask:  "Have the lot counted; this goes when it has.",
			})
		}
	}
	return list, nil
}

// findExpired: issues of lots past their date for which nobody gave a reason.
// The resin maker's data sheet decides.
func findExpired(x *looking) ([]Exception, error) {
	var lots []string
	for key, l := range x.snap.Yard.Lots {
		if l.Expires != nil && *l.Expires < x.day {
			lots = append(lots, key)
		}
	}
	slices.Sort(lots)
	reasons, err := stockReasonsFile.all(x.ctx, x.tx)
	if err != nil {
		return nil, err
	}
	type issued struct {
		station, lot string
		at           costing.Instant
	}
	given := map[issued]bool{}
	for _, r := range reasons {
		if r.Kind == "expired" {
			given[issued{r.Station, r.Lot, r.At}] = true
		}
	}
	var list []Exception
	for part := range slices.Chunk(lots, 1000) {
		drawn, err := x.tx.noted(x.ctx, "kind = 'issue' AND voided_by = '' AND lot IN ?", part)
		if err != nil {
			return nil, err
		}
		for _, e := range drawn {
			l := x.snap.Yard.Lots[e.Lot]
			if costing.DateOf(e.At, x.snap.Yard.Zone) <= *l.Expires || given[issued{e.Station, e.Lot, e.At}] {
				continue
			}
			list = append(list, Exception{
				ID: e.ID, At: e.At, Worker: e.Worker, Job: e.Job, Lot: e.Lot, Station: e.Station,
				What: fmt.Sprintf("Issued on %s, though it expired on %s.", x.snap.dayTime(e.At), *l.Expires),
				Ask:  "Give the reason, as the maker's data sheet allows.",
			})
		}
	}
	return list, nil
}
