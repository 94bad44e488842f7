package recall_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hulltally/costing"
	"hulltally/costing/recall"
	"hulltally/costing/stock"
)

func newYard() *costing.Yard {
	return &costing.Yard{
		Zone: time.UTC, Currency: costing.Currency{Code: "EUR", Minor: 2},
		Jobs: map[string]*costing.Job{
			"J1": {Key: "J1", Stage: "LAM", Part: "hull", Shares: []costing.ShareOf{{Hull: "H1", Weight: 1}}},
			"JB": {Key: "JB", Stage: "SUP", Part: "hatches", Shares: []costing.ShareOf{{Hull: "H1", Weight: 2}, {Hull: "H2", Weight: 1}}},
		},
		Items: map[string]*costing.Item{"RES": {Key: "RES", StockUnit: costing.Kilogram}},
		Lots:  map[string]*costing.Lot{"L1": {Key: "L1", Item: "RES", SupplierBatch: "B7", Received: 86_400_000, Quantity: 100}},
	}
}

// Worked by hand: two draws of one worker on a day are a row, a return is taken
// off, waste stands beside, and the batch of two hulls is divided between them.
func TestRowsByHand(t *testing.T) {
	y := newYard()
	rows := recall.Rows(y, []recall.Move{
		{Lot: "L1", Worker: "W1", Hull: "H1", Job: "J1", Kind: stock.Issue, Day: 5, Quantity: 20},
		{Lot: "L1", Worker: "W1", Hull: "H1", Job: "J1", Kind: stock.Issue, Day: 5, Quantity: 10},
		{Lot: "L1", Worker: "W2", Hull: "H1", Job: "J1", Kind: stock.Return, Day: 6, Quantity: -4},
		{Lot: "L1", Worker: "W1", Hull: "H1", Job: "J1", Kind: stock.Waste, Day: 5, Waste: 3},
		{Lot: "L1", Worker: "W1", Hull: "H2", Job: "JB", Kind: stock.Issue, Day: 7, Quantity: 5},
		{Lot: "L1", Kind: stock.Scrap, Day: 8, Quantity: 2},
		{Lot: "L1", Kind: stock.Difference, Day: 9, Quantity: 1},
	}, map[string]costing.Quantity{"L1": 66})
	require.Len(t, rows, 6)
	assert.Equal(t, recall.Row{
		Item: "RES", Lot: "L1", Batch: "B7", Place: recall.Aboard, Hull: "H1", Stage: "LAM", Job: "J1", Part: "hull", Worker: "W1", Day: 5,
		Quantity: 30, Waste: 3, Received: 1, Expires: costing.FromStart,
	}, rows[0])
	var all costing.Quantity
	for _, r := range rows {
		all += r.Quantity
	}
	assert.Equal(t, costing.Quantity(100), all)
	assert.Equal(t, []recall.Hit{{Hull: "H1", Stages: []string{"LAM"}, Jobs: 1, From: 5, To: 6}, {Hull: "H2", Stages: []string{"SUP"}, Jobs: 1, From: 7, To: 7}},
		recall.Hulls(rows))
}

// Whatever happens to a lot, its rows come to what was received.
func TestNothingOfALotIsLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := newYard()
		y.Lots["L1"].Quantity = 1_000_000_000
		c, book := stock.Costing{Yard: y, AsOf: 1 << 60}, &stock.Book{}
		events := []stock.Event{stock.Received(y.Lots["L1"])}
		for i := range rapid.IntRange(0, 12).Draw(t, "n") {
			events = append(events, stock.Event{
				Kind: rapid.SampledFrom([]stock.Kind{stock.Issue, stock.Return, stock.Scrap, stock.Difference, stock.Waste}).Draw(t, "kind"),
				Lot:  "L1", Job: rapid.SampledFrom([]string{"J1", "JB"}).Draw(t, "job"), At: costing.Instant(100_000_000 + i*40_000_000),
				Quantity: costing.Quantity(rapid.Int64Range(1, 300_000_000).Draw(t, "q")),
			})
		}
		var moves []recall.Move
		for _, e := range events {
			if e.Kind == stock.Scrap || e.Kind == stock.Difference {
				e.Job = ""
			}
			ch, err := c.Apply(book, e)
			require.NoError(t, err)
			if e.Job == "" {
				moves = append(moves, recall.Move{Lot: "L1", Kind: ch.Kind, Day: ch.Date, Quantity: ch.Drawn})
				continue
			}
			ps, err := stock.Postings(y, &ch)
			require.NoError(t, err)
			for _, p := range ps {
				moves = append(moves, recall.Move{Lot: "L1", Hull: p.Hull, Job: p.Job, Kind: ch.Kind, Day: ch.Date, Quantity: p.Quantity, Waste: p.Waste})
			}
		}
		var all costing.Quantity
		for _, r := range recall.Rows(y, moves, map[string]costing.Quantity{"L1": book.Lots["L1"].Closing()}) {
			all += r.Quantity
		}
		assert.Equal(t, y.Lots["L1"].Quantity, all)
	})
}
