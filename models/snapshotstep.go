package models

import (
	"cmp"
	"context"
	"slices"

	"hulltally/costing"
	"hulltally/costing/stock"
)

// yardPart is a part of the yard that is read anew as a whole when one of its
// files changed. A part begins by making what it fills empty: what the last
// snapshot holds is shared, and only read.
type yardPart struct {
	files []yardFile
	read  func(ctx context.Context, tx *Tx, y *costing.Yard) error
}

// Parts that nothing else of the yard is made from.
var smallParts = []yardPart{
	{[]yardFile{crewsFile, workersFile, ratesFile, gradesFile}, func(ctx context.Context, tx *Tx, y *costing.Yard) error {
		y.Crews, y.Workers, y.Grades = map[string]*costing.Crew{}, map[string]*costing.Worker{}, map[string]costing.Dated[costing.Price]{}
		return yardPeople(ctx, tx, y)
	}},
	{[]yardFile{shiftsFile, breaksFile, holidaysFile, indirectsFile, stationsFile}, func(ctx context.Context, tx *Tx, y *costing.Yard) error {
		y.Shifts, y.Holidays = map[string]*costing.Shift{}, map[costing.Date]string{}
		y.Indirects, y.Stations = map[string]*costing.Indirect{}, map[string]*costing.Station{}
		return yardTimes(ctx, tx, y)
	}},
	{hullFiles, func(ctx context.Context, tx *Tx, y *costing.Yard) error {
		y.Stages, y.Hulls, y.Changes = map[string]*costing.Stage{}, map[string]*costing.Hull{}, map[string]*costing.Change{}
		y.Tools = map[string]*costing.Tool{}
		if err := yardHulls(ctx, tx, y); err != nil {
			return err
		}
		return yardTools(ctx, tx, y)
	}},
	{[]yardFile{processesFile}, func(ctx context.Context, tx *Tx, y *costing.Yard) error {
		y.Processes = map[string]*costing.Process{}
		return yardProcesses(ctx, tx, y)
	}},
	{[]yardFile{budgetFile}, func(ctx context.Context, tx *Tx, y *costing.Yard) error {
		y.Budget = map[costing.HullStage]costing.Quantity{}
		return yardBudget(ctx, tx, y)
	}},
	{[]yardFile{fxFile}, func(ctx context.Context, tx *Tx, y *costing.Yard) error {
		y.Rates = map[string]costing.Dated[costing.Price]{}
		return yardRates(ctx, tx, y)
	}},
	{[]yardFile{itemsFile, wasteFactorsFile}, func(ctx context.Context, tx *Tx, y *costing.Yard) error {
		y.Items = map[string]*costing.Item{}
		return yardItems(ctx, tx, y)
	}},
	{[]yardFile{boughtFile, billingFile, fxFile}, func(ctx context.Context, tx *Tx, y *costing.Yard) error {
		y.Bought, y.Billing = nil, nil
		return yardDocuments(ctx, tx, y)
	}},
	{[]yardFile{paymentsFile, fxFile}, func(ctx context.Context, tx *Tx, y *costing.Yard) error {
		y.Payments = nil
		return yardPayments(ctx, tx, y)
	}},
	{[]yardFile{closesFile}, func(ctx context.Context, tx *Tx, y *costing.Yard) error {
		y.Closes = nil
		return yardCloses(ctx, tx, y)
	}},
}

var hullFiles = []yardFile{stagesFile, predecessorsFile, overheadsFile, hullsFile, changesFile, toolingFile, toolUsesFile}

// elsewhere are files that the snapshot holds nothing of.
var elsewhere = []yardFile{
	hazardsFile, cautionsFile, stockReasonsFile, tradeNumbersFile, changeStepsFile, revisionsFile, revisionLinesFile, baselinesFile, headingsFile,
	tieSignaturesFile,
}

// lotFiles are the files that lots are made from.
var lotFiles = []yardFile{deliveriesFile, lotsFile, invoicesFile, countsFile, lotPlacesFile, holdsFile, landedFile, countSheetsFile, talliesFile}

// stepped are the files whose changes a snapshot follows; after a change of
// another, all is read anew.
var stepped = func() map[string]bool {
	files := slices.Concat(lotFiles, elsewhere, []yardFile{jobsFile, estimateFile, correctionsFile, codesFile})
	for _, part := range smallParts {
		files = append(files, part.files...)
	}
	set := map[string]bool{}
	for _, f := range files {
		set[stemOf(f)] = true
	}
	return set
}()

// whole reports changes that no step can follow.
func (ch yardChanges) whole() bool {
	for stem := range ch {
		if !stepped[stem] {
			return true
		}
	}
	return false
}

// stepSnapshot is the last snapshot with what changed since.
func (tx *Tx) stepSnapshot(ctx context.Context, last *Snapshot, ch yardChanges) (*Snapshot, error) {
	y := *last.Yard
	s := &Snapshot{Version: tx.Version, Yard: &y, Corrections: last.Corrections, codes: last.codes, lots: last.lots}
	for _, part := range smallParts {
		if ch.any(part.files...) {
			if err := part.read(ctx, tx, &y); err != nil {
				return nil, err
			}
		}
	}
	for _, step := range []func(context.Context, *Tx, *Snapshot, yardChanges) error{
		s.stepJobs, s.stepLots, s.stepCodes, s.stepCorrections,
	} {
		if err := step(ctx, tx, last, ch); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func (s *Snapshot) stepJobs(ctx context.Context, tx *Tx, last *Snapshot, ch yardChanges) error {
	y := s.Yard
	if ch.any(jobsFile) {
		keys := ch.of(jobsFile)
		y.Jobs = without(last.Yard.Jobs, keys)
		if err := yardJobRows(ctx, tx, y, keys); err != nil {
			return err
		}
	}
	if !ch.any(estimateFile) {
		return nil
	}
	keys := ch.of(estimateFile)
	fresh := &costing.Yard{}
	if err := yardEstimate(ctx, tx, fresh, keys); err != nil {
		return err
	}
	if keys == nil {
		y.Estimate = fresh.Estimate
		return nil
	}
	// The lines stand by job; those of a job change together.
	y.Estimate = slices.Clone(last.Yard.Estimate)
	of := func(l costing.EstimateLine, job string) int { return cmp.Compare(l.Job, job) }
	for _, job := range keys {
		from, _ := slices.BinarySearchFunc(fresh.Estimate, job, of)
		to := from
		for to < len(fresh.Estimate) && fresh.Estimate[to].Job == job {
			to++
		}
		was, _ := slices.BinarySearchFunc(y.Estimate, job, of)
		end := was
		for end < len(y.Estimate) && y.Estimate[end].Job == job {
			end++
		}
		y.Estimate = slices.Replace(y.Estimate, was, end, fresh.Estimate[from:to]...)
	}
	return nil
}

func (s *Snapshot) stepCodes(ctx context.Context, tx *Tx, last *Snapshot, ch yardChanges) error {
	if !ch.any(codesFile) {
		return nil
	}
	keys := ch.of(codesFile)
	s.codes = without(last.codes, keys)
	return eachOf(ctx, tx, codesFile, keys, func(r *CodeRow) error {
		s.codes[r.Payload] = *r
		return nil
	})
}

// stepCorrections: what a correction's target is depends on the jobs there are.
func (s *Snapshot) stepCorrections(ctx context.Context, tx *Tx, last *Snapshot, ch yardChanges) error {
	keys := ch.of(correctionsFile)
	if ch.any(jobsFile, indirectsFile) && s.targetsMoved() {
		keys = nil
	}
	if keys != nil && len(keys) == 0 {
		return nil
	}
	s.Corrections = without(last.Corrections, keys)
	return eachOf(ctx, tx, correctionsFile, keys, func(r *CorrectionRow) error {
		c := s.correction(r)
		s.Corrections[c.Worker] = append(s.Corrections[c.Worker], c)
		return nil
	})
}

func (s *Snapshot) targetsMoved() bool {
	for _, list := range s.Corrections {
		for _, c := range list {
			if c.Indirect != "" && (s.Yard.Jobs[c.Indirect] != nil || s.Yard.Indirects[c.Indirect] == nil) {
				return true
			}
		}
	}
	return false
}

func lotsByUnit(y *costing.Yard) map[stock.Unit][]string {
	units := map[stock.Unit][]string{}
	for key := range y.Lots {
		u := stock.UnitOf(y, key)
		units[u] = append(units[u], key)
	}
	return units
}
