// Package bare writes the rows that reads make with nothing computed: the limit
// that everything which takes reads in is measured against.
package bare

import (
	"context"
	"fmt"

	"github.com/google/uuid"

	"hulltally/models"
)

// Write writes the rows that n reads make (a read each; for two reads an entry,
// a piece, four postings, the totals, the heads), a group a transaction, with
// nothing computed: the limit the intake is measured against. A group is as
// many reads as there are senders, the most that can wait for one commit.
func Write(ctx context.Context, s *models.Store, group, from int) error {
	return s.InTx(ctx, func(tx *models.Tx) error {
		pairs := group / 2
		for _, write := range []func(context.Context, *models.Tx, int, int) error{
			bareReads, bareEntries, barePieces, barePostings, bareTotals, bareHeads,
		} {
			if err := write(ctx, tx, pairs, from); err != nil {
				return err
			}
		}
		return nil
	})
}

// fill makes a column of n equal texts, and ints one of numbers from a start.
func fill(name, v string, n int) models.Column {
	list := make([]string, n)
	for i := range list {
		list[i] = v
	}
	return models.Column{Name: name, Values: list}
}

func ints(name string, from, n int) models.Column {
	list := make([]int64, n)
	for i := range list {
		list[i] = int64(from + i)
	}
	return models.Column{Name: name, Values: list}
}

func ids(name string, n int) models.Column {
	list := make([]string, n)
	for i := range list {
		list[i] = uuid.NewString()
	}
	return models.Column{Name: name, Values: list}
}

func bareReads(ctx context.Context, tx *models.Tx, pairs, from int) error {
	n := 2 * pairs
	return tx.Insert(ctx, "reads", "", ids("id", n), fill("station", "ST000", n), ints("n", from, n), ints("at_ms", 1_772_000_000_000+from, n),
		fill("payload", "J000001C", n), ints("received_ms", 1_772_000_000_000, n), fill("flag", "", n), fill("outcome", "done", n),
		fill("code", "clocked_on", n), fill("detail", "", n))
}

func bareEntries(ctx context.Context, tx *models.Tx, pairs, from int) error {
	return tx.Insert(ctx, "entries", "", ids("id", pairs), ints("at_ms", 1_772_000_000_000+from, pairs), fill("station", "ST000", pairs),
		ints("n", from, pairs), fill("kind", "on", pairs), fill("worker", "W0001", pairs), fill("crew", "", pairs), fill("job", "J0001", pairs),
		fill("indirect", "", pairs), fill("lot", "", pairs), ints("quantity", 0, pairs), ints("percent", 0, pairs), fill("voided_by", "", pairs),
		ints("voided_at_ms", 0, pairs))
}

func barePieces(ctx context.Context, tx *models.Tx, pairs, from int) error {
	return tx.Insert(ctx, "pieces", "", fill("unit", "bare", pairs), ints("seq", from, pairs), fill("worker", "W0001", pairs),
		ids("opened", pairs), ids("closed", pairs), fill("station", "ST000", pairs), fill("date", "2026-03-02", pairs),
		ints("start_s", 1_772_000_000, pairs), ints("seconds", 400, pairs), fill("band", "ordinary", pairs), fill("job", "J0001", pairs),
		fill("indirect", "", pairs), ints("provisional", 0, pairs), ints("no_rate", 0, pairs), ints("base", 1, pairs), ints("on_cost", 1, pairs),
		ints("premium", 0, pairs), ints("premium_on_cost", 0, pairs), ints("overhead", 1, pairs))
}

// barePostings: base, on-cost and overhead.
func barePostings(ctx context.Context, tx *models.Tx, pairs, from int) error {
	n := 3 * pairs
	return tx.Insert(ctx, "postings", "", fill("unit", "bare", n), ints("seq", 3*from, n), ids("source", n), fill("date", "2026-03-02", n),
		ints("period", 202603, n), fill("debit", "work in progress", n), fill("credit", "wages payable", n), fill("hull", "H1", n),
		fill("stage", "S1", n), fill("job", "J0001", n), fill("element", "labour", n), fill("purpose", "build", n), fill("detail", "B", n),
		ints("seconds", 400, n), ints("quantity", 0, n), ints("net", 0, n), ints("waste", 0, n), ints("amount", 100, n))
}

// cells is how many totals a group touches: few, since they are added up first.
const cells = 32

func bareTotals(ctx context.Context, tx *models.Tx, _, _ int) error {
	keys := make([]string, cells)
	for i := range keys {
		keys[i] = fmt.Sprintf("bare%02d", i)
	}
	k := func(name string) models.Column { return models.Column{Name: name, Values: keys} }
	err := tx.Insert(ctx, "totals",
		"ON CONFLICT (hull, stage, element, purpose, period) DO UPDATE SET seconds = totals.seconds + excluded.seconds, amount = totals.amount + excluded.amount",
		k("hull"), fill("stage", "S1", cells), fill("element", "labour", cells), fill("purpose", "build", cells), fillInt("period", 202603, cells),
		ints("seconds", 1, cells), ints("amount", 1, cells))
	if err != nil {
		return err
	}
	return tx.Insert(ctx, "fine_totals",
		"ON CONFLICT (hull, job, element, detail, period) DO UPDATE SET seconds = fine_totals.seconds + excluded.seconds, amount = fine_totals.amount + excluded.amount",
		k("hull"), fill("job", "J1", cells), fill("element", "labour", cells), fill("detail", "B", cells), fillInt("period", 202603, cells),
		ints("seconds", 1, cells), ints("quantity", 0, cells), ints("net", 0, cells), ints("waste", 0, cells), ints("amount", 1, cells))
}

func fillInt(name string, v int64, n int) models.Column {
	list := make([]int64, n)
	for i := range list {
		list[i] = v
	}
	return models.Column{Name: name, Values: list}
}

// foldText is as long as a stored fold.
const foldText = `{"open":{"entry":"00000000-0000-0000-0000-000000000000","at":1772000000000,"job":"J0001","station":"ST000"},"week":20514,"day":20515,` +
	`"day_s":12000,"week_s":12000,"base":{"s":{"l":123456789},"p":1234},"on_cost":{"s":{"l":123456789},"p":1234},"overhead":{"s":{"l":123456789},"p":1234}}`

func bareHeads(ctx context.Context, tx *models.Tx, pairs, _ int) error {
	workers := make([]string, pairs)
	for i := range workers {
		workers[i] = fmt.Sprintf("bare%04d", i)
	}
	err := tx.Insert(ctx, "worker_heads", "ON CONFLICT (worker) DO UPDATE SET fold = excluded.fold, pieces = excluded.pieces",
		models.Column{Name: "worker", Values: workers}, fill("week", "2026-03-02", pairs), ints("last_at_ms", 0, pairs), ints("last_correction", 0, pairs),
		fill("last_station", "ST000", pairs), ints("last_n", 0, pairs), ids("last_id", pairs), ints("pieces", 0, pairs), ints("postings", 0, pairs),
		fillInt("is_open", 0, pairs), fill("fold", foldText, pairs))
	if err != nil {
		return err
	}
	stations := make([]string, min(pairs, 64))
	for i := range stations {
		stations[i] = fmt.Sprintf("bare%03d", i)
	}
	n := len(stations)
	return tx.Insert(ctx, "station_heads", "ON CONFLICT (station) DO UPDATE SET context = excluded.context",
		models.Column{Name: "station", Values: stations}, ints("at_ms", 0, n), ints("n", 0, n), ids("read_id", n), fill("context", foldText[:100], n))
}
