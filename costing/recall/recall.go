// Package recall follows material both ways: from a supplier's batch, or a lot,
// to every hull, stage, part, worker and date it went into, and from a hull to
// every batch aboard.
package recall

import (
	"cmp"
	"slices"

	"hulltally/costing"
	"hulltally/costing/stock"
)

// Move is one movement of a lot with the hull that it concerns. A movement of
// a job that several hulls share is a move for each.
type Move struct {
	Lot, Worker, Hull, Job string
	Kind                   stock.Kind
	Day                    costing.Date
	Quantity               costing.Quantity // what left the lot; negative came back
	Waste                  costing.Quantity // of it, weighed as waste
}

// Place is where a quantity of a lot is, or what became of it.
type Place string

// The places.
const (
	Aboard     Place = "hull"  // issued to a job of a hull, waste taken with it
	OnShelf    Place = "shelf" // what the lot should hold
	Scrapped   Place = "scrap"
	Offcut     Place = "offcut" // became a lot of its own, whose rows follow it
	Difference Place = "count"  // what counts found missing (or, negative, over)
)

// Row is what went to one place. Of a hull it is told apart by job, worker and
// day. The quantities of a lot's rows add up to what came in.
type Row struct {
	Item, Lot, Batch  string
	Place             Place
	Hull, Stage, Job  string
	Part, Worker      string
	Day               costing.Date // of a hull's rows
	Quantity, Waste   costing.Quantity
	Received, Expires costing.Date // of the lot; Expires is FromStart where it keeps
	Shared            bool         // the job is shared by several hulls
	Purpose           costing.Purpose
}

// Rows gathers moves of whole lots, with what is left of each.
func Rows(y *costing.Yard, moves []Move, left map[string]costing.Quantity) []Row {
	type key struct {
		lot, hull, job, worker string
		place                  Place
		day                    costing.Date
	}
	sums := map[key]*Row{}
	add := func(k key, quantity, waste costing.Quantity) {
		r := sums[k]
		if r == nil {
			row := newRow(y, k.lot, k.place)
			row.Hull, row.Job, row.Worker, row.Day = k.hull, k.job, k.worker, k.day
			if job := y.Jobs[k.job]; job != nil {
				row.Stage, row.Part, row.Purpose, row.Shared = job.Stage, job.Part, job.Purpose, len(job.Shares) > 1
			}
			r = &row
			sums[k] = r
		}
		r.Quantity += quantity
		r.Waste += waste
	}
	for i := range moves {
		m := &moves[i]
		switch m.Kind {
		case stock.Receipt:
		case stock.Scrap:
			add(key{lot: m.Lot, place: Scrapped}, m.Quantity, 0)
		case stock.Cut:
			add(key{lot: m.Lot, place: Offcut}, m.Quantity, 0)
		case stock.Difference:
			// A count moves nothing to anybody: of a hull it says what the hull
			// bore of the difference.
			add(key{lot: m.Lot, hull: m.Hull, job: m.Job, place: Difference, day: m.Day}, m.Quantity, 0)
		default:
			add(key{m.Lot, m.Hull, m.Job, m.Worker, Aboard, m.Day}, m.Quantity, m.Waste)
		}
	}
	for lot, q := range left {
		add(key{lot: lot, place: OnShelf}, q, 0)
	}
	list := make([]Row, 0, len(sums))
	for _, r := range sums {
		if r.Quantity != 0 || r.Waste != 0 {
			list = append(list, *r)
		}
	}
	slices.SortFunc(list, compare)
	return list
}

func newRow(y *costing.Yard, lot string, place Place) Row {
	r := Row{Lot: lot, Place: place, Expires: costing.FromStart}
	if l := y.Lots[lot]; l != nil {
		r.Item, r.Batch, r.Received = l.Item, l.SupplierBatch, costing.DateOf(l.Received, y.Zone)
		for up := y.Lots[l.Parent]; r.Batch == "" && up != nil; up = y.Lots[up.Parent] {
			r.Batch = up.SupplierBatch // an offcut is of its parent's batch
		}
		if l.Expires != nil {
			r.Expires = *l.Expires
		}
	}
	return r
}

var placeOrder = map[Place]int{Aboard: 0, Offcut: 1, OnShelf: 2, Scrapped: 3, Difference: 4}

func compare(a, b Row) int {
	return cmp.Or(cmp.Compare(a.Item, b.Item), cmp.Compare(a.Lot, b.Lot), cmp.Compare(placeOrder[a.Place], placeOrder[b.Place]),
		cmp.Compare(a.Hull, b.Hull), cmp.Compare(a.Day, b.Day), cmp.Compare(a.Job, b.Job), cmp.Compare(a.Worker, b.Worker))
}

// Hit is a hull that a batch went into.
type Hit struct {
	Hull   string
	Stages []string
	Jobs   int
	From   costing.Date
	To     costing.Date
}

// Hulls sums up which hulls the rows lead to, for the head of a recall.
func Hulls(rows []Row) []Hit {
	hits := map[string]*Hit{}
	jobs := map[[2]string]bool{}
	for i := range rows {
		r := &rows[i]
		if r.Place != Aboard {
			continue
		}
		h := hits[r.Hull]
		if h == nil {
			h = &Hit{Hull: r.Hull, From: r.Day, To: r.Day}
			hits[r.Hull] = h
		}
		h.From, h.To = min(h.From, r.Day), max(h.To, r.Day)
		if !slices.Contains(h.Stages, r.Stage) {
			h.Stages = append(h.Stages, r.Stage)
		}
		if k := [2]string{r.Hull, r.Job}; !jobs[k] {
			jobs[k] = true
			h.Jobs++
		}
	}
	list := make([]Hit, 0, len(hits))
	for _, h := range hits {
		slices.Sort(h.Stages)
		list = append(list, *h)
	}
	slices.SortFunc(list, func(a, b Hit) int { return cmp.Compare(a.Hull, b.Hull) })
	return list
}
