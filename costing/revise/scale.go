package revise

import (
	"slices"
	"strings"

	"hulltally/costing"
)

// Factor multiplies the lines of a stage, an element, or both; blank is any.
// Of labour it multiplies the hours, of material the net quantity, of bought-in
// parts the amount.
type Factor struct {
	Stage   string
	Element costing.Element
	Times   costing.Share // millionths
}

// Copy is a revision for another hull with every factor that fits applied.
// Jobs are called after the new hull; a batch becomes the hull's part of it.
func Copy(r *Revision, hull string, factors []Factor) (*Revision, error) {
	c := *r
	c.Hull, c.Number, c.Lines = hull, 0, slices.Clone(r.Lines)
	for i := range c.Lines {
		l := &c.Lines[i]
		if own, err := r.own(l); err != nil {
			return nil, err
		} else if hull != r.Hull {
			l.Quantity, l.Shares = own.Own, nil
			l.Job = rename(l.Job, r.Hull, hull)
		}
		for _, f := range factors {
			if f.Stage != "" && f.Stage != l.Stage || f.Element != "" && f.Element != l.Element {
				continue
			}
			if err := l.times(f.Times); err != nil {
				return nil, err
			}
		}
	}
	return &c, nil
}

func (l *Line) times(f costing.Share) error {
	if l.Element == costing.BoughtIn {
		v, err := costing.MulRound(int64(l.Rate), int64(f), int64(costing.One))
		l.Rate = costing.Price(v)
		return err
	}
	v, err := costing.MulRound(int64(l.Quantity), int64(f), int64(costing.One))
	l.Quantity = costing.Quantity(v)
	return err
}

// rename calls a job after another hull. A job not called after its hull gets
// the new one before its name.
func rename(job, from, to string) string {
	if rest, ok := strings.CutPrefix(job, from+"-"); ok && from != "" {
		return to + "-" + rest
	}
	return to + "-" + job
}
