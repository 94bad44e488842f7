package sim

import "hulltally/costing"

// stock is an item as the storekeeper sees it. Prices, sizes and shelf lives
// are invented but plausible.
type stock struct {
	key, name string
	unit      costing.Unit
	method    costing.CostMethod
	price     int64 // base currency per stock unit, hundredths
	factored  int   // waste factor in thousandths of net; -1: measured
	kg        int64 // per stock unit, thousandths
	aboard    int   // thousandths
	role      string
	roll      int64 // roll width, millimetres
	sheet     int64 // sheet area, mm² / 1000 (thousandths of m²)
	density   int64 // kg per litre, thousandths
	hardener  string
	parts     int64  // hardener by weight per 100
	life      int    // shelf life in days; 0: keeps
	lot       int64  // usual delivery, stock units
	currency  string // the supplier's
}

const (
	lotCosted = costing.ByLot
	averaged  = costing.ByAverage
	kg        = costing.Kilogram
	m2        = costing.SquareMetre
	metre     = costing.Metre
	litre     = costing.Litre
	each      = costing.Each
)

var catalogue = []stock{
	// Resins and pastes. The infusion resin is weighed batch by batch, with what
	// ends in the catch-pot; the laminating resin is drawn from a bulk container.
	{key: "RES-INF", name: "Infusion epoxy resin", unit: kg, method: lotCosted, price: 985, factored: -1, kg: 1000, aboard: 1000, role: "resin", density: 1130, hardener: "HRD-INF", parts: 30, life: 365, lot: 1000, currency: "EUR"},
	{key: "HRD-INF", name: "Infusion hardener, slow", unit: kg, method: lotCosted, price: 1460, factored: -1, kg: 1000, aboard: 1000, role: "hardener", density: 950, life: 365, lot: 300, currency: "EUR"},
	{key: "RES-LAM", name: "Laminating epoxy resin", unit: kg, method: lotCosted, price: 890, factored: 80, kg: 1000, aboard: 1000, role: "resin", density: 1150, hardener: "HRD-LAM", parts: 33, life: 365, lot: 400, currency: "EUR"},
	{key: "HRD-LAM", name: "Laminating hardener", unit: kg, method: lotCosted, price: 1380, factored: 80, kg: 1000, aboard: 1000, role: "hardener", density: 960, life: 365, lot: 140, currency: "EUR"},
	{key: "GEL-WHT", name: "Gelcoat, signal white", unit: kg, method: lotCosted, price: 1120, factored: 100, kg: 1000, aboard: 1000, role: "other", density: 1250, life: 120, lot: 150, currency: "EUR"},
	{key: "GEL-GRY", name: "Gelcoat, deck grey", unit: kg, method: lotCosted, price: 1210, factored: 100, kg: 1000, aboard: 1000, role: "other", density: 1250, life: 75, lot: 40, currency: "EUR"},
	{key: "ADH-STR", name: "Structural adhesive paste", unit: kg, method: lotCosted, price: 1650, factored: -1, kg: 1000, aboard: 1000, role: "other", life: 100, lot: 160, currency: "GBP"},
	{key: "FLR-LT", name: "Light fairing compound", unit: kg, method: lotCosted, price: 1240, factored: 60, kg: 1000, aboard: 450, role: "other", life: 270, lot: 300, currency: "EUR"},
	{key: "FIL-MCR", name: "Micro-balloon filler", unit: kg, method: averaged, price: 1790, factored: -1, kg: 1000, aboard: 950, role: "other", lot: 40, currency: "USD"},
	// Reinforcements, issued by the metre of roll and stocked by area; their
	// density is the fibre's, about 2.55 and 1.79 kg per litre (from memory).
	{key: "GLS-BX8", name: "Glass biaxial 800", unit: m2, method: lotCosted, price: 560, factored: -1, kg: 800, aboard: 1000, role: "fibre", roll: 1270, density: 2550, lot: 1200, currency: "EUR"},
	{key: "GLS-QX12", name: "Glass quadriaxial 1200", unit: m2, method: lotCosted, price: 840, factored: -1, kg: 1200, aboard: 1000, role: "fibre", roll: 1270, density: 2550, lot: 900, currency: "EUR"},
	{key: "GLS-TAPE", name: "Glass biaxial tape 450", unit: m2, method: lotCosted, price: 690, factored: -1, kg: 450, aboard: 1000, role: "fibre", roll: 200, density: 2550, lot: 160, currency: "EUR"},
	{key: "CAR-BX4", name: "Carbon biaxial 400", unit: m2, method: lotCosted, price: 2680, factored: -1, kg: 400, aboard: 1000, role: "fibre", roll: 1270, density: 1790, lot: 200, currency: "GBP"},
	{key: "CAR-UD3", name: "Carbon unidirectional 300", unit: m2, method: lotCosted, price: 1930, factored: -1, kg: 300, aboard: 1000, role: "fibre", roll: 500, density: 1790, lot: 120, currency: "USD"},
	// Cores and panels, issued by the sheet.
	{key: "COR-P80", name: "Foam core 80, 20 mm", unit: m2, method: lotCosted, price: 3120, factored: -1, kg: 1600, aboard: 1000, role: "core", sheet: 2976, lot: 240, currency: "EUR"},
	{key: "COR-P130", name: "Foam core 130, 15 mm", unit: m2, method: lotCosted, price: 3660, factored: -1, kg: 1950, aboard: 1000, role: "core", sheet: 2976, lot: 120, currency: "EUR"},
	{key: "COR-PLY", name: "Marine plywood 12 mm", unit: m2, method: lotCosted, price: 2450, factored: -1, kg: 7200, aboard: 1000, role: "core", sheet: 3100, lot: 93, currency: "EUR"},
	{key: "PNL-LIN", name: "Lining panel, faced", unit: m2, method: lotCosted, price: 2890, factored: -1, kg: 3400, aboard: 1000, role: "other", sheet: 2977, lot: 90, currency: "EUR"},
	// Vacuum and workshop consumables, none of which stays aboard.
	{key: "CON-BAG", name: "Bagging film", unit: m2, method: averaged, price: 135, factored: -1, role: "consumable", roll: 4000, lot: 1600, currency: "USD"},
	{key: "CON-PEEL", name: "Peel ply", unit: m2, method: averaged, price: 210, factored: -1, role: "consumable", roll: 1500, lot: 900, currency: "USD"},
	{key: "CON-FLOW", name: "Flow mesh", unit: m2, method: averaged, price: 190, factored: -1, role: "consumable", roll: 1200, lot: 700, currency: "USD"},
	{key: "CON-SEAL", name: "Vacuum sealant tape", unit: metre, method: averaged, price: 48, factored: -1, role: "consumable", lot: 1500, currency: "USD"},
	{key: "CON-SPIR", name: "Feed and vacuum tube", unit: metre, method: averaged, price: 55, factored: -1, role: "consumable", lot: 1000, currency: "EUR"},
	{key: "CON-BRU", name: "Roller and brush kit", unit: each, method: averaged, price: 260, factored: -1, role: "consumable", lot: 400, currency: "EUR"},
	{key: "CON-SAND", name: "Sanding disc 150 mm", unit: each, method: averaged, price: 42, factored: -1, role: "consumable", lot: 4000, currency: "EUR"},
	{key: "CON-MASK", name: "Masking film", unit: m2, method: averaged, price: 35, factored: -1, role: "consumable", roll: 2600, lot: 1500, currency: "EUR"},
	// Paint, stocked by the litre and often weighed out.
	{key: "PRM-EPX", name: "Epoxy primer", unit: litre, method: lotCosted, price: 2100, factored: 70, kg: 1450, aboard: 620, role: "other", density: 1450, life: 540, lot: 80, currency: "EUR"},
	{key: "PNT-TOP", name: "Topcoat, rescue orange", unit: litre, method: lotCosted, price: 4620, factored: 90, kg: 1250, aboard: 560, role: "other", density: 1250, life: 540, lot: 60, currency: "GBP"},
	{key: "PNT-INT", name: "Bilge and locker paint", unit: litre, method: lotCosted, price: 1750, factored: 60, kg: 1300, aboard: 600, role: "other", density: 1300, life: 540, lot: 60, currency: "EUR"},
	{key: "PNT-AF", name: "Antifouling, hard", unit: litre, method: lotCosted, price: 3840, factored: 50, kg: 1700, aboard: 650, role: "other", density: 1700, life: 540, lot: 40, currency: "EUR"},
	// Fit-out stock.
	{key: "FIT-PIPE", name: "Marine hose 25 mm", unit: metre, method: averaged, price: 640, factored: -1, kg: 420, aboard: 1000, role: "other", lot: 200, currency: "EUR"},
	{key: "FIT-CBL", name: "Tinned cable 3 × 2.5", unit: metre, method: averaged, price: 310, factored: -1, kg: 130, aboard: 1000, role: "other", lot: 1200, currency: "EUR"},
	{key: "FIT-FAST", name: "Fasteners A4, assorted", unit: each, method: averaged, price: 90, factored: -1, kg: 25, aboard: 1000, role: "other", lot: 3000, currency: "EUR"},
	{key: "FIT-INS", name: "Sound and heat insulation", unit: m2, method: averaged, price: 1900, factored: -1, kg: 2200, aboard: 1000, role: "other", roll: 1000, lot: 120, currency: "EUR"},
	{key: "FIT-SEAL", name: "Sealant cartridge", unit: each, method: averaged, price: 950, factored: -1, kg: 330, aboard: 900, role: "other", life: 300, lot: 200, currency: "EUR"},
	{key: "FIT-HW", name: "Hinges, latches, handles", unit: each, method: averaged, price: 1420, factored: -1, kg: 280, aboard: 1000, role: "other", lot: 160, currency: "EUR"},
}

// row turns the storekeeper's words into the row of items.csv.
func (s *stock) row() Item {
	it := Item{Item: costing.Item{
		Key: s.key, Name: s.name, StockUnit: s.unit, CostMethod: s.method,
		StandardPrice: costing.Price(s.price * million / 100), WasteMode: costing.Measured, KgPerUnit: s.kg * million / 1000,
		AboardShare: costing.Share(s.aboard * million / 1000), Role: costing.Role(s.role), RollWidth: s.roll * million / 1000,
		SheetArea: s.sheet * million / 1000, Density: s.density * million / 1000, HardenerItem: s.hardener, HardenerParts: s.parts * million,
	}}
	if s.factored >= 0 {
		f := costing.Share(s.factored * million / 1000)
		it.WasteMode, it.Factor = costing.Factored, &f
	}
	return it
}
