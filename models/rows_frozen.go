package models

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"

	"hulltally/costing"
	"hulltally/costing/clock"
)

// The kinds of a frozen line.
const (
	frozenPosting    = "posting"    // of the month itself
	frozenAdjustment = "adjustment" // of a month before
	frozenAccrual    = "accrual"    // of a booking that nobody had ended at the close
)

// FrozenRow is a row of frozen.csv: one line of the books of a month as it was
// when the month was closed. Amounts are in minor units.
type FrozenRow struct {
	Closed   costing.Instant  `gorm:"column:closed_ms;primaryKey;autoIncrement:false" csv:"closed,key"`
	Seq      int64            `gorm:"primaryKey;autoIncrement:false" csv:"seq,key"`
	Kind     string           `csv:"kind,oneof=posting|adjustment|accrual"`
	Source   string           `csv:"source"`
	Date     Day              `csv:"date"`
	Debit    string           `csv:"debit"`
	Credit   string           `csv:"credit"`
	Hull     string           `csv:"hull,opt"`
	Stage    string           `csv:"stage,opt"`
	Job      string           `csv:"job,opt"`
	Element  string           `csv:"element,opt"`
	Purpose  string           `csv:"purpose,opt"`
	Detail   string           `csv:"detail,opt"`
	Seconds  int64            `csv:"seconds,range=-9000000000000000..9000000000000000"`
	Quantity costing.Quantity `csv:"quantity"`
	Net      costing.Quantity `csv:"net"`
	Waste    costing.Quantity `csv:"waste"`
	Amount   int64            `csv:"amount,range=-9000000000000000000..9000000000000000000"`
	Period   int64            `csv:"period,hidden"`
}

func frozenRow(closed costing.Instant, seq int, kind string, p *costing.Posting) FrozenRow {
	return FrozenRow{
		Closed: closed, Seq: int64(seq), Kind: kind, Source: p.Source, Date: Day(p.Date.String()), Debit: string(p.Debit), Credit: string(p.Credit),
		Hull: p.Hull, Stage: p.Stage, Job: p.Job, Element: string(p.Element), Purpose: string(p.Purpose), Detail: p.Detail,
		Seconds: p.Seconds, Quantity: p.Quantity, Net: p.Net, Waste: p.Waste, Amount: int64(p.Amount), Period: int64(p.Period()),
	}
}

// FrozenPayRow is a row of frozen_pay.csv: what was paid a worker for a day and
// band when the month was closed. Amounts are in minor units.
type FrozenPayRow struct {
	Closed        costing.Instant `gorm:"column:closed_ms;primaryKey;autoIncrement:false" csv:"closed,key"`
	Worker        string          `gorm:"primaryKey" csv:"worker,key"`
	Date          Day             `gorm:"primaryKey" csv:"date,key"`
	Band          string          `gorm:"primaryKey" csv:"band,key"`
	Seconds       int64           `csv:"seconds,range=-9000000000000000..9000000000000000"`
	Booked        int64           `csv:"booked,range=-9000000000000000..9000000000000000"`
	Indirect      int64           `csv:"indirect,range=-9000000000000000..9000000000000000"`
	Provisional   int64           `csv:"provisional,range=-9000000000000000..9000000000000000"`
	Base          int64           `csv:"base,range=-9000000000000000..9000000000000000"`
	OnCost        int64           `csv:"on_cost,range=-9000000000000000..9000000000000000"`
	Premium       int64           `csv:"premium,range=-9000000000000000..9000000000000000"`
	PremiumOnCost int64           `csv:"premium_on_cost,range=-9000000000000000..9000000000000000"`
}

// SignedRow is a row of signed.csv: a row of a table that was signed with a
// close, its cells as JSON. Row 0 says what the columns are.
type SignedRow struct {
	Closed costing.Instant `gorm:"column:closed_ms;primaryKey;autoIncrement:false" csv:"closed,key"`
	Name   string          `gorm:"primaryKey" csv:"name,key"`
	Seq    int64           `gorm:"primaryKey;autoIncrement:false" csv:"seq,key"`
	Cells  string          `csv:"cells,is=raw"`
}

var (
	frozenFile    = newFile[FrozenRow]("frozen")
	frozenPayFile = newFile[FrozenPayRow]("frozen_pay")
	signedFile    = newFile[SignedRow]("signed")
)

// closedFiles hold what was frozen with each close. They come with closes.csv
// and are held to its digest; nobody writes them by hand.
var closedFiles = []yardFile{frozenFile, frozenPayFile, signedFile}

// frozen is all that one close froze.
type frozen struct {
	lines  []FrozenRow
	pay    []FrozenPayRow
	signed []SignedRow
}

// digest seals what was frozen: lengths stand before texts, so that nothing
// can be moved from one cell to the next.
func (f *frozen) digest() string {
	h := sha256.New()
	sealRows(h, frozenFile, f.lines)
	sealRows(h, frozenPayFile, f.pay)
	sealRows(h, signedFile, f.signed)
	return hex.EncodeToString(h.Sum(nil))
}

func sealRows[R any](h io.Writer, f *file[R], rows []R) {
	fmt.Fprintf(h, "%s %d\n", f.stem, len(rows))
	for i := range rows {
		for j, cell := range f.cellsOf(&rows[i]) {
			if !f.columns[j].hidden {
				fmt.Fprintf(h, "%d:%s|", len(cell), cell)
			}
		}
	}
}

// frozenBy reads what a close froze, in order.
func (tx *Tx) frozenBy(ctx context.Context, closed costing.Instant) (*frozen, error) {
	f := &frozen{}
	db := tx.DB.WithContext(ctx)
	if err := db.Table(frozenFile.stem).Order("seq").Find(&f.lines, "closed_ms = ?", closed).Error; err != nil {
		return nil, err
	}
	if err := db.Table(frozenPayFile.stem).Find(&f.pay, "closed_ms = ?", closed).Error; err != nil {
		return nil, err
	}
	if err := db.Table(signedFile.stem).Find(&f.signed, "closed_ms = ?", closed).Error; err != nil {
		return nil, err
	}
	f.sort()
	return f, nil
}

// dumpClosed writes one of the closed files, a close at a time.
func dumpClosed[R any](ctx context.Context, tx *Tx, f *file[R], closes []CloseRow, w io.Writer, rows func(*frozen) []R) error {
	out, err := f.newWriter(w)
	if err != nil {
		return err
	}
	for i := range closes {
		if closes[i].Kind != string(costing.Closed) {
			continue
		}
		held, err := tx.frozenBy(ctx, closes[i].At)
		if err != nil {
			return err
		}
		list := rows(held)
		for j := range list {
			if err := out.write(&list[j]); err != nil {
				return err
			}
		}
	}
	return out.close()
}

// SignedTable is a table as it was signed with a close: its columns and rows
// of text, whole seconds or nothing.
type SignedTable struct {
	Name    string
	Columns json.RawMessage
	Rows    [][]any
}

// rows are the table's rows as they are kept.
func (t *SignedTable) rows(closed costing.Instant) ([]SignedRow, error) {
	list := []SignedRow{{closed, t.Name, 0, string(t.Columns)}}
	for i, row := range t.Rows {
		cells, err := json.Marshal(row)
		if err != nil {
			return nil, err
		}
		list = append(list, SignedRow{closed, t.Name, int64(i + 1), string(cells)})
	}
	return list, nil
}

// payKey is what pay is gathered by.
type payKey struct {
	worker string
	day    costing.Date
	band   clock.Band
}

// sort puts everything in the order that the digest is made in.
func (f *frozen) sort() {
	slices.SortFunc(f.lines, func(a, b FrozenRow) int { return cmp.Compare(a.Seq, b.Seq) })
	slices.SortFunc(f.pay, func(a, b FrozenPayRow) int {
		return cmp.Or(cmp.Compare(a.Worker, b.Worker), cmp.Compare(a.Date, b.Date), cmp.Compare(a.Band, b.Band))
	})
	slices.SortFunc(f.signed, func(a, b SignedRow) int { return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.Seq, b.Seq)) })
}

// dumpFrozen writes the closed files.
func (tx *Tx) dumpFrozen(ctx context.Context, dir string) error {
	closes, err := tx.closeRows(ctx)
	if err != nil {
		return err
	}
	for name, write := range map[string]func(w io.Writer) error{
		frozenFile.name(): func(w io.Writer) error {
			return dumpClosed(ctx, tx, frozenFile, closes, w, func(f *frozen) []FrozenRow { return f.lines })
		},
		frozenPayFile.name(): func(w io.Writer) error {
			return dumpClosed(ctx, tx, frozenPayFile, closes, w, func(f *frozen) []FrozenPayRow { return f.pay })
		},
		signedFile.name(): func(w io.Writer) error {
			return dumpClosed(ctx, tx, signedFile, closes, w, func(f *frozen) []SignedRow { return f.signed })
		},
	} {
		if err := writeFile(filepath.Join(dir, name), write); err != nil {
			return fmt.Errorf("writing %s: %w", name, err)
		}
	}
	return nil
}
