package handlers

import (
	"cmp"
	"math/big"
	"net/url"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/costing/revise"
	"hulltally/costing/whatif"
	"hulltally/models"
)

// lever is a field of the what-if form.
type lever struct {
	Name, Label, Unit, Value, Usual string
}

// stageLevers is a row of the form: a stage with its own fields.
type stageLevers struct{ Key, Name, Hours, Afloat string }

// whatIfPage reckons a hull under changed circumstances; it stores nothing.
func (s *Server) whatIfPage(v *Visit) error {
	return s.owned(v, func(g *ground) (*ownedPage, error) { return g.whatIf(g.visit.Param("hull"), g.query) })
}

func (g *ground) whatIf(hull string, asked url.Values) (*ownedPage, error) {
	r, state, err := g.revisionOf(hull, asked.Get("revision"))
	if err != nil {
		return nil, err
	}
	books, err := g.whatIfBooks(r, state)
	if err != nil {
		return nil, err
	}
	d := map[string]any{
		"AsOf": g.asOf(), "Hull": hull, "Which": state, "State": which(state), "Here": "/estimate/" + url.PathEscape(hull) + "/what-if", "At": g.at,
		"Back": g.toEstimate(hull, "revision", state), "Board": g.link("/estimates"), "May": mayEstimate(g.visit), "Code": g.currency.Code, "Currency": r.PriceCurrency,
	}
	lv, wrong := readLevers(asked)
	d["Wrong"] = wrong
	if wrong != "" {
		lv = whatif.None() // the last answer that made sense is none
	}
	a, err := books.Ask(hull, lv)
	if err != nil {
		return nil, err
	}
	d["Levers"], d["Stages"] = leversOf(asked, r), g.stageFields(asked, a)
	d["Changed"] = a.New != a.Base
	d["Base"], d["New"], d["Moves"] = g.cash(a.Base.Margin), g.cash(a.New.Margin), g.signed(a.New.Margin-a.Base.Margin)
	d["BaseShare"], d["NewShare"], d["Loss"] = part(a.Base.Share()), part(a.New.Share()), a.New.Margin < 0
	d["Totals"], d["Table"] = g.whatIfTotals(a), g.whatIfTable(a)
	return &ownedPage{"what-if.html", "What if: " + hull, d}, nil
}

// leverFields are the fields for the whole hull, in per cent or as they are.
var leverFields = []lever{
	{"hours", "Hours", "%", "", "100"},
	{"rates", "Labour rates", "%", "", "100"},
	{"prices", "Material prices", "%", "", "100"},
	{"bought", "Bought-in parts", "%", "", "100"},
	{"waste", "Waste allowances, points more", "%", "", "0"},
	{"times", "The same work afloat takes, times", "", "", "3"},
	{"price", "Contract price", "", "", ""},
	{"fx", "Exchange rate of the price", "", "", ""},
}

func leversOf(asked url.Values, r *revise.Revision) []lever {
	var list []lever
	for _, f := range leverFields {
		switch f.Name {
		case "price":
			f.Unit, f.Usual = r.PriceCurrency, costing.FormatDecimal(r.Price)
		case "fx":
			f.Usual = costing.FormatDecimal(int64(r.PriceRate))
		}
		f.Value = cmp.Or(asked.Get(f.Name), f.Usual)
		list = append(list, f)
	}
	return list
}

func (g *ground) stageFields(asked url.Values, a *whatif.Answer) []stageLevers {
	var list []stageLevers
	for i := range a.Stages {
		key := a.Stages[i].Stage
		if a.Stages[i].Hours.Sign() == 0 {
			continue
		}
		list = append(list, stageLevers{key, g.stageName(key), cmp.Or(asked.Get("hours."+key), "100"), cmp.Or(asked.Get("afloat."+key), "0")})
	}
	return list
}

// readLevers reads the form; wrong says what cannot be read.
func readLevers(asked url.Values) (lv whatif.Levers, wrong string) {
	lv = whatif.None()
	read := func(name, what string, low, high int64) (int64, bool) {
		text := strings.TrimSpace(asked.Get(name))
		if text == "" {
			return 0, false
		}
		v, err := costing.ParseDecimal(strings.TrimSuffix(strings.Replace(text, ",", ".", 1), "%"))
		if err != nil || v < low*costing.Million || v > high*costing.Million {
			if wrong == "" {
				wrong = what + ": give a number from " + strconv.FormatInt(low, 10) + " to " + strconv.FormatInt(high, 10)
			}
			return 0, false
		}
		return v, true
	}
	for name, to := range map[string]*costing.Share{"hours": &lv.Hours, "rates": &lv.Rates, "prices": &lv.Prices, "bought": &lv.Bought} {
		if v, ok := read(name, name, 0, 1000); ok {
			*to = costing.Share(v / 100)
		}
	}
	if v, ok := read("waste", "waste", -100, 1000); ok {
		lv.Waste = costing.Share(v / 100)
	}
	if v, ok := read("times", "times", 0, 100); ok {
		lv.AfloatTimes = costing.Share(v)
	}
	if v, ok := read("price", "price", 0, 1_000_000_000_000); ok {
		lv.Price = &v
	}
	if v, ok := read("fx", "exchange rate", 0, 1_000_000); ok && v > 0 {
		rate := costing.Price(v)
		lv.PriceRate = &rate
	}
	for name := range asked {
		key, ok := strings.CutPrefix(name, "hours.")
		if !ok {
			if key, ok = strings.CutPrefix(name, "afloat."); !ok {
				continue
			}
		}
		s := whatif.Stage{Hours: costing.One}
		if v, ok := read("hours."+key, "hours of "+key, 0, 1000); ok {
			s.Hours = costing.Share(v / 100)
		}
		if v, ok := read("afloat."+key, "share afloat of "+key, 0, 100); ok {
			s.Afloat = costing.Share(v / 100)
		}
		if s != (whatif.Stage{Hours: costing.One}) {
			lv.Stages[key] = s
		}
	}
	return lv, wrong
}

func (g *ground) whatIfTotals(a *whatif.Answer) *grid {
	t := g.table("margin", "The hull, before and after", col("what", "What"), numCol("base", "As it is, "+g.currency.Code), numCol("new", "What if"), numCol("moves", "Difference"))
	for _, row := range []struct {
		what     string
		base, is costing.Money
	}{
		{"Price", a.Base.Price, a.New.Price},
		{"Agreed changes", a.Base.Changes, a.New.Changes},
		{"Estimate", a.Base.Estimate, a.New.Estimate},
		{"Spent so far", a.Base.Actual, a.New.Actual},
		{"To complete", a.Base.ToComplete, a.New.ToComplete},
		{"At completion", a.Base.AtCompletion, a.New.AtCompletion},
		{"Margin", a.Base.Margin, a.New.Margin},
	} {
		diff := g.cash(row.is - row.base)
		if row.is > row.base {
			diff.Text = "+" + diff.Text
		}
		t.add(words(row.what), g.cash(row.base), g.cash(row.is), diff)
	}
	return t
}

func (g *ground) whatIfTable(a *whatif.Answer) *grid {
	t := g.table("stages", "By stage", col("stage", "Stage"), numCol("progress", "Progress"), numCol("hours", "Hours estimated"), numCol("new_hours", "What if"),
		numCol("to_complete", "To complete, "+g.currency.Code), numCol("new_to_complete", "What if"), numCol("moves", "Difference"))
	var was, is costing.Money
	for i := range a.Stages {
		s := &a.Stages[i]
		was += s.ToComplete
		is += s.NewToComplete
		name := figure{Value: s.Stage, Text: g.stageName(s.Stage)}
		if s.AlreadyFinished {
			name.Note = "done"
		}
		t.add(name, part(s.Progress), hoursRat(s.Hours), hoursRat(s.NewHours), g.cash(s.ToComplete), g.cash(s.NewToComplete), g.cause(s.NewToComplete-s.ToComplete))
	}
	t.foot(words("The hull"), figure{}, figure{}, figure{}, g.cash(was), g.cash(is), g.cause(is-was))
	return t
}

// hoursRat shows millionths of an hour.
func hoursRat(r *big.Rat) figure {
	v, err := costing.RoundRat(r)
	if err != nil {
		return figure{}
	}
	return amountOf(costing.Quantity(v), "")
}

// keepWhatIf keeps what was asked as the next revision.
func (s *Server) keepWhatIf(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	hull := v.Param("hull")
	back := "/estimate/" + url.PathEscape(hull) + "/what-if?" + v.Request.PostForm.Encode()
	lv, wrong := readLevers(v.Request.PostForm)
	if wrong != "" {
		return s.sendBack(v, models.Errorf(models.Invalid, "%s", wrong), back)
	}
	var r *revise.Revision
	if err := s.onGround(v, func(g *ground) (err error) {
		var state string
		if r, state, err = g.revisionOf(hull, v.Form("revision")); err == nil {
			r.Basis = "what if, of " + which(state)
			if state == inBooks {
				r.Basis = "what if, of the books"
			}
		}
		return err
	}); err != nil {
		return err
	}
	if err := lv.Apply(r); err != nil {
		return s.sendBack(v, models.Errorf(models.Invalid, "%v", err), back)
	}
	n, err := s.store.KeepRevision(v.Request.Context(), r, s.entering(v, "kept a what-if", hull, ""))
	if err != nil {
		return s.sendBack(v, err, back)
	}
	v.Flash("Kept as revision %d.", n)
	return v.Redirect("/estimate/" + url.PathEscape(hull) + "?revision=" + strconv.Itoa(n))
}
