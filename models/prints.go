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
	Text        string   // only things with this in their key or name
	Small       bool     // the small lot label
	Photos      func(worker string) []byte
	Now         costing.Instant
}

// PrintRun is a sheet filled with the yard's data.
type PrintRun struct {
	*labels.Sheet
	Keys []string // of its things, in order
	// Left are things that were left out: their code was revoked and they have
	// no other. One that was asked for by name is an error instead.
	Left []string
}

// printing gathers a sheet's rows.
type printing struct {
	PrintAsk
	tx       *Tx
	snap     *Snapshot
	payloads map[[2]string]string  // by kind and key
	last     map[[2]string]CodeRow // the last that was revoked, by kind and key
	printed  map[string]int        // how often, by payload
	wanted   map[string]bool
	run      *PrintRun
}

func (tx *Tx) newPrinting(ctx context.Context, ask PrintAsk) (*printing, error) {
	snap, err := tx.LoadedSnapshot(ctx)
	if err != nil {
		return nil, err
	}
	p := &printing{PrintAsk: ask, tx: tx, snap: snap, payloads: map[[2]string]string{}, last: map[[2]string]CodeRow{}, printed: map[string]int{}, wanted: map[string]bool{}}
	for _, c := range snap.codes {
		of := [2]string{c.Kind, c.Key}
		if c.RevokedMs == nil {
			p.payloads[of] = c.Payload
		} else if was, ok := p.last[of]; !ok || *was.RevokedMs < *c.RevokedMs {
			p.last[of] = c
		}
	}
	for _, k := range ask.Keys {
		p.wanted[k] = true
	}
	p.run = &PrintRun{Sheet: &labels.Sheet{Kind: ask.Kind}}
	if ask.Small {
		p.run.LotSize = labels.LotSmall
	}
	return p, p.count()
}

// PrintSheet fills a sheet with the yard's data. What is asked for and does
// not exist, or has no valid code, is an error that names it; so is nothing.
func (tx *Tx) PrintSheet(ctx context.Context, ask PrintAsk) (*PrintRun, error) {
	p, err := tx.newPrinting(ctx, ask)
	if err != nil {
		return nil, err
	}
	if err := p.fill(p.run.Sheet); err != nil {
		return nil, err
	}
	switch {
	case len(p.wanted) > 0:
		return nil, Errorf(NotFound, "there is no %s %s to print: see the yard files for what there is", ask.Kind, listed(sorted(p.wanted)))
	case len(ask.Keys) > 0 && len(p.run.Left) > 0:
		return nil, Errorf(Conflict, "%s %s has no valid code, for it was revoked: hulltally codes --revoke CODE --issue gives a new one", ask.Kind, listed(p.run.Left))
	case len(p.run.Keys) == 0:
		return nil, Errorf(NotFound, "nothing is selected: there is no %s to print%s", ask.Kind, ask.narrowed())
	}
	return p.run, nil
}

// narrowed says what a selection was narrowed by.
func (a *PrintAsk) narrowed() string {
	s := ""
	if a.Hull != "" {
		s += " of hull " + a.Hull
	}
	if a.Stage != "" {
		s += " of stage " + a.Stage
	}
	if a.Text != "" {
		s += " with “" + a.Text + "” in its name"
	}
	return s
}

// listed names some things of many.
func listed(keys []string) string {
	const most = 10
	if len(keys) > most {
		return strings.Join(keys[:most], ", ") + " …"
	}
	return strings.Join(keys, ", ")
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

// takes reports whether a thing is asked for, and ticks it off.
func (p *printing) takes(key string, names ...string) bool {
	if len(p.Keys) == 0 {
		return p.shows(key, names...)
	}
	if !p.wanted[key] {
		return false
	}
	delete(p.wanted, key)
	return true
}

// shows reports whether a thing has the text that is looked for.
func (p *printing) shows(key string, names ...string) bool {
	text := strings.ToLower(strings.TrimSpace(p.Text))
	return text == "" || slices.ContainsFunc(append(names, key), func(s string) bool { return strings.Contains(strings.ToLower(s), text) })
}

// code finds the code of a thing that is printed. It is not ok where there is
// none in force: then the thing is left out.
func (p *printing) code(kind, key string) (payload string, reprint int, ok bool) {
	payload, ok = p.payloads[[2]string{kind, key}]
	name := key
	if letterOf(kind) == labels.Wall {
		name = strings.TrimSpace(kind + " " + key)
	}
	if ok {
		p.run.Keys = append(p.run.Keys, name)
	} else {
		p.run.Left = append(p.run.Left, name)
	}
	return payload, p.printed[payload], ok
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
		return Errorf(Invalid, "%.40q is not a kind of sheet: choose badge, crew, job, lot, indirect, wall or stage", string(s.Kind))
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
