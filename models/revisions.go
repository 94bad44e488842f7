package models

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/revise"
)

// Revisions lists the revisions of a hull, or of all, by hull and number.
func (tx *Tx) Revisions(ctx context.Context, hull string) ([]RevisionRow, error) {
	var rows []RevisionRow
	q := tx.DB.WithContext(ctx).Order("hull, revision")
	if hull != "" {
		q = q.Where("hull = ?", hull)
	}
	return rows, q.Find(&rows).Error
}

// Baselines lists the signed revisions by hull.
func (tx *Tx) Baselines(ctx context.Context) (map[string]BaselineRow, error) {
	rows, err := baselinesFile.all(ctx, tx)
	byHull := make(map[string]BaselineRow, len(rows))
	for _, r := range rows {
		byHull[r.Hull] = r
	}
	return byHull, err
}

// Revision reads one revision with its lines.
func (tx *Tx) Revision(ctx context.Context, hull string, number int) (*revise.Revision, *RevisionRow, error) {
	var heads []RevisionRow
	db := tx.DB.WithContext(ctx)
	if err := db.Find(&heads, "hull = ? AND revision = ?", hull, number).Error; err != nil {
		return nil, nil, err
	}
	if len(heads) == 0 {
		return nil, nil, Errorf(NotFound, "there is no revision %d of %.40q", number, hull)
	}
	var lines []RevisionLineRow
	if err := db.Order("line").Find(&lines, "hull = ? AND revision = ?", hull, number).Error; err != nil {
		return nil, nil, err
	}
	head := &heads[0]
	day, err := head.Day.Date()
	if err != nil {
		return nil, nil, err
	}
	r := &revise.Revision{
		Hull: hull, Number: number, Model: head.Model, Basis: head.Basis, Day: day,
		Price: int64(head.Price), PriceCurrency: head.PriceCurrency, PriceRate: head.PriceRate,
	}
	for i := range lines {
		l := &lines[i]
		line := revise.Line{
			Job: l.Job, Stage: l.Stage, Part: l.Part, Purpose: costing.Purpose(l.Purpose), Element: costing.Element(l.Element),
			Key: l.Key, Quantity: l.Quantity, Waste: orZero(l.Waste), Rate: l.StandardRate,
		}
		if l.Shares != "" {
			if line.Shares, err = parseShares(l.Shares); err != nil {
				return nil, nil, err
			}
		}
		r.Lines = append(r.Lines, line)
	}
	return r, head, nil
}

// lastRevision is the number of a hull's latest revision; 0 where it has none.
func (tx *Tx) lastRevision(ctx context.Context, hull string) (n int, err error) {
	err = tx.DB.WithContext(ctx).Raw("SELECT COALESCE(MAX(revision), 0) FROM revisions WHERE hull = ?", hull).Scan(&n).Error
	return n, err
}

// KeepRevision keeps a revision under the hull's next number, which it gives.
// Problems come back as *Problems, with the number of the line in Line − 1.
func (s *Store) KeepRevision(ctx context.Context, r *revise.Revision, opts LoadOptions) (number int, err error) {
	err = s.InTx(ctx, func(tx *Tx) error {
		number, err = tx.keepRevision(ctx, r, opts)
		return err
	})
	return number, err
}

func (tx *Tx) keepRevision(ctx context.Context, r *revise.Revision, opts LoadOptions) (int, error) {
	last, err := tx.lastRevision(ctx, r.Hull)
	if err != nil {
		return 0, err
	}
	number := last + 1
	files, err := FilesOf(revisionRows(r, number, opts)...)
	if err != nil {
		return 0, err
	}
	opts.Subject = r.Hull + " revision " + strconv.Itoa(number)
	_, err = tx.Enter(ctx, files, opts)
	return number, err
}

// revisionRows are a revision's rows under a number.
func revisionRows(r *revise.Revision, number int, opts LoadOptions) []any {
	rows := []any{RevisionRow{
		Hull: r.Hull, Revision: number, Model: r.Model, Basis: r.Basis, Day: Day(r.Day.String()), Price: Decimal(r.Price),
		PriceCurrency: r.PriceCurrency, PriceRate: r.PriceRate, MadeMs: opts.Now, Who: opts.Who,
	}}
	for i := range r.Lines {
		l := &r.Lines[i]
		row := RevisionLineRow{
			Hull: r.Hull, Revision: number, Line: i + 1, Job: l.Job, Stage: l.Stage, Part: l.Part, Purpose: string(l.Purpose),
			Shares: sharesText(l.Shares), Element: string(l.Element), Key: l.Key, Quantity: l.Quantity, StandardRate: l.Rate,
		}
		if l.Waste != 0 {
			waste := l.Waste
			row.Waste = &waste
		}
		rows = append(rows, row)
	}
	return rows
}

func sharesText(shares []costing.ShareOf) string {
	parts := make([]string, len(shares))
	for i, s := range shares {
		parts[i] = s.Hull + ":" + strconv.FormatInt(s.Weight, 10)
	}
	return strings.Join(parts, ";")
}

// Signing is a contract as it was signed on a revision.
type Signing struct {
	Hull     string
	Revision int
	Name     string
	Signed   Day
	Due      Day
}

// Sign makes a revision the baseline: the hull, its jobs and its estimate enter
// the books, and the estimate changes by change orders alone from then on. What
// the hull is sold for is the revision's.
func (s *Store) Sign(ctx context.Context, sg Signing, opts LoadOptions) error {
	return s.InTx(ctx, func(tx *Tx) error {
		r, _, err := tx.Revision(ctx, sg.Hull, sg.Revision)
		if err != nil {
			return err
		}
		signed, err := sg.Signed.Date()
		if err != nil || sg.Signed == "" {
			return Errorf(Invalid, "give the day of signing as YYYY-MM-DD")
		}
		snap, err := tx.LoadedSnapshot(ctx)
		if err != nil {
			return err
		}
		if snap.Yard.Hulls[sg.Hull] != nil {
			return Errorf(Conflict, "hull %s is in the books already: enter what was agreed since as a change order", sg.Hull)
		}
		r.Day = signed
		rows, err := signedRows(snap.Yard, r, sg)
		if err != nil {
			return err
		}
		files, err := FilesOf(rows...)
		if err != nil {
			return err
		}
		if _, err := tx.Enter(ctx, files, opts); err != nil {
			return err
		}
		return tx.freeze(ctx, sg.Hull, sg.Revision, sg.Signed, opts)
	})
}

// Freeze keeps the estimate of a hull that came from files as its next
// revision and makes that the baseline.
func (s *Store) Freeze(ctx context.Context, hull string, opts LoadOptions) (number int, err error) {
	err = s.InTx(ctx, func(tx *Tx) error {
		snap, err := tx.LoadedSnapshot(ctx)
		if err != nil {
			return err
		}
		h := snap.Yard.Hulls[hull]
		today := costing.DateOf(opts.Now, snap.Yard.Zone)
		switch base, err := tx.Baselines(ctx); {
		case err != nil:
			return err
		case h == nil:
			return Errorf(NotFound, "there is no hull %.40q", hull)
		case base[hull].Hull != "":
			return Errorf(Conflict, "hull %s was signed on revision %d already", hull, base[hull].Revision)
		case h.Signed > today:
			return Errorf(Conflict, "hull %s is signed on %s only: its estimate is open until then", hull, h.Signed)
		}
		r := revise.Of(snap.Yard, hull, today, false)
		r.Basis = "the estimate in the books, as signed on " + h.Signed.String()
		if number, err = tx.keepRevision(ctx, r, opts); err != nil {
			return err
		}
		return tx.freeze(ctx, hull, number, Day(h.Signed.String()), opts)
	})
	return number, err
}

func (tx *Tx) freeze(ctx context.Context, hull string, number int, signed Day, opts LoadOptions) error {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return err
	}
	cost, err := BaselineCost(snap.Yard, hull)
	if err != nil {
		return err
	}
	files, err := FilesOf(BaselineRow{Hull: hull, Revision: number, Frozen: signed, Cost: cost, Who: opts.Who})
	if err != nil {
		return err
	}
	_, err = tx.Enter(ctx, files, opts)
	return err
}

// signedRows are the hull, its jobs and its estimate. Lines alike in every
// column become one, for the books tell lines apart by what they say.
func signedRows(y *costing.Yard, r *revise.Revision, sg Signing) ([]any, error) {
	rows := []any{HullRow{
		Hull: r.Hull, Model: r.Model, Name: sg.Name, Price: Decimal(r.Price), PriceCurrency: r.PriceCurrency, PriceRate: r.PriceRate,
		Signed: sg.Signed, Due: sg.Due,
	}}
	jobs := map[string]bool{}
	var lines []EstimateRow
	for i := range r.Lines {
		l := &r.Lines[i]
		if !jobs[l.Job] {
			jobs[l.Job] = true
			job := JobRow{Job: l.Job, Hull: r.Hull, Stage: l.Stage, Part: l.Part, Purpose: string(l.Purpose), Shares: sharesText(l.Shares)}
			if job.Shares != "" {
				job.Hull = ""
			}
			if was := y.Jobs[l.Job]; was != nil {
				if len(l.Shares) == 0 || !slices.Equal(was.Shares, l.Shares) || was.Stage != l.Stage {
					return nil, Errorf(Conflict, "job %s is in the books already, for %s: give the job another key in a new revision", l.Job, sharesText(was.Shares))
				}
			} else {
				rows = append(rows, job)
			}
		}
		row := EstimateRow{Job: l.Job, Element: string(l.Element), Key: l.Key, Quantity: l.Quantity, StandardRate: l.Rate}
		if l.Waste != 0 {
			waste := l.Waste
			row.Waste = &waste
		}
		at := slices.IndexFunc(lines, func(o EstimateRow) bool {
			return o.Job == row.Job && o.Element == row.Element && o.Key == row.Key && orZero(o.Waste) == orZero(row.Waste) && o.StandardRate == row.StandardRate
		})
		if at >= 0 {
			lines[at].Quantity += row.Quantity
			continue
		}
		lines = append(lines, row)
	}
	for _, l := range lines {
		rows = append(rows, l)
	}
	return rows, nil
}

// Headings are what columns were mapped to for a kind of list, by heading.
func (tx *Tx) Headings(ctx context.Context, form string) (map[string]string, error) {
	var rows []HeadingRow
	if err := tx.DB.WithContext(ctx).Find(&rows, "form = ?", form).Error; err != nil {
		return nil, err
	}
	fields := make(map[string]string, len(rows))
	for _, r := range rows {
		fields[r.Heading] = r.Field
	}
	return fields, nil
}
