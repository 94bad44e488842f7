package sim

// Hazard is a row of hazards.csv, Caution one of cautions.csv.
type (
	Hazard  struct{ Item, Signal, Statement string }
	Caution struct{ Stage, Caution string }
)

// What the invented suppliers' safety data sheets say of the hazardous items.
var hazards = []struct {
	signal     string
	items      []string
	statements []string
}{
	{"Warning", []string{"RES-INF", "RES-LAM", "ADH-STR"}, []string{"H315 Causes skin irritation", "H317 May cause an allergic skin reaction", "H319 Causes serious eye irritation"}},
	{"Danger", []string{"HRD-INF", "HRD-LAM"}, []string{"H302 Harmful if swallowed", "H314 Causes severe skin burns and eye damage", "H317 May cause an allergic skin reaction"}},
	{"Danger", []string{"GEL-WHT", "GEL-GRY"}, []string{"H226 Flammable liquid and vapour", "H315 Causes skin irritation", "H332 Harmful if inhaled", "H372 Causes damage to organs through prolonged or repeated exposure"}},
	{"Warning", []string{"PRM-EPX"}, []string{"H226 Flammable liquid and vapour", "H317 May cause an allergic skin reaction"}},
	{"Danger", []string{"PNT-TOP"}, []string{"H226 Flammable liquid and vapour", "H334 May cause allergy or asthma symptoms or breathing difficulties if inhaled"}},
	{"Warning", []string{"PNT-INT"}, []string{"H226 Flammable liquid and vapour"}},
	{"Danger", []string{"PNT-AF"}, []string{"H226 Flammable liquid and vapour", "H302 Harmful if swallowed", "H410 Very toxic to aquatic life with long lasting effects"}},
}

// cautions are plain words that the yard wants on every job card of a stage.
var cautions = []struct {
	words  string
	stages []string
}{
	{"Mixed pots run hot: never leave one standing full.", []string{"TOOL", "SHELL", "SUPER", "BOND", "BULK"}},
	{"Carbon dust conducts: keep it away from switchboards and tools.", []string{"SHELL", "SUPER", "STRUC"}},
	{"The oven is hot for hours after it is switched off.", []string{"CURE"}},
	{"Masks on from the first cut; dust goes to the extraction.", []string{"FAIRX", "FAIRI", "FURN"}},
	{"Life jackets on the pontoon.", []string{"AFLOAT", "WARR"}},
}

// safety makes the rows of both files.
func safety() (h []Hazard, c []Caution) {
	for _, group := range hazards {
		for _, item := range group.items {
			for _, s := range group.statements {
				h = append(h, Hazard{item, group.signal, s})
			}
		}
	}
	for _, group := range cautions {
		for _, stage := range group.stages {
			c = append(c, Caution{stage, group.words})
		}
	}
	return h, c
}
