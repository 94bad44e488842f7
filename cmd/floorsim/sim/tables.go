package sim

import (
	"iter"
	"strconv"

	"hulltally/costing"
)

// tables are the yard files, in the order in which they refer to one another.
func (w *World) tables() []table {
	named := func(n Named) []string { return []string{n.Key, n.Name} }
	rate := func(r Rate) []string { return []string{r.Of, r.From.String(), decimal(r.Rate)} }
	return append([]table{
		{"policy.csv", []string{"key", "from", "value"}, rows(w.Policies, func(p Policy) []string { return []string{p.Key, dateOr(p.From), p.Value} })},
		{"grades.csv", []string{"grade", "from", "standard_rate"}, rows(w.Grades, rate)},
		{"crews.csv", []string{"crew", "name"}, rows(w.Crews, named)},
		{"shifts.csv", []string{"shift", "weekday", "start", "end"}, rows(w.Shifts, shiftRecord)},
		{"breaks.csv", []string{"shift", "weekday", "start", "end"}, rows(w.Breaks, shiftRecord)},
		{"holidays.csv", []string{"date", "name"}, rows(w.Holidays, func(h Holiday) []string { return []string{h.Date.String(), h.Name} })},
		{"workers.csv", []string{"number", "name", "grade", "crew", "shift", "signs_off"}, rows(w.Workers, func(p Worker) []string {
			return []string{p.Number, p.Name, p.Grade, p.Crew, p.Shift, yesNo(p.SignsOff)}
		})},
		{"rates.csv", []string{"worker", "from", "rate"}, rows(w.Rates, rate)},
		{"indirects.csv", []string{"indirect", "name"}, rows(w.Indirects, named)},
		{"stations.csv", []string{"station", "name", "kind", "place"}, rows(w.Stations, func(s Station) []string { return []string{s.Key, s.Name, s.Kind, s.Place} })},
		{"stages.csv", []string{"stage", "name", "order"}, rows(w.Stages, func(s Stage) []string { return []string{s.Key, s.Name, strconv.Itoa(s.Order)} })},
		{"overheads.csv", []string{"stage", "from", "rate"}, rows(w.Overheads, rate)},
		{"codes.csv", []string{"kind", "key", "payload"}, rows(w.Codes, func(c Code) []string { return []string{c.Kind, c.Key, c.Payload} })},
	}, append(append(w.hullTables(), w.stockTables()...), w.floorTables()...)...)
}

func shiftRecord(s ShiftHours) []string {
	weekday := ""
	if s.Weekday > 0 {
		weekday = strconv.Itoa(s.Weekday)
	}
	return []string{s.Shift, weekday, costing.FormatClock(s.Hours.Start), costing.FormatClock(s.Hours.End)}
}

func (w *World) hullTables() []table {
	return []table{
		{"hulls.csv", []string{"hull", "model", "name", "price", "price_currency", "price_rate", "signed", "due"}, rows(w.Hulls, func(h Hull) []string {
			return []string{h.Key, h.Model, h.Name, decimal(h.Price), h.PriceCurrency, decimal(h.PriceRate), h.Signed.String(), h.Due.String()}
		})},
		{"changes.csv", []string{"change", "hull", "title", "price", "status", "agreed"}, rows(w.Changes, func(c Change) []string {
			return []string{c.Key, c.Hull, c.Title, decimal(c.Price), c.Status, dateOr(c.Agreed)}
		})},
		{"processes.csv", []string{"process", "name", "low", "high", "source"}, rows(processes, func(p Process) []string {
			return []string{p.Key, p.Name, blank(p.Low), blank(p.High), p.Source}
		})},
		{"jobs.csv", []string{"job", "hull", "stage", "part", "purpose", "change", "rush", "waste_factor", "shares", "process"}, rows(w.Jobs, func(j Job) []string {
			factor := ""
			if j.WasteFactor != nil {
				factor = decimal(*j.WasteFactor)
			}
			return []string{j.Key, j.Hull, j.Stage, j.Part, string(j.Purpose), j.Change, yesNo(j.Rush), factor, j.Shares, j.Process}
		})},
		{"estimate.csv", []string{"job", "change", "element", "key", "quantity", "waste", "standard_rate", "plies"}, rows(w.Estimate, func(e EstimateLine) []string {
			waste := ""
			if e.Element == costing.Material {
				waste = decimal(e.Waste)
			}
			layers := ""
			if e.Plies > 0 {
				layers = strconv.Itoa(e.Plies)
			}
			return []string{e.Job, e.Change, string(e.Element), e.Key, e.Quantity.String(), waste, decimal(e.Rate), layers}
		})},
		{"budget.csv", []string{"hull", "stage", "kg"}, rows(w.Budget, func(b Weight) []string { return []string{b.Hull, b.Stage, b.Kg.String()} })},
		{"bought.csv", []string{"document", "date", "hull", "stage", "description", "amount", "currency", "fx"}, rows(w.Bought, func(b Bought) []string {
			return []string{b.Document, b.Date.String(), b.Hull, b.Stage, b.Description, decimal(b.Amount), b.Currency, blank(b.FX)}
		})},
		{"billing.csv", []string{"hull", "date", "description", "amount"}, rows(w.Billing, func(b Bill) []string {
			return []string{b.Hull, b.Date.String(), b.Description, decimal(b.Amount)}
		})},
	}
}

func (w *World) stockTables() []table {
	hazards, cautions := safety()
	return []table{
		{"items.csv", []string{
			"item", "name", "stock_unit", "cost_method", "standard_price", "waste_mode", "waste_factor", "kg_per_unit",
			"aboard_share", "role", "roll_width_m", "sheet_m2", "kg_per_litre", "hardener", "hardener_parts",
		}, rows(w.Items, itemRecord)},
		{"lots.csv", []string{"lot", "item", "received", "quantity", "unit", "price", "currency", "fx", "landed", "expires", "supplier_batch"}, rows(w.Lots, func(l Lot) []string {
			return []string{l.Key, l.Item, w.instant(l.Received), l.Quantity.String(), l.Unit, decimal(l.Price), l.Currency, blank(l.FX), blank(l.Landed), dateOr(l.Expires), l.SupplierBatch}
		})},
		{"invoices.csv", []string{"lot", "at", "price", "currency", "fx", "landed"}, rows(w.Invoices, func(i Invoice) []string {
			return []string{i.Lot, w.instant(i.At), decimal(i.Price), i.Currency, blank(i.FX), blank(i.Landed)}
		})},
		{"hazards.csv", []string{"item", "signal", "statement"}, rows(hazards, func(h Hazard) []string { return []string{h.Item, h.Signal, h.Statement} })},
		{"cautions.csv", []string{"stage", "caution"}, rows(cautions, func(c Caution) []string { return []string{c.Stage, c.Caution} })},
		{"counts.csv", []string{"lot", "at", "quantity"}, rows(w.Counts, func(c Count) []string { return []string{c.Lot, w.instant(c.At), c.Quantity.String()} })},
	}
}

func itemRecord(it Item) []string {
	factor := ""
	if it.Factor != nil {
		factor = decimal(*it.Factor)
	}
	return []string{
		it.Key, it.Name, string(it.StockUnit), string(it.CostMethod), decimal(it.StandardPrice), string(it.WasteMode), factor, blank(it.KgPerUnit),
		decimal(it.AboardShare), string(it.Role), blank(it.RollWidth), blank(it.SheetArea), blank(it.Density), it.HardenerItem, blank(it.HardenerParts),
	}
}

func (w *World) floorTables() []table {
	record := readRecord(w)
	var reads iter.Seq[[]string] = func(yield func([]string) bool) {
		for r := range w.Reads() {
			if !yield(record(r)) {
				return
			}
		}
	}
	return []table{
		{"corrections.csv", []string{"worker", "at", "kind", "target", "who", "why"}, rows(w.Corrections, func(c Correction) []string {
			return []string{c.Worker, w.instant(c.At), c.Kind, c.Target, c.Who, c.Why}
		})},
		{"reads.csv", []string{"id", "station", "n", "at", "payload"}, reads},
	}
}
