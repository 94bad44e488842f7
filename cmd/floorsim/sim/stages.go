package sim

// stagePlan is a stage of the build: where it is worked on, what it absorbs of
// the overhead per labour hour, and what must be done before it opens.
type stagePlan struct {
	key, name  string
	absorption int64 // base currency per hour, millionths
	hall       hall
	needs      []need
}

// need says how much of an earlier stage must be done, in thousandths.
type need struct {
	stage    string
	perMille int64
}

// hall is where a stage is worked on; each has clock stations of its own.
type hall int

const (
	laminating hall = iota
	assembly
	paintshop
	fitout
	quay
	halls
)

var hallNames = [halls]string{"Laminating hall", "Assembly hall", "Paint shop", "Fit-out hall", "Quay pontoon"}

var stagePlans = []stagePlan{
	{"TOOL", "Tooling", 24_000_000, laminating, nil},
	{"SHELL", "Shells", 34_000_000, laminating, []need{{"TOOL", 990}}},
	{"BOND", "Bonding", 28_000_000, assembly, []need{{"SHELL", 650}}},
	{"BULK", "Bulkheads, tanks and floors", 26_000_000, assembly, []need{{"SHELL", 650}}},
	{"SUPER", "Superstructure", 32_000_000, laminating, []need{{"TOOL", 990}, {"SHELL", 300}}},
	{"STRUC", "Structural fit-out", 26_000_000, assembly, []need{{"BOND", 450}}},
	{"CURE", "Post-cure", 38_000_000, laminating, []need{{"BOND", 990}, {"BULK", 850}}},
	{"FURN", "Furniture", 22_000_000, fitout, []need{{"BULK", 500}}},
	{"FAIRX", "Fairing and paint outside", 30_000_000, paintshop, []need{{"BOND", 990}, {"SUPER", 700}}},
	{"FAIRI", "Fairing and paint inside", 27_000_000, paintshop, []need{{"BULK", 850}}},
	{"SYS", "Systems", 21_000_000, fitout, []need{{"STRUC", 500}, {"BULK", 700}}},
	{"DETAIL", "Detail fit-out", 21_000_000, fitout, []need{{"FAIRX", 550}}},
	{"COMM", "Commissioning ashore", 19_000_000, fitout, []need{{"SYS", 900}}},
	{"AFLOAT", "Launch and afloat", 24_000_000, quay, []need{{"COMM", 990}, {"DETAIL", 800}}},
	{"WARR", "Warranty", 18_000_000, quay, []need{{"AFLOAT", 990}}},
}

// stageAt is the place of a stage in the list.
func stageAt(key string) int {
	for i := range stagePlans {
		if stagePlans[i].key == key {
			return i
		}
	}
	panic("sim: no stage " + key)
}
