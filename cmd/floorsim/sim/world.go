package sim

import (
	"fmt"
	"time"
	_ "time/tzdata" // the same yard on machines without zone files

	"hulltally/costing"
)

// World is the simulated yard: every row of its files but the reads, which are
// replayed day by day because there may be millions.
type World struct {
	Config Config

	Policies    []Policy
	Workers     []Worker
	Rates       []Rate // per worker
	Grades      []Rate
	Shifts      []ShiftHours
	Breaks      []ShiftHours
	Holidays    []Holiday
	Crews       []Named
	Indirects   []Named
	Stations    []Station
	Stages      []Stage
	Overheads   []Rate
	Hulls       []Hull
	Jobs        []Job
	Items       []Item
	Estimate    []EstimateLine
	Changes     []Change
	Budget      []Weight
	Lots        []Lot
	Invoices    []Invoice
	Bought      []Bought
	Billing     []Bill
	Counts      []Count
	Corrections []Correction
	Codes       []Code

	end     costing.Date
	zone    *time.Location
	holiday map[costing.Date]bool
	plans   []hullPlan
	tasks   []*task
	cards   cards
	clocks  [halls][]int // stations by hall
	stores  []int
}

// indirects are what people do that no hull bears.
var indirects = []Named{
	{"CLEAN", "Cleaning"},
	{"WAIT", "Waiting for material"},
	{"TRAIN", "Training"},
	{"MEET", "Meeting"},
	{"MAINT", "Maintenance"},
	{"STORES", "Stores and goods-in"},
}

// Generate builds the yard and plays it once, to know its lots, counts,
// corrections, purchases and bills. Days, Reads and Truth play it again.
func Generate(cfg Config) *World {
	zone, err := time.LoadLocation(zoneName)
	if err != nil {
		panic("sim: " + err.Error()) // tzdata is linked in
	}
	w := &World{Config: cfg, zone: zone, end: cfg.End(), holiday: map[costing.Date]bool{}, Indirects: indirects}
	w.addPolicies()
	w.addCalendar()
	w.addPeople(newDice(cfg.Seed, 1))
	w.addStages()
	w.addStandards()
	w.addStations()
	for i := range catalogue {
		w.Items = append(w.Items, catalogue[i].row())
	}
	w.addHulls(newDice(cfg.Seed, 2))
	w.addBudget()
	w.addCards(newDice(cfg.Seed, 3))
	f := newFloor(w)
	for range f.days() {
	}
	w.takeOver(f)
	return w
}

func (w *World) addStages() {
	for i, s := range stagePlans {
		w.Stages = append(w.Stages, Stage{s.key, s.name, i + 1})
	}
}

// addStations gives each hall a clock station for every block of people, and
// the yard a main store and a resin room for each.
func (w *World) addStations() {
	for h := range halls {
		place := "ashore"
		if h == quay {
			place = "afloat"
		}
		for b := range w.Config.blocks() {
			w.clocks[h] = append(w.clocks[h], len(w.Stations))
			w.Stations = append(w.Stations, Station{fmt.Sprintf("CK%d", len(w.Stations)+1), numbered(hallNames[h], b), "clock", place})
		}
	}
	for b := range w.Config.blocks() {
		w.stores = append(w.stores, len(w.Stations), len(w.Stations)+1)
		w.Stations = append(w.Stations, Station{fmt.Sprintf("ST%d", 2*b+1), numbered("Main stores", b), "stores", "ashore"},
			Station{fmt.Sprintf("ST%d", 2*b+2), numbered("Resin room", b), "stores", "ashore"})
	}
}

func numbered(name string, i int) string {
	if i == 0 {
		return name
	}
	return fmt.Sprintf("%s %d", name, i+1)
}

// takeOver keeps the rows that playing the yard brought about.
func (w *World) takeOver(f *floor) {
	w.Lots, w.Invoices, w.Counts, w.Corrections = f.lotRows, f.invoices, f.counts, f.corrections
	w.Bought = append(w.Bought, f.bought...)
	w.Billing = f.billing
	w.Codes = append(w.Codes, f.codes...)
}
