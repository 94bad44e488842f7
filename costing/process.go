package costing

// Process is a way of making laminates, and the band that its fibre mass
// fraction is expected in. Outside it a question is raised, no more.
type Process struct {
	Key, Name string
	Low, High Share
	Source    string // where the band comes from
}

// commonBands are the bands of processes for which the yard gives none of its
// own. Only the first has a source, an open technical page on infusion; the
// others are common practice, no source. A yard that has weighed panels of its
// own knows better.
var commonBands = []Process{
	{"infusion", "Vacuum infusion", 550_000, 650_000, "an open technical page on infusion"},
	{"hand", "Hand lay-up, woven and stitched cloth", 400_000, 550_000, "common practice, no source"},
	{"mat", "Hand lay-up, chopped mat", 250_000, 350_000, "common practice, no source"},
	{"bag", "Hand lay-up under vacuum", 500_000, 620_000, "common practice, no source"},
	{"prepreg", "Pre-impregnated cloth", 580_000, 700_000, "common practice, no source"},
}

// CommonBand is the band of a process that is known by this key, if any.
func CommonBand(process string) (Process, bool) {
	for _, p := range commonBands {
		if p.Key == process {
			return p, true
		}
	}
	return Process{}, false
}
