package sim

// processes are the yard's ways of laminating. It has weighed cured panels of
// its own for hand lay-up; for infusion it keeps the common band.
var processes = []Process{
	{Key: "infusion"},
	{"hand", "Hand lay-up, stitched cloth", 420_000, 560_000, "panels weighed by the yard (invented)"},
}

// laminated says how the laminate of a part is made. Taped joints and filler
// beds are none: their resin goes into fillets too.
var laminated = map[string]string{
	"Hull shell infusion": "infusion", "Deck infusion": "infusion", "Wheelhouse shell": "infusion",
	"Hatches and small mouldings": "hand", "Stringers and girders": "hand", "Bulkheads": "hand", "Tanks": "hand",
	"Floors and soles": "hand", "Engine beds and shaft line": "hand", "Tow post, rails and seats": "hand",
	"Second tow post and stiffening": "hand", "Dry spot in the keel cut out and relaid": "hand",
}

// plies are the layers that the estimate counts on, part by part.
var plies = map[string]map[string]int{
	"Hull shell infusion":         {"GLS-QX12": 3, "GLS-BX8": 2},
	"Deck infusion":               {"GLS-BX8": 4},
	"Wheelhouse shell":            {"GLS-BX8": 3, "CAR-BX4": 1},
	"Hatches and small mouldings": {"GLS-BX8": 3},
	"Bulkheads":                   {"GLS-BX8": 4},
	"Tanks":                       {"GLS-QX12": 3},
	"Engine beds and shaft line":  {"GLS-QX12": 5},
}
