package models

import (
	"context"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/labels"
)

// PrintAsk says what to print: a kind of sheet, and which of its things.
type PrintAsk struct {
	Kind        labels.SheetKind
	Keys        []string // workers, crews, jobs, lots or indirect codes; none: all
	Hull, Stage string   // only jobs of these; a stage's whole set needs both
	Small       bool     // the small lot label
	Photos      func(worker string) []byte
	Now         costing.Instant
}

// printing gathers a sheet's rows.
type printing struct {
	PrintAsk
	tx       *Tx
	snap     *Snapshot
	payloads map[[2]string]string // by kind and key
	printed  map[string]int       // how often, by payload
	wanted   map[string]bool
}

// PrintSheet fills a sheet with the yard's data. What is asked for and does
// not exist, or has no valid code, is an error that names it.
func (tx *Tx) PrintSheet(ctx context.Context, ask PrintAsk) (*labels.Sheet, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	p := &printing{PrintAsk: ask, tx: tx, snap: snap, payloads: map[[2]string]string{}, printed: map[string]int{}, wanted: map[string]bool{}}
	for _, c := range snap.codes {
		if c.RevokedMs == nil {
			p.payloads[[2]string{c.Kind, c.Key}] = c.Payload
		}
	}
	for _, k := range ask.Keys {
		p.wanted[k] = true
	}
	if err := p.count(); err != nil {
		return nil, err
	}
	sheet := &labels.Sheet{Kind: ask.Kind}
	if ask.Small {
		sheet.LotSize = labels.LotSmall
	}
	if err := p.fill(sheet); err != nil {
		return nil, err
	}
	if len(p.wanted) > 0 {
		missing := make([]string, 0, len(p.wanted))
		for k := range p.wanted {
			missing = append(missing, k)
		}
		slices.Sort(missing)
		return nil, Errorf(NotFound, "there is no %s %s to print: see the yard files for what there is", ask.Kind, strings.Join(missing, ", "))
	}
	return sheet, nil
}

func (p *printing) count() error {
	var rows []struct {
		Payload string
		N       int
	}
	if err := p.tx.DB.Raw("SELECT payload, COUNT(*) AS n FROM prints GROUP BY payload").Scan(&rows).Error; err != nil {
		return err
	}
	for _, r := range rows {
		p.printed[r.Payload] = r.N
	}
	return nil
}

// takes reports whether a key is asked for, and ticks it off.
func (p *printing) takes(key string) bool {
	if len(p.Keys) == 0 {
		return true
	}
	if !p.wanted[key] {
		return false
	}
	delete(p.wanted, key)
	return true
}

func (p *printing) code(kind, key string) (payload string, reprint int) {
	payload = p.payloads[[2]string{kind, key}]
	return payload, p.printed[payload]
}

func (p *printing) fill(s *labels.Sheet) error {
	switch s.Kind {
	case labels.SheetBadges:
		p.badges(s)
	case labels.SheetCrews:
		p.crews(s)
	case labels.SheetIndirects:
		p.indirects(s)
	case labels.SheetLots:
		return p.lots(s)
	case labels.SheetWall:
		p.wall(s)
	case labels.SheetJobs:
		return p.jobs(s)
	case labels.SheetStage:
		return p.stage(s)
	default:
		return Errorf(Invalid, "%q is not a kind of sheet: choose badge, crew, job, lot, indirect, wall or stage", s.Kind)
	}
	return nil
}

// sorted lists a map's keys in order.
func sorted[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func (p *printing) badges(s *labels.Sheet) {
	y := p.snap.Yard
	for _, key := range sorted(y.Workers) {
		if !p.takes(key) {
			continue
		}
		w := y.Workers[key]
		b := labels.Badge{Name: w.Name, Trade: w.Grade, Number: w.Key, Yard: y.Name}
		b.Payload, b.Reprint = p.code("worker", key)
		if c := y.Crews[w.Crew]; c != nil {
			b.Crew = c.Name
		}
		if p.Photos != nil {
			b.Photo = p.Photos(key)
		}
		s.Badges = append(s.Badges, b)
	}
}

func (p *printing) crews(s *labels.Sheet) {
	y := p.snap.Yard
	for _, key := range sorted(y.Crews) {
		if !p.takes(key) {
			continue
		}
		c := labels.CrewCard{Name: y.Crews[key].Name, Yard: y.Name}
		c.Payload, c.Reprint = p.code("crew", key)
		for _, m := range y.Crews[key].Members {
			c.Members = append(c.Members, y.Workers[m].Name)
		}
		s.Crews = append(s.Crews, c)
	}
}

func (p *printing) indirects(s *labels.Sheet) {
	for _, key := range sorted(p.snap.Yard.Indirects) {
		if p.takes(key) {
			c := labels.IndirectCard{Key: key, Name: p.snap.Yard.Indirects[key].Name}
			c.Payload, c.Reprint = p.code("indirect", key)
			s.Indirects = append(s.Indirects, c)
		}
	}
}

func (p *printing) wall(s *labels.Sheet) {
	for _, w := range wallCards {
		c := labels.WallCard{Action: labels.Action(w.kind), Key: w.key}
		c.Payload, _ = p.code(w.kind, w.key)
		s.Wall = append(s.Wall, c)
	}
}

// Printed notes that cards were printed, for the count of reprints.
func (tx *Tx) Printed(ctx context.Context, s *labels.Sheet, who string, at costing.Instant) error {
	var payloads []string
	for i := range s.Badges {
		payloads = append(payloads, s.Badges[i].Payload)
	}
	for i := range s.Crews {
		payloads = append(payloads, s.Crews[i].Payload)
	}
	for i := range s.Jobs {
		payloads = append(payloads, s.Jobs[i].Payload)
	}
	for i := range s.Stage.Jobs {
		payloads = append(payloads, s.Stage.Jobs[i].Payload)
	}
	for i := range s.Lots {
		payloads = append(payloads, s.Lots[i].Payload)
	}
	for i := range s.Indirects {
		payloads = append(payloads, s.Indirects[i].Payload)
	}
	n := len(payloads)
	ats, whos, copies := make([]int64, n), make([]string, n), make([]int64, n)
	for i := range n {
		ats[i], whos[i], copies[i] = int64(at), who, int64(max(1, s.Options.Copies))
	}
	return tx.Insert(ctx, "prints", "", Column{"payload", payloads}, Column{"at_ms", ats}, Column{"who", whos}, Column{"copies", copies})
}
