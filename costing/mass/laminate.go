package mass

import (
	"cmp"
	"math/big"
	"slices"

	"hulltally/costing"
	"hulltally/costing/estimate"
)

// Ask is why a laminate raises a question; empty is no question.
type Ask string

// The questions.
const (
	NoQuestion Ask = ""
	NotDone    Ask = "not_done"    // nothing is asked before the job is stated done
	NoProcess  Ask = "no_process"  // nobody said how it is made: no band to hold it to
	NoMatrix   Ask = "no_matrix"   // fibre without any resin
	FibreRich  Ask = "fibre_rich"  // above the band
	MatrixRich Ask = "matrix_rich" // below the band
)

// Asks reports whether somebody should look.
func (a Ask) Asks() bool { return a == NoMatrix || a == FibreRich || a == MatrixRich }

// Says puts the question into words.
func (a Ask) Says() string {
	switch a {
	case NotDone:
		return "not stated done yet: fibre and resin may still be drawn"
	case NoProcess:
		return "no process is named for the job: there is no band to hold it to"
	case NoMatrix:
		return "fibre, but no resin: was a lot of resin not scanned?"
	case FibreRich:
		return "more fibre than its process gives: was a lot of resin not scanned, or an offcut not weighed? Is it dry?"
	case MatrixRich:
		return "more resin than its process gives: is the part resin-rich, was there a leak, or waste that nobody weighed, or fibre that nobody scanned?"
	}
	return "within the band"
}

// Laminate is a job that fibre went into, whole, however many hulls share it.
type Laminate struct {
	Job           *costing.Job
	Done          int // per cent, as stated
	Fibre, Matrix costing.Quantity
	// ByMass and ByVolume are the shares of fibre; nil where they can't be known.
	ByMass, ByVolume *big.Rat
	Process          *costing.Process
	Ask              Ask
	// By the estimate: layers and the thickness in millimetres they come to at
	// the share of fibre achieved; nil where the lines name no plies.
	Plies     int
	Thickness *big.Rat
}

// sum is a laminate in the making: masses in millionths of a kilogram, volumes
// in millionths of a litre.
type sum struct {
	fibre, matrix, fibreVolume, matrixVolume *big.Rat
	noFibreDensity, noMatrixDensity          bool
}

// Laminates lists the jobs that fibre went into, sorted by hull, stage and key.
func Laminates(y *costing.Yard, plan *estimate.Plan, stated estimate.Progress, t *costing.Totals) ([]Laminate, error) {
	sums := map[string]*sum{}
	for fine, s := range t.Fine {
		it := y.Items[fine.Detail]
		if fine.Element != costing.Material || it == nil || y.Jobs[fine.Job] == nil || !laminates(it) || y.Tools[fine.Hull] != nil {
			continue
		}
		if sums[fine.Job] == nil {
			sums[fine.Job] = &sum{fibre: new(big.Rat), matrix: new(big.Rat), fibreVolume: new(big.Rat), matrixVolume: new(big.Rat)}
		}
		sums[fine.Job].add(it, Net(it, s))
	}
	var list []Laminate
	for key, s := range sums {
		if s.fibre.Sign() <= 0 {
			continue
		}
		l, err := s.laminate(y.Jobs[key], y, stated[key])
		if err != nil {
			return nil, err
		}
		l.plies(y, plan)
		list = append(list, l)
	}
	slices.SortFunc(list, func(a, b Laminate) int {
		return cmp.Or(cmp.Compare(a.Job.Shares[0].Hull, b.Job.Shares[0].Hull), cmp.Compare(a.Job.Stage, b.Job.Stage), cmp.Compare(a.Job.Key, b.Job.Key))
	})
	return list, nil
}

func laminates(it *costing.Item) bool {
	return it.Role == costing.Fibre || it.Role == costing.Resin || it.Role == costing.Hardener
}

func (s *sum) add(it *costing.Item, net costing.Quantity) {
	kg := new(big.Rat).Mul(big.NewRat(int64(net), costing.Million), big.NewRat(it.KgPerUnit, 1))
	kg.Mul(kg, big.NewRat(int64(it.AboardShare), int64(costing.One)))
	mass, volume, no := s.matrix, s.matrixVolume, &s.noMatrixDensity
	if it.Role == costing.Fibre {
		mass, volume, no = s.fibre, s.fibreVolume, &s.noFibreDensity
	}
	mass.Add(mass, kg)
	if it.Density > 0 {
		volume.Add(volume, new(big.Rat).Quo(kg, big.NewRat(it.Density, costing.Million)))
	} else if net != 0 {
		*no = true
	}
}

func (s *sum) laminate(job *costing.Job, y *costing.Yard, done int) (Laminate, error) {
	l := Laminate{Job: job, Done: done, Process: y.Processes[job.Process]}
	fibre, err := costing.RoundRat(s.fibre)
	if err != nil {
		return l, err
	}
	matrix, err := costing.RoundRat(s.matrix)
	if err != nil {
		return l, err
	}
	l.Fibre, l.Matrix = costing.Quantity(fibre), costing.Quantity(matrix)
	if s.matrix.Sign() > 0 {
		l.ByMass = new(big.Rat).Quo(s.fibre, new(big.Rat).Add(s.fibre, s.matrix))
		if !s.noFibreDensity && !s.noMatrixDensity && s.fibreVolume.Sign() > 0 && s.matrixVolume.Sign() > 0 {
			l.ByVolume = VolumeFraction(l.ByMass, new(big.Rat).Quo(s.fibre, s.fibreVolume), new(big.Rat).Quo(s.matrix, s.matrixVolume))
		}
	}
	l.Ask = l.ask()
	return l, nil
}

func (l *Laminate) ask() Ask {
	share := func(s costing.Share) *big.Rat { return big.NewRat(int64(s), int64(costing.One)) }
	switch {
	case l.Done < 100:
		return NotDone
	case l.ByMass == nil:
		return NoMatrix
	case l.Process == nil:
		return NoProcess
	case l.ByMass.Cmp(share(l.Process.High)) > 0:
		return FibreRich
	case l.ByMass.Cmp(share(l.Process.Low)) < 0:
		return MatrixRich
	}
	return NoQuestion
}

// plies finds the thickness that the estimate's layers come to at the share of
// fibre achieved. Fibres of unlike density each take their own room.
func (l *Laminate) plies(y *costing.Yard, plan *estimate.Plan) {
	areal, volume := new(big.Rat), new(big.Rat) // g/m², and g/m² over density
	for k, it := range plan.ByJob {
		item := y.Items[k.Item]
		if k.Job != l.Job.Key || it.Plies == 0 || item == nil || item.Role != costing.Fibre {
			continue
		}
		l.Plies += it.Plies
		if item.StockUnit != costing.SquareMetre || item.KgPerUnit == 0 || item.Density == 0 {
			volume = nil // a layer of unknown mass or density: no thickness
		}
		if volume == nil {
			continue
		}
		g := big.NewRat(int64(it.Plies)*item.KgPerUnit, 1000) // millionths of a kilogram to grams
		areal.Add(areal, g)
		volume.Add(volume, new(big.Rat).Quo(g, big.NewRat(item.Density, costing.Million)))
	}
	if l.Plies > 0 && volume != nil && volume.Sign() > 0 {
		l.Thickness = Thickness(areal, new(big.Rat).Quo(areal, volume), l.ByVolume)
	}
}
