package costingtest

import (
	"math/big"
	"time"
)

// spot is a row of the cost report.
type spot struct{ hull, stage, element, purpose string }

// thing is an item within a row.
type thing struct {
	hull, stage, purpose, item string
}

// wanted is what the estimate asks of an item in a row.
type wanted struct {
	net, gross, cost *big.Rat // cost is exact, of net with its allowance
}

// plan is the current estimate as of a date.
type plan struct {
	exact    map[spot]*big.Rat // labour, overhead, bought-in
	items    map[thing]*wanted
	progress map[[2]string]*big.Rat // by hull and stage
	grades   map[[2]string]*wanted  // by job and grade: net is hours
	weights  map[[3]string]*big.Rat // hull, stage, job: standard hours
	costs    map[[3]string]*big.Rat
	stated   map[string]*big.Rat // by job
}

// plan takes the estimate lines that count on the local day of an instant.
func (o *Oracle) plan(acts []*act, now time.Time) *plan {
	p := &plan{
		exact: map[spot]*big.Rat{}, items: map[thing]*wanted{}, progress: map[[2]string]*big.Rat{}, grades: map[[2]string]*wanted{},
		weights: map[[3]string]*big.Rat{}, costs: map[[3]string]*big.Rat{}, stated: map[string]*big.Rat{},
	}
	for _, a := range acts {
		if a.kind == "progress" {
			p.stated[a.job] = a.share
		}
	}
	for _, line := range o.files["estimate"] {
		if line["change"] == "" || o.agreed(line["change"], now) {
			o.takeLine(p, line)
		}
	}
	for _, h := range o.files["hulls"] {
		for _, s := range o.files["stages"] {
			p.progress[[2]string{h["hull"], s["stage"]}] = o.progress(p, h["hull"], s["stage"])
		}
	}
	return p
}

func (o *Oracle) agreed(change string, now time.Time) bool {
	c := o.find("changes", "change", change)
	return c["status"] == "agreed" && c["agreed"] <= o.date(now)
}

func (o *Oracle) takeLine(p *plan, line Row) {
	job := o.find("jobs", "job", line["job"])
	stage, purpose := job["stage"], job["purpose"]
	amount := num(line["quantity"])
	price := num(line["standard_rate"])
	if line["element"] == "labour" {
		grow(p.grades, [2]string{line["job"], line["key"]}, amount, amount, mul(amount, price))
	}
	list := o.shares(line["job"])
	seen := map[string]bool{}
	for _, s := range list {
		if seen[s.hull] {
			continue
		}
		seen[s.hull] = true
		part := mul(amount, fraction(list, s.hull))
		jobKey := [3]string{s.hull, stage, line["job"]}
		switch line["element"] {
		case "labour":
			sum(p.exact, spot{s.hull, stage, "labour", purpose}, mul(part, price))
			signed := o.find("hulls", "hull", s.hull)["signed"]
			sum(p.exact, spot{s.hull, stage, "overhead", purpose}, mul(part, o.rate("overheads", "stage", stage, "rate", signed)))
			sum(p.weights, jobKey, part)
		case "material":
			gross := mul(part, add(whole(1), num(line["waste"])))
			grow(p.items, thing{s.hull, stage, purpose, line["key"]}, part, gross, mul(gross, price))
			sum(p.costs, jobKey, mul(gross, price))
		default:
			sum(p.exact, spot{s.hull, stage, "bought-in", purpose}, mul(part, price))
			sum(p.costs, jobKey, mul(part, price))
		}
	}
}

func grow[K comparable](table map[K]*wanted, k K, net, gross, cost *big.Rat) {
	w := table[k]
	if w == nil {
		w = &wanted{new(big.Rat), new(big.Rat), new(big.Rat)}
		table[k] = w
	}
	w.net, w.gross, w.cost = add(w.net, net), add(w.gross, gross), add(w.cost, cost)
}

// progress is the mean of a stage's jobs, by standard hours, else by standard cost.
func (o *Oracle) progress(p *plan, hull, stage string) *big.Rat {
	for _, weight := range []map[[3]string]*big.Rat{p.weights, p.costs} {
		done, total := new(big.Rat), new(big.Rat)
		for k, w := range weight {
			if k[0] == hull && k[1] == stage {
				total = add(total, w)
				if stated := p.stated[k[2]]; stated != nil {
					done = add(done, mul(w, stated))
				}
			}
		}
		if total.Sign() > 0 {
			return quo(done, total)
		}
	}
	return new(big.Rat)
}

// standardRate is what an hour of a grade on a job ought to cost a hull.
func (o *Oracle) standardRate(p *plan, job, grade, hull string) *big.Rat {
	if named := p.grades[[2]string{job, grade}]; named != nil && named.net.Sign() > 0 {
		return quo(named.cost, named.net)
	}
	return o.rate("grades", "grade", grade, "standard_rate", o.find("hulls", "hull", hull)["signed"])
}
