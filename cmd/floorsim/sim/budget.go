package sim

import "hulltally/costing"

// addBudget sets the weight budget: the estimate's net material that stays
// aboard, with a little to spare, for stages built in the simulated time.
func (w *World) addBudget() {
	jobs := map[string]*task{}
	for _, t := range w.tasks {
		jobs[w.Jobs[t.job].Key] = t
	}
	sum := map[[2]int]int64{} // hull, stage
	for _, e := range w.Estimate {
		if e.Element != costing.Material || e.Change != "" {
			continue
		}
		it, t := &catalogue[itemIndex[e.Key]], jobs[e.Job]
		grams := mulDiv(mulDiv(int64(e.Quantity), it.kg, 1000), int64(it.aboard), 1000)
		for _, h := range t.hulls {
			sum[[2]int{h, t.stage}] += grams / int64(len(t.hulls))
		}
	}
	for h := range w.Hulls {
		for s := range stagePlans {
			if kg := sum[[2]int{h, s}]; kg > 0 {
				w.Budget = append(w.Budget, Weight{w.Hulls[h].Key, stagePlans[s].key, costing.Quantity(roundTo(share(kg, 1025), million))})
			}
		}
	}
}
