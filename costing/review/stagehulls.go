package review

import (
	"cmp"
	"math/big"
	"slices"
	"strconv"

	"hulltally/costing"
	"hulltally/costing/forecast"
)

// StageOf is one stage of one hull among all hulls: the work of the build
// itself, without change orders, rework and warranty.
type StageOf struct {
	Hull                      *costing.Hull
	Progress                  *big.Rat
	Seconds, Standard         int64
	Estimate, Allowed, Actual costing.Money
}

// Done reports whether the stage is finished on the hull.
func (s *StageOf) Done() bool { return s.Progress.Cmp(big.NewRat(1, 1)) >= 0 }

// StageHulls is a stage over all hulls that have work or an estimate in it, by
// model and, within a model, in the order they were signed.
func StageHulls(b *Books, stage string) ([]StageOf, error) {
	byHull := map[string]*StageOf{}
	for i := range b.Rows {
		r := &b.Rows[i]
		if r.Stage != stage || r.Purpose != costing.Build || b.Yard.Hulls[r.Hull] == nil {
			continue
		}
		s := byHull[r.Hull]
		if s == nil {
			s = &StageOf{Hull: b.Yard.Hulls[r.Hull], Progress: b.Plan.Stage(costing.HullStage{Hull: r.Hull, Stage: stage}, b.Stated)}
			byHull[r.Hull] = s
		}
		if r.Element == costing.Labour {
			s.Seconds += r.Seconds
		}
		s.Estimate += r.Estimate
		s.Allowed += r.Allowed
		s.Actual += r.Actual
	}
	list := make([]StageOf, 0, len(byHull))
	for hull, s := range byHull {
		var err error
		if s.Standard, err = b.standardSeconds(hull, stage); err != nil {
			return nil, err
		}
		list = append(list, *s)
	}
	slices.SortFunc(list, func(x, y StageOf) int {
		return cmp.Or(cmp.Compare(x.Hull.Model, y.Hull.Model), cmp.Compare(x.Hull.Signed, y.Hull.Signed), cmp.Compare(x.Hull.Key, y.Hull.Key))
	})
	return list, nil
}

// standardSeconds is the time that the lines of the build allow a hull's stage.
func (b *Books) standardSeconds(hull, stage string) (int64, error) {
	sum := new(big.Rat)
	for _, l := range b.linesOf(hull) {
		job := b.Yard.Jobs[l.Job]
		if job.Stage != stage || job.Purpose != costing.Build || job.Change != "" || l.Change != "" || l.Element != costing.Labour {
			continue
		}
		var mine, all int64
		for _, s := range job.Shares {
			all += s.Weight
			if s.Hull == hull {
				mine += s.Weight
			}
		}
		sum.Add(sum, new(big.Rat).Mul(big.NewRat(int64(l.Quantity), costing.Million), big.NewRat(3600*mine, all)))
	}
	return costing.RoundRat(sum)
}

// ModelLesson is what the finished hulls of a model teach about a stage.
type ModelLesson struct {
	Model string
	Hulls []StageOf // finished, in the order they were signed
	forecast.Lesson
}

// Lessons are what a stage teaches, model by model.
func Lessons(stage []StageOf) []ModelLesson {
	var list []ModelLesson
	for i := range stage {
		s := &stage[i]
		if len(list) == 0 || list[len(list)-1].Model != s.Hull.Model {
			list = append(list, ModelLesson{Model: s.Hull.Model})
		}
		if s.Done() && s.Seconds > 0 {
			l := &list[len(list)-1]
			l.Hulls = append(l.Hulls, *s)
		}
	}
	for i := range list {
		var seconds []int64
		for j := range list[i].Hulls {
			seconds = append(seconds, list[i].Hulls[j].Seconds)
		}
		list[i].Lesson = forecast.Learn(seconds)
	}
	return list
}

// Say puts a lesson into words: a curve where the hours carry one, and why not
// where they don't.
func (l *ModelLesson) Say() string {
	h := func(seconds int64) string { return HoursOf(seconds) + thin + "h" }
	switch {
	case l.Lesson.Hulls == 0:
		return "No hull has finished it yet, so nothing can be learned from it."
	case l.Lesson.Hulls == 1:
		return "One hull has finished it, in " + h(l.Mean) + ". A learning curve takes three."
	case l.Lesson.Hulls < forecast.FewestHulls:
		return "Two hulls have finished it, in " + h(l.Low) + " and " + h(l.High) + ": any two lie on some curve, so none is drawn. It takes three."
	case !l.Learned:
		return strconv.Itoa(l.Lesson.Hulls) + " hulls have finished it, in " + h(l.Low) + " to " + h(l.High) + ", " + h(l.Mean) +
			" on the mean. The hours don't fall from hull to hull by more than they scatter, so no learning curve is drawn."
	}
	return strconv.Itoa(l.Lesson.Hulls) + " hulls follow a learning curve of " + People(tenths(int64(l.PerMille), 10)) + thin +
		"%: that much of the hours is left each time the number of hulls doubles. The next should take " + h(l.Next) +
		", in 95 cases of 100 between " + h(l.NextLow) + " and " + h(l.NextHigh) + "."
}
