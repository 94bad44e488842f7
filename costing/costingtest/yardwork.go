package costingtest

import (
	"fmt"
	"math/big"
)

func (y *Yard) hulls() {
	for i, stage := range []string{"LAM", "FIT", "RIG"} {
		y.row("stages", "stage name order", stage, stage, fmt.Sprint(i+1))
		y.row("overheads", "stage from rate", stage, "2025-01-01", y.decimal(5, 25, 3))
		y.row("overheads", "stage from rate", stage, "2026-01-20", y.decimal(5, 25, 6))
		if y.chance(50) {
			y.row("overheads", "stage from rate", stage, y.day(y.r.IntN(7)), y.decimal(5, 25, 2))
		}
	}
	for i, signed := range []string{"2025-11-03", "2026-01-15", "2026-02-02"} {
		hull := fmt.Sprint("H", i+1)
		currency, rate := "USD", y.decimal(1, 2, 6)
		if i == 0 {
			currency, rate = y.files["policy"][2][2], "1"
		}
		y.row("hulls", "hull model name price price_currency price_rate signed due", hull, "Tern 9", "",
			y.decimal(5000, 9000, 0), currency, rate, signed, "")
		y.row("budget", "hull stage kg", hull, "LAM", y.decimal(50, 90, 1))
		y.row("billing", "hull date description amount", hull, y.day(2), "First part", y.decimal(1000, 2000, 0))
	}
	change := func(name, hull, status, agreed string) {
		y.row("changes", "change hull title price status agreed", name, hull, "Change "+name, y.one("-", "")+y.decimal(100, 900, 0),
			status, agreed)
	}
	change("X1", "H1", "agreed", "2026-02-10")
	change("X2", "H2", "agreed", y.day(4))
	change("X3", "H1", y.one("asked", "quoted", "declined"), "")

	job := func(hull, stage, purpose, change, shares string) {
		name := fmt.Sprint("J", len(y.jobs)+1)
		factor := ""
		if y.chance(30) {
			factor = y.one("0.125", "0.2", "0")
		}
		y.jobs = append(y.jobs, y.row("jobs", "job hull stage part purpose change rush waste_factor shares", name, hull, stage,
			"part "+name, purpose, change, y.one("yes", "no", ""), factor, shares))
	}
	job("H1", "LAM", "build", "", "")
	job("H2", "LAM", "build", "", "")
	job("", "LAM", "build", "", y.one("H1:1;H2:1;H3:1", "H3:3;H1:5;H2:7", "H2:13;H1:1"))
	job("H1", "FIT", "build", "", "")
	job("H1", "FIT", "change", "X1", "")
	job("H2", "FIT", "change", "X2", "")
	job("H1", "RIG", "change", "X3", "")
	job("H2", "LAM", "rework", "", "")
	job("H3", "FIT", "warranty", "", "")
	job("", "FIT", "build", "", "H2:2;H3:1")
}

func (y *Yard) materials() {
	item := func(name, unit, method, price, mode, factor, kg, aboard, role, roll, sheet, litre, hardener, parts string) {
		y.items = append(y.items, y.row("items", "item name stock_unit cost_method standard_price waste_mode waste_factor kg_per_unit"+
			" aboard_share role roll_width_m sheet_m2 kg_per_litre hardener hardener_parts", name, "Item "+name, unit, method, price, mode,
			factor, kg, aboard, role, roll, sheet, litre, hardener, parts))
	}
	item("CLOTH", "MTK", y.one("lot", "average"), y.decimal(3, 6, 4), "measured", "", "0.6", "", "fibre", "1.27", "", "", "", "")
	item("RESIN", "KGM", y.one("lot", "average"), y.decimal(4, 7, 6), "factored", y.one("0.06", "0.1"), "1", "1", "resin", "", "",
		"1.12", "HARD", y.one("25", "30", "28"))
	item("HARD", "KGM", y.one("lot", "average"), y.decimal(8, 12, 2), "factored", y.one("0.06", ""), "1", "", "hardener", "", "", "0.96", "", "")
	item("CORE", "MTK", "lot", "21", "measured", "", "1.2", "", "core", "", "2.44", "", "", "")
	item("FILM", "MTR", y.one("average", "lot"), "0.55", "factored", "0.15", "0.05", "0", "consumable", "", "", "", "", "")
	item("BOLT", "C62", "average", "3.8", "measured", "", "0.02", "1", "other", "", "", "", "", "")
	item("FILLER", "LTR", "average", "9.25", "factored", "0.04", "1.5", "0.9", "other", "", "", "1.6", "", "")
	for _, it := range y.items {
		for range 1 + y.r.IntN(3) {
			y.lot(it)
		}
	}
}

// lot adds a lot of an item, before the work begins or in the midst of it.
func (y *Yard) lot(item Row) {
	lot := fmt.Sprint("L", len(y.lots)+1)
	unit := ""
	switch {
	case item["item"] == "CLOTH" && y.chance(50):
		unit = "MTR"
	case item["item"] == "CORE" && y.chance(50):
		unit = "C62"
	case item["item"] == "RESIN" && y.chance(50):
		unit = "LTR"
	}
	currency, fx, landed := "", "", ""
	if y.chance(40) {
		currency, fx = "USD", y.decimal(0, 2, 6)
		if num(fx).Sign() == 0 {
			fx = "0.93"
		}
	}
	if y.chance(40) {
		landed = y.decimal(1, 30, 0)
	}
	received := y.moment(-86400*3 - y.r.IntN(86400))
	if y.chance(30) {
		received = y.anyMoment()
	}
	row := y.row("lots", "lot item received quantity unit price currency fx landed expires supplier_batch", lot, item["item"], received,
		y.decimal(15, 60, y.r.IntN(3)), unit, y.decimal(50, 900, y.r.IntN(3)), currency, fx, landed, "", "")
	y.lots = append(y.lots, row)
	for range y.r.IntN(3) {
		y.row("invoices", "lot at price currency fx landed", lot, y.anyMoment(), y.decimal(50, 900, 2), currency, fx, y.one("", y.decimal(0, 30, 0)))
	}
}

func (y *Yard) estimate() {
	line := func(job, change, element, key, quantity, waste, rate string) {
		y.row("estimate", "job change element key quantity waste standard_rate", job, change, element, key, quantity, waste, rate)
	}
	prices := map[string]string{} // one standard price an item: several in one row would need a rule
	for _, it := range y.items {
		prices[it["item"]] = it["standard_price"]
		if y.chance(40) {
			prices[it["item"]] = y.decimal(1, 20, 3)
		}
	}
	lines := func(job Row, change string) {
		for range y.r.IntN(3) {
			line(job["job"], change, "labour", y.one("fair", "trim", "wire"), y.decimal(1, 30, 2), "", y.decimal(20, 40, 3))
		}
		seen := map[string]bool{"HARD": true}
		for range y.r.IntN(5) {
			it := pick(y, y.items)
			if seen[it["item"]] {
				continue
			}
			seen[it["item"]] = true
			quantity, waste := y.decimal(1, 20, 2), y.one("", "0.1", "0.075")
			line(job["job"], change, "material", it["item"], quantity, waste, prices[it["item"]])
			if y.chance(25) { // planned twice, at another price and allowance
				line(job["job"], change, "material", it["item"], y.decimal(1, 9, 3), y.one("", "0.05", "0.2"), y.decimal(1, 9, 2))
			}
			if it["hardener"] != "" && y.chance(80) {
				hard := quo(mul(num(quantity), num(it["hardener_parts"])), whole(100))
				if y.chance(40) { // the plan itself is off the maker's ratio
					hard = num(y.decimal(1, 5, 2))
				}
				line(job["job"], change, "material", "HARD", decimalOf(hard), waste, prices["HARD"])
			}
		}
		if y.chance(40) {
			line(job["job"], change, "bought-in", "Winch", "1", "", y.decimal(10, 400, 2))
		}
	}
	for _, job := range y.jobs {
		if job["purpose"] == "build" || job["purpose"] == "change" || y.chance(40) {
			lines(job, job["change"])
		}
	}
	lines(y.jobs[0], y.one("X1", "X3"))
	lines(y.jobs[1], "X2")
}

func decimalOf(r *big.Rat) string { return r.FloatString(6) }

// documents adds what the office writes down: purchases, counts, corrections.
func (y *Yard) documents() {
	for i := range 3 {
		currency, fx := "", ""
		if y.chance(30) {
			currency, fx = "USD", "1.0857"
		}
		y.row("bought", "document date hull stage description amount currency fx", fmt.Sprint("D", i+1), y.day(y.r.IntN(y.days)),
			y.one("H1", "H2", "H3"), y.one("LAM", "FIT", "RIG"), "Part", y.decimal(10, 500, 2), currency, fx)
	}
	for range 4 {
		lot := pick(y, y.lots)
		at := y.anyMoment()
		for at < lot["received"] {
			at = y.anyMoment()
		}
		y.row("counts", "lot at quantity", lot["lot"], at, y.decimal(0, 40, 2))
	}
	for range 3 {
		y.row("corrections", "worker at kind target who why", pick(y, y.workers)["number"], y.anyMoment(), "add",
			y.one("off", "CLEAN", "J1", "J3", "J4", "J8"), "The office", "Forgotten")
	}
}
