package whatif

import (
	"hulltally/costing"
	"hulltally/costing/revise"
)

// Apply writes the levers into a revision, as the next one.
func (lv *Levers) Apply(r *revise.Revision) error {
	for i := range r.Lines {
		l := &r.Lines[i]
		e := costing.EstimateLine{Element: l.Element, Quantity: l.Quantity, Waste: l.Waste, Rate: l.Rate}
		if err := lv.Line(l.Stage, &e); err != nil {
			return err
		}
		l.Quantity, l.Waste, l.Rate = e.Quantity, e.Waste, e.Rate
	}
	if lv.Price != nil {
		r.Price = *lv.Price
	}
	if lv.PriceRate != nil {
		r.PriceRate = *lv.PriceRate
	}
	return nil
}
