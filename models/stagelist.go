package models

import (
	"context"
	"slices"
)

// ReadyStage is a stage of the ready list with those usually done before it.
type ReadyStage struct {
	StageRow
	After string
}

// ReadyStages is a list of stages for a yard that infuses, bonds, fairs, paints
// and fits out composite boats (common practice, no source). It is a beginning:
// keys, names, order and predecessors are the yard's to change.
var ReadyStages = func() []ReadyStage {
	list := []ReadyStage{
		{StageRow{"DESIGN", "Design", 10}, ""},
		{StageRow{"TOOL", "Plugs, moulds and jigs", 20}, "DESIGN"},
		{StageRow{"SHELL", "Shells", 30}, "TOOL"},
		{StageRow{"BOND", "Bonding", 40}, "SHELL"},
		{StageRow{"BULK", "Bulkheads, tanks and floors", 50}, "BOND"},
		{StageRow{"SUPER", "Superstructure", 60}, "SHELL"},
		{StageRow{"STRUC", "First structural fit-out", 70}, "BULK;SUPER"},
		{StageRow{"CURE", "Post-cure", 80}, "STRUC"},
		{StageRow{"FURN", "Furniture", 90}, "CURE"},
		{StageRow{"FAIRI", "Fairing and paint inside", 100}, "CURE"},
		{StageRow{"FAIRX", "Fairing and paint outside", 110}, "CURE"},
		{StageRow{"SYS", "Systems", 120}, "FAIRI"},
		{StageRow{"DETAIL", "Detail fit-out", 130}, "FURN;FAIRX;SYS"},
		{StageRow{"COMM", "Commissioning ashore", 140}, "DETAIL"},
		{StageRow{"AFLOAT", "Launch and afloat", 150}, "COMM"},
		{StageRow{"WARR", "Warranty", 160}, "AFLOAT"},
	}
	return list
}()

// ReadyStageFiles are the ready list as yard files, by name.
func ReadyStageFiles() (map[string][]byte, error) {
	var rows []any
	for _, s := range ReadyStages {
		rows = append(rows, s.StageRow)
	}
	for _, s := range ReadyStages {
		rows = append(rows, PredecessorRow{Stage: s.Stage, After: s.After})
	}
	return FilesOf(rows...)
}

// EnterReadyStages enters the ready list where the yard has no stage yet.
func (s *Store) EnterReadyStages(ctx context.Context, opts LoadOptions) error {
	files, err := ReadyStageFiles()
	if err != nil {
		return err
	}
	return s.InTx(ctx, func(tx *Tx) error {
		stages, err := stagesFile.all(ctx, tx)
		if err != nil {
			return err
		}
		if len(stages) > 0 {
			return Errorf(Conflict, "the yard has stages already: change them one by one")
		}
		opts.Did, opts.Subject = "entered the ready list", "stages"
		_, err = tx.Enter(ctx, files, opts)
		return err
	})
}

// Stages lists the stages in the order of the build, with their predecessors.
func (tx *Tx) Stages(ctx context.Context) ([]ReadyStage, error) {
	rows, err := stagesFile.all(ctx, tx)
	if err != nil {
		return nil, err
	}
	before, err := predecessorsFile.all(ctx, tx)
	if err != nil {
		return nil, err
	}
	list := make([]ReadyStage, len(rows))
	for i, r := range rows {
		list[i].StageRow = r
		for _, b := range before {
			if b.Stage == r.Stage {
				list[i].After = b.After
			}
		}
	}
	slices.SortStableFunc(list, func(a, b ReadyStage) int { return a.Order - b.Order })
	return list, nil
}
