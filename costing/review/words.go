package review

import (
	"strconv"
	"strings"

	"hulltally/costing"
)

// Target is what a word leads to: a hull, its stage, or with more named, the
// postings that a figure is made of.
type Target struct {
	Hull, Stage string
	Element     costing.Element
	Purpose     costing.Purpose
	Job, Detail string
	Part        string // of the page
}

// Word is a piece of a sentence, and where it leads, if anywhere.
type Word struct {
	Text string
	To   *Target
}

// Words is a sentence.
type Words []Word

// String is the sentence without its links.
func (w Words) String() string {
	var b strings.Builder
	for _, word := range w {
		b.WriteString(word.Text)
	}
	return b.String()
}

// Facts are what sentences are made from, beside the books.
type Facts struct {
	Worked     []Worked    // of the hull; of its stage at least
	Statements []Statement // in order
}

// Say puts a finding into words.
func (h *Hull) Say(b *Books, f *Finding, facts *Facts) (Words, error) {
	s := &speech{b: b, h: h, f: f}
	switch f.Theme {
	case Hours:
		o, err := h.Overrun(b, f.Stage.Key, facts.Worked, facts.Statements)
		if err != nil {
			return nil, err
		}
		s.hours(&o)
	case Rework:
		s.rework()
	case Quantity:
		s.quantity()
	case BoughtIn:
		s.link(f.Stage.Name, s.stage()).text(": bought-in parts and work ").
			link(s.cash(f.Cost), &Target{Hull: h.Hull.Key, Stage: f.Stage.Key, Element: costing.BoughtIn}).text(" over the estimate.")
	case NotAgreed:
		s.notAgreed()
	case PayRate:
		s.text("Pay rates: the hands at work cost ").text(s.cash(f.Cost)).text(" more than the rates of the estimate").most(PayRate).text(".")
	case Price:
		s.text("Material prices: ").text(s.cash(f.Cost)).text(" over the estimate's").most(Price).text(".")
	case StillToDo:
		rule := "going on as so far"
		if h.statedIn(b, f.Stage.Key) {
			rule = "by what the estimator stated"
		}
		s.link(f.Stage.Name, s.stage()).text(" is "+Percent(s.progress())+" done; "+rule+", the rest takes ").
			link(s.cash(f.Cost), &Target{Hull: h.Hull.Key, Stage: f.Stage.Key, Part: "forecast"}).text(" more than its estimate leaves.")
	}
	return s.words, nil
}

// speech is a sentence in the making.
type speech struct {
	b     *Books
	h     *Hull
	f     *Finding
	words Words
}

func (s *speech) text(t string) *speech {
	s.words = append(s.words, Word{Text: t})
	return s
}

func (s *speech) link(t string, to *Target) *speech {
	s.words = append(s.words, Word{t, to})
	return s
}

func (s *speech) cash(m costing.Money) string { return Cash(s.b.Yard.Currency, m) }

func (s *speech) stage() *Target { return &Target{Hull: s.h.Hull.Key, Stage: s.f.Stage.Key} }

func (s *speech) hours(o *Overrun) {
	labour := &Target{Hull: s.h.Hull.Key, Stage: s.f.Stage.Key, Element: costing.Labour, Purpose: costing.Build}
	s.link(s.f.Stage.Name, s.stage())
	if o.Over <= 0 {
		s.text(": no more hours than allowed, but dearer ones; with the overhead they carry ").
			link(s.cash(s.f.Cost), labour).text(" over allowance.")
		return
	}
	s.text(": ").link(HoursOf(o.Over)+thin+"h", labour)
	if s.progress().Sign() == 0 {
		s.text(" booked, and no progress stated yet; with the overhead they carry ").text(s.cash(s.f.Cost)).text(".")
		return
	}
	s.text(" over allowance")
	switch {
	case o.Since != 0 && o.SinceOver >= o.Over:
		s.text(", all of them since " + DayName(o.Since))
	case o.Since != 0:
		s.text(", " + HoursOf(o.SinceOver) + thin + "h of them since " + DayName(o.Since))
	}
	if o.Job != nil {
		s.text(", "+HoursOf(o.JobOver)+thin+"h on ").link(partOf(o.Job), &Target{Hull: s.h.Hull.Key, Element: costing.Labour, Job: o.Job.Key})
	}
	s.text("; with the overhead they carry ").text(s.cash(s.f.Cost)).text(".")
}

func (s *speech) rework() {
	jobs := JobCosts(s.b, s.h.Hull.Key, func(j *costing.Job) bool {
		return j.Stage == s.f.Stage.Key && j.Purpose.Apart() && !notAgreed(s.b.Yard, j, s.b.Day)
	})
	var seconds int64
	for _, j := range jobs {
		seconds += j.Seconds
	}
	s.text("Rework on ").link(s.f.Stage.Name, s.stage()).text(": ")
	if seconds > 0 {
		s.text(HoursOf(seconds) + thin + "h and ")
	}
	s.link(s.cash(s.f.Cost), &Target{Hull: s.h.Hull.Key, Stage: s.f.Stage.Key, Part: "jobs"})
	if len(jobs) > 0 && jobs[0].Cost > 0 {
		s.text(", most of it ")
		if len(jobs) == 1 {
			s.words[len(s.words)-1].Text = ", all of it "
		}
		s.link(partOf(jobs[0].Job), &Target{Hull: s.h.Hull.Key, Stage: s.f.Stage.Key, Job: jobs[0].Job.Key}).
			text(" (" + s.cash(jobs[0].Cost) + ")")
	}
	s.text(".")
}

func partOf(j *costing.Job) string {
	if j.Part != "" {
		return j.Part
	}
	return "job " + j.Key
}

func (s *speech) notAgreed() {
	var open []*Change
	var price costing.Money
	for i := range s.h.Changes {
		if c := &s.h.Changes[i]; !c.Counts && c.Cost != 0 {
			open = append(open, c)
			price += c.Price
		}
	}
	here := &Target{Hull: s.h.Hull.Key, Part: "changes"}
	s.text("Built but not agreed: ")
	switch len(open) {
	case 0: // a job that names a change nobody knows
		s.link("work on changes", here)
	case 1:
		s.link(open[0].Title, here)
	default:
		s.link(strconv.Itoa(len(open))+" changes", here)
	}
	s.text(", ").text(s.cash(s.f.Cost)).text(" spent")
	if price != 0 {
		s.text("; asked for at " + s.cash(price) + ", which nobody owes yet")
	}
	s.text(".")
}
