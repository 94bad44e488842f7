package sim

// model is a boat the yard builds; its work is that of the largest, scaled.
type model struct {
	name     string
	perMille int
}

var (
	corvane = model{"Corvane 13", 1000}
	selmar  = model{"Selmar 11", 760}
	ostrel  = model{"Ostrel 9", 510}
)

// mat is a material of a job: net quantity in stock units and the waste
// allowed, in thousandths of net. A resin brings its hardener with it.
type mat struct {
	item  string
	net   int64
	waste int
}

// part is bought in for a job, in base currency or a supplier's.
type part struct {
	words    string
	amount   int64
	currency string
}

// plan is a job of the largest model.
type plan struct {
	stage, part string
	hours       int64
	trade       trade
	hands       int // most people at once
	materials   []mat
	parts       []part
}

// plans are the jobs of one boat, about as a yard of this size cuts them:
// invented, common practice.
var plans = []plan{
	{"TOOL", "Hull mould prepared", 95, laminator, 3, []mat{{"CON-BRU", 20, 50}, {"CON-MASK", 90, 100}, {"CON-SAND", 220, 50}}, nil},
	{"TOOL", "Deck and house moulds prepared", 105, laminator, 3, []mat{{"CON-BRU", 24, 50}, {"CON-MASK", 80, 100}}, []part{{"Mould hire, deck inserts", 4200, "EUR"}}},
	{"SHELL", "Hull shell infusion", 590, infuser, 6, []mat{
		{"GEL-WHT", 62, 60},
		{"GLS-QX12", 330, 90},
		{"GLS-BX8", 260, 90},
		{"CAR-UD3", 42, 120},
		{"COR-P80", 92, 80},
		{"RES-INF", 340, 80},
		{"CON-BAG", 240, 150},
		{"CON-PEEL", 170, 120},
		{"CON-FLOW", 150, 120},
		{"CON-SEAL", 260, 100},
		{"CON-SPIR", 190, 100},
	}, nil},
	{"SHELL", "Deck infusion", 440, infuser, 5, []mat{
		{"GEL-WHT", 30, 60},
		{"GEL-GRY", 9, 80},
		{"GLS-BX8", 310, 100},
		{"CAR-BX4", 36, 120},
		{"COR-P80", 64, 90},
		{"RES-INF", 148, 80},
		{"CON-BAG", 170, 150},
		{"CON-PEEL", 110, 120},
		{"CON-FLOW", 95, 120},
		{"CON-SEAL", 190, 100},
		{"CON-SPIR", 120, 100},
	}, nil},
	{"SHELL", "Hatches and small mouldings", 190, laminator, 4, []mat{{"GEL-WHT", 14, 80}, {"GLS-BX8", 95, 140}, {"RES-LAM", 62, 60}, {"CON-BRU", 60, 50}, {"COR-P130", 12, 120}}, nil},
	{"BOND", "Stringers and girders", 375, bonder, 5, []mat{{"ADH-STR", 68, 120}, {"GLS-BX8", 120, 110}, {"GLS-TAPE", 46, 100}, {"CAR-UD3", 26, 100}, {"RES-LAM", 85, 60}, {"COR-P130", 18, 110}, {"CON-BRU", 70, 50}}, nil},
	{"BOND", "Deck to hull", 270, bonder, 5, []mat{{"ADH-STR", 74, 120}, {"GLS-TAPE", 38, 100}, {"RES-LAM", 34, 60}, {"FIT-FAST", 420, 40}, {"FIL-MCR", 6, 60}, {"CON-BRU", 45, 50}}, nil},
	{"BULK", "Bulkheads", 350, bonder, 4, []mat{{"COR-P130", 46, 120}, {"GLS-BX8", 190, 120}, {"RES-LAM", 118, 60}, {"GLS-TAPE", 34, 100}, {"ADH-STR", 22, 120}, {"CON-BRU", 60, 50}}, nil},
	{"BULK", "Tanks", 245, laminator, 4, []mat{{"GLS-QX12", 70, 110}, {"RES-LAM", 74, 60}, {"COR-P80", 14, 110}, {"PNT-INT", 9, 50}, {"CON-BRU", 40, 50}}, []part{{"Tank fittings and senders", 3100, "EUR"}}},
	{"BULK", "Floors and soles", 230, joiner, 4, []mat{{"COR-PLY", 31, 150}, {"GLS-BX8", 60, 110}, {"RES-LAM", 36, 60}, {"FIT-FAST", 520, 40}}, nil},
	{"SUPER", "Wheelhouse shell", 430, laminator, 6, []mat{
		{"GEL-WHT", 22, 80},
		{"GLS-BX8", 170, 120},
		{"CAR-BX4", 62, 120},
		{"COR-P80", 48, 110},
		{"RES-INF", 92, 90},
		{"CON-BAG", 110, 150},
		{"CON-PEEL", 75, 120},
		{"CON-FLOW", 60, 120},
		{"CON-SEAL", 130, 100},
	}, nil},
	{"SUPER", "Wheelhouse mounted", 185, bonder, 4, []mat{{"ADH-STR", 28, 120}, {"GLS-TAPE", 14, 100}, {"RES-LAM", 12, 60}, {"FIT-FAST", 180, 40}}, nil},
	{"STRUC", "Engine beds and shaft line", 215, bonder, 4, []mat{{"GLS-QX12", 46, 110}, {"RES-LAM", 40, 60}, {"ADH-STR", 16, 120}}, []part{{"Machined bed plates", 5200, "EUR"}}},
	{"STRUC", "Tow post, rails and seats", 220, bonder, 4, []mat{{"GLS-BX8", 30, 110}, {"RES-LAM", 18, 60}, {"ADH-STR", 12, 120}, {"FIT-FAST", 360, 40}}, []part{{"Rails and tow post, welded", 9800, "EUR"}}},
	{"STRUC", "Fender band", 160, joiner, 3, []mat{{"ADH-STR", 18, 120}, {"FIT-FAST", 300, 40}, {"FIT-SEAL", 36, 50}}, []part{{"Foam fender sections", 13400, "GBP"}}},
	{"CURE", "Post-cure", 85, laminator, 2, []mat{{"CON-BAG", 60, 100}}, nil},
	{"FURN", "Wheelhouse console", 360, joiner, 4, []mat{{"COR-PLY", 24, 170}, {"PNL-LIN", 18, 150}, {"FIT-HW", 34, 30}, {"FIT-FAST", 380, 40}}, []part{{"Console mouldings, machined", 5600, "EUR"}}},
	{"FURN", "Cabin lining and lockers", 430, joiner, 4, []mat{{"PNL-LIN", 58, 150}, {"COR-PLY", 22, 170}, {"FIT-INS", 66, 100}, {"FIT-HW", 46, 30}, {"FIT-SEAL", 30, 50}}, nil},
	{"FAIRX", "Topsides faired", 475, fairer, 5, []mat{{"FLR-LT", 118, 80}, {"CON-SAND", 1500, 60}, {"CON-MASK", 160, 100}}, nil},
	{"FAIRX", "Deck and house faired", 350, fairer, 4, []mat{{"FLR-LT", 74, 80}, {"CON-SAND", 1050, 60}, {"CON-MASK", 150, 100}}, nil},
	{"FAIRX", "Primer outside", 230, painter, 4, []mat{{"PRM-EPX", 78, 60}, {"CON-SAND", 500, 60}, {"CON-MASK", 260, 100}}, nil},
	{"FAIRX", "Topcoat and antifouling", 290, painter, 4, []mat{{"PNT-TOP", 58, 60}, {"PNT-AF", 24, 60}, {"CON-SAND", 360, 60}, {"CON-MASK", 320, 100}}, nil},
	{"FAIRI", "Bilges and lockers painted", 210, fairer, 3, []mat{{"PNT-INT", 38, 60}, {"CON-SAND", 320, 60}, {"FLR-LT", 12, 80}}, nil},
	{"FAIRI", "Cabin faired and painted", 215, painter, 3, []mat{{"FLR-LT", 18, 80}, {"PRM-EPX", 16, 60}, {"CON-SAND", 380, 60}, {"CON-MASK", 90, 100}}, nil},
	{"SYS", "Engines and jets installed", 465, fitter, 5, []mat{{"FIT-PIPE", 70, 60}, {"FIT-FAST", 420, 40}, {"FIT-SEAL", 24, 50}}, []part{{"Engines and jets, first half", 66000, "EUR"}, {"Engines and jets, second half", 66000, "EUR"}, {"Exhaust sections", 7400, "EUR"}}},
	{"SYS", "Piping, fuel and fire", 360, fitter, 4, []mat{{"FIT-PIPE", 210, 60}, {"FIT-HW", 24, 30}, {"FIT-SEAL", 18, 50}}, []part{{"Pumps, valves and fire system", 14600, "EUR"}}},
	{"SYS", "Electrical", 565, fitter, 5, []mat{{"FIT-CBL", 1650, 70}, {"FIT-FAST", 500, 40}}, []part{{"Switchboards and batteries", 18200, "EUR"}}},
	{"SYS", "Navigation and radio", 255, fitter, 3, []mat{{"FIT-CBL", 420, 70}}, []part{{"Navigation and radio suite", 34500, "USD"}}},
	{"DETAIL", "Deck gear", 300, joiner, 4, []mat{{"FIT-FAST", 760, 40}, {"FIT-SEAL", 42, 50}, {"FIT-HW", 28, 30}}, []part{{"Deck gear", 9300, "EUR"}}},
	{"DETAIL", "Windows, doors and seals", 270, joiner, 4, []mat{{"FIT-SEAL", 58, 50}, {"FIT-FAST", 220, 40}}, []part{{"Heated windows and doors", 22800, "GBP"}}},
	{"DETAIL", "Seats and life-saving gear", 185, fitter, 3, []mat{{"FIT-FAST", 180, 40}, {"FIT-HW", 16, 30}}, []part{{"Shock-absorbing seats", 23600, "USD"}, {"Life-saving gear", 8200, "EUR"}}},
	{"COMM", "Commissioning ashore", 225, fitter, 4, nil, []part{{"Survey and test certificates", 7600, "EUR"}}},
	{"AFLOAT", "Launch", 60, fitter, 4, nil, []part{{"Crane and slip", 2900, "EUR"}}},
	{"AFLOAT", "Sea trials and hand-over", 185, fitter, 4, nil, []part{{"Trials fuel and pilotage", 3400, "EUR"}}},
}

// fate is how a hull of the pattern of seven goes.
type fate struct {
	model  model
	target int // margin the price was set for, thousandths
	hours  int // true over estimated hours, thousandths
	waste  int // true over allowed waste, thousandths
	before string
	priced string // currency of the contract
}

// fates repeat with every seven hulls. The third is the story: priced keenly,
// and then everything in troubles below happens to it.
var fates = []fate{
	{corvane, 135, 1015, 1000, "FURN", "EUR"},
	{selmar, 150, 985, 1020, "BULK", "EUR"},
	{corvane, 77, 1030, 1150, "TOOL", "EUR"},
	{selmar, 125, 1005, 1050, "", "GBP"},
	{ostrel, 160, 980, 980, "", "EUR"},
	{ostrel, 155, 965, 1000, "", "EUR"},
	{corvane, 145, 1000, 1000, "", "EUR"},
}

// trouble is a job of the unlucky hull that went wrong: hours over estimate,
// and waste of infusion resin over the allowance, in thousandths.
type trouble struct{ hours, resinWaste int }

var troubles = map[string]trouble{
	"Hull shell infusion":     {1120, 6200},
	"Deck infusion":           {1080, 5600},
	"Wheelhouse shell":        {1060, 4200},
	"Topsides faired":         {1950, 1400},
	"Deck and house faired":   {1520, 1200},
	"Primer outside":          {1250, 1200},
	"Topcoat and antifouling": {1150, 1100},
}

// extra is work outside the plan: rework, changes, warranty.
type extra struct {
	fate      int    // which hull of seven
	after     string // opens when this stage is this far
	perMille  int64
	purpose   string
	stage     string
	words     string
	hours     int64 // true hours, not scaled
	trade     trade
	status    string // of a change order: agreed, quoted, asked or declined
	price     int64  // of a change order; hours and materials are estimated
	materials []mat
	parts     []part
}

var extras = []extra{
	// The unlucky hull.
	{2, "FAIRX", 350, "rework", "FAIRX", "Print-through, starboard topside", 330, fairer, "", 0, []mat{{"FLR-LT", 58, 80}, {"CON-SAND", 1100, 60}}, nil},
	{2, "FAIRX", 550, "rework", "FAIRX", "Print-through, port topside", 290, fairer, "", 0, []mat{{"FLR-LT", 52, 80}, {"CON-SAND", 950, 60}, {"PRM-EPX", 24, 60}}, nil},
	{2, "FAIRX", 800, "rework", "FAIRX", "Blisters at the chine opened and filled", 120, painter, "", 0, []mat{{"FLR-LT", 14, 80}, {"PRM-EPX", 12, 60}, {"PNT-TOP", 9, 60}}, nil},
	{2, "SHELL", 600, "rework", "SHELL", "Dry spot in the keel cut out and relaid", 85, infuser, "", 0, []mat{{"GLS-BX8", 28, 120}, {"RES-LAM", 16, 60}}, nil},
	{2, "STRUC", 300, "change", "STRUC", "Second tow post and stiffening", 150, bonder, "quoted", 14500, []mat{{"GLS-QX12", 22, 110}, {"RES-LAM", 18, 60}, {"ADH-STR", 9, 120}}, []part{{"Second tow post, welded", 4700, "EUR"}}},
	{2, "SYS", 300, "change", "SYS", "Thermal camera and second radio", 110, fitter, "asked", 13200, []mat{{"FIT-CBL", 140, 70}}, []part{{"Thermal camera", 6100, "USD"}}},
	{2, "DETAIL", 100, "change", "DETAIL", "Stretcher berth and rail", 90, joiner, "quoted", 7800, []mat{{"FIT-FAST", 120, 40}, {"COR-PLY", 6, 150}}, nil},
	{2, "SYS", 700, "change", "SYS", "Deck wash pump", 26, fitter, "agreed", 2900, []mat{{"FIT-PIPE", 12, 60}}, []part{{"Deck wash pump", 640, "EUR"}}},
	// The others have the usual.
	{0, "DETAIL", 100, "change", "DETAIL", "Searchlight on the house roof", 38, fitter, "agreed", 5400, []mat{{"FIT-CBL", 60, 70}}, []part{{"Searchlight", 1450, "USD"}}},
	{0, "SYS", 500, "rework", "SYS", "Exhaust lagging renewed", 22, fitter, "", 0, []mat{{"FIT-INS", 4, 100}}, nil},
	{0, "", 0, "change", "DETAIL", "Teak seat in the cockpit", 0, joiner, "declined", 3900, nil, nil},
	{0, "AFLOAT", 950, "warranty", "WARR", "Shaft seal weeping", 34, fitter, "", 0, []mat{{"FIT-SEAL", 4, 50}}, []part{{"Shaft seal set", 780, "EUR"}}},
	{1, "FURN", 300, "change", "FURN", "Second chart drawer and locker", 64, joiner, "agreed", 6900, []mat{{"COR-PLY", 6, 150}, {"FIT-HW", 8, 30}}, nil},
	{1, "FAIRX", 700, "rework", "FAIRX", "Runs in the topcoat flatted", 46, painter, "", 0, []mat{{"PNT-TOP", 4, 60}, {"CON-SAND", 120, 60}}, nil},
	{1, "DETAIL", 200, "rush", "DETAIL", "Trials fit brought forward", 70, fitter, "agreed", 5800, nil, nil},
	{3, "BULK", 400, "change", "BULK", "Watertight door in the aft bulkhead", 58, bonder, "agreed", 8200, []mat{{"COR-P130", 4, 120}, {"RES-LAM", 7, 60}}, []part{{"Watertight door", 2600, "GBP"}}},
	{3, "SUPER", 500, "rework", "SUPER", "House window rebate recut", 30, laminator, "", 0, []mat{{"RES-LAM", 4, 60}}, nil},
	{3, "", 0, "change", "SYS", "Bow thruster", 0, fitter, "asked", 18500, nil, nil},
	{4, "STRUC", 300, "change", "STRUC", "Lifting points", 40, bonder, "agreed", 4100, []mat{{"ADH-STR", 4, 120}}, []part{{"Lifting eyes", 560, "EUR"}}},
	{5, "SHELL", 800, "rework", "SHELL", "Gelcoat porosity at the transom", 24, laminator, "", 0, []mat{{"GEL-WHT", 3, 80}}, nil},
	{6, "", 0, "change", "FURN", "Heated wheelhouse sole", 0, joiner, "quoted", 9600, nil, nil},
}
