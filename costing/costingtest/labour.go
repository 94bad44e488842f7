package costingtest

import (
	"math/big"
	"slices"
	"strings"
	"time"
)

// piece is a stretch of one worker's time with one date and one pay band.
type piece struct {
	stretch
	worker, week, date, target, band         string
	provisional                              bool
	base, onCost, premium, overhead, seconds int64
	premiumOnCost                            int64 // goes where the premium goes
}

// booking is time on a job or an indirect code.
type booking struct {
	stretch
	target      string
	provisional bool
}

// pieces works out every worker's time up to an instant.
func (o *Oracle) pieces(acts []*act, now time.Time) []*piece {
	all := []*piece{}
	for _, w := range o.files["workers"] {
		weeks, byWeek := []string{}, map[string][]*piece{}
		for _, p := range o.cut(w, o.bookings(w, o.entries(w, acts, now), now)) {
			if byWeek[p.week] == nil {
				weeks = append(weeks, p.week)
			}
			byWeek[p.week] = append(byWeek[p.week], p)
		}
		for _, week := range weeks {
			banded := o.band(byWeek[week])
			o.pay(banded)
			all = append(all, banded...)
		}
	}
	return all
}

// entries lists a worker's clock entries, corrections taken in.
func (o *Oracle) entries(w Row, acts []*act, now time.Time) []*act {
	list := []*act{}
	for _, a := range acts {
		if a.kind == "clock" && (a.worker == w["number"] || a.crew != "" && a.crew == w["crew"]) {
			list = append(list, a)
		}
	}
	for _, c := range o.files["corrections"] {
		at := instant(c["at"])
		if c["worker"] != w["number"] || at.After(now) {
			continue
		}
		switch {
		case c["kind"] == "void":
			list = slices.DeleteFunc(list, func(a *act) bool { return a.at.Equal(at) })
		case c["target"] == "off":
			list = append(list, &act{at: at, target: "off"})
		case o.find("jobs", "job", c["target"])["job"] != "":
			list = append(list, &act{at: at, target: "job " + c["target"]})
		default:
			list = append(list, &act{at: at, target: "indirect " + c["target"]})
		}
	}
	sortActs(list)
	return list
}

// bookings folds entries into time on things.
func (o *Oracle) bookings(w Row, entries []*act, now time.Time) []booking {
	var (
		list   []booking
		target string
		since  time.Time

		running bool
	)
	most := o.span("max_booking", "14h", "")
	for _, e := range entries {
		on := target != "" && e.at.Sub(since) <= most
		if e.crew != "" && (!on || o.date(since) != o.date(e.at)) {
			continue
		}
		if on && e.target == target {
			continue
		}
		if target != "" {
			b := booking{stretch{since, e.at}, target, false}
			if !on {
				b.provisional = true
				b.to = earlier(e.at, o.presumedEnd(w, since))
			}
			list = append(list, b)
		}
		target, since = e.target, e.at
		if e.target == "off" {
			target = ""
		}
	}
	if target != "" {
		b := booking{stretch{since, now}, target, false}
		if end := o.presumedEnd(w, since); now.After(end.Add(o.span("grace", "30m", ""))) {
			b.provisional, b.to = true, end
		}
		running = !b.provisional
		list = append(list, b)
	}
	for i := range list {
		list[i].from = o.nearest(list[i].from)
		if !running || i < len(list)-1 { // what runs counts up to now, which nobody clocked
			list[i].to = o.nearest(list[i].to)
		}
	}
	return list
}

func (o *Oracle) presumedEnd(w Row, began time.Time) time.Time {
	if end, ok := o.shiftEnd(w["shift"], began); ok {
		return end
	}
	return began.Add(o.span("no_shift_cap", "2h", ""))
}

// cut makes pieces of bookings: midnights cut, unpaid breaks fall out.
func (o *Oracle) cut(w Row, bookings []booking) []*piece {
	list := []*piece{}
	for _, b := range bookings {
		for from := b.from; from.Before(b.to); {
			date := o.date(from)
			to := earlier(b.to, o.midnight(nextDate(date, 1)))
			for _, s := range o.withoutBreaks(w["shift"], stretch{from, to}) {
				list = append(list, &piece{
					stretch: s, worker: w["number"], week: week(date), date: date, target: b.target, provisional: b.provisional,
				})
			}
			from = to
		}
	}
	return list
}

// band divides a week's pieces into pay bands.
func (o *Oracle) band(pieces []*piece) []*piece {
	list := []*piece{}
	var weekly int64
	daily := map[string]int64{}
	for _, p := range pieces {
		if weekday(p.date) == "7" || o.find("holidays", "date", p.date)["date"] != "" {
			p.band = "double"
			list = append(list, p)
			continue
		}
		left := min(limit(o.span("daily_ordinary", "9h", p.date), daily[p.date], p.length()),
			limit(o.span("weekly_ordinary", "45h", p.date), weekly, p.length()))
		daily[p.date] += p.length()
		weekly += left
		if left > 0 {
			first := *p
			first.to, first.band = p.from.Add(time.Duration(left)*time.Second), "ordinary"
			list = append(list, &first)
		}
		if left < p.length() {
			rest := *p
			rest.from, rest.band = p.from.Add(time.Duration(left)*time.Second), "overtime"
			list = append(list, &rest)
		}
	}
	return list
}

func (p *piece) length() int64 { return p.stretch.seconds() }

// limit is how much of some seconds a limit still takes after those used.
func limit(most time.Duration, used, seconds int64) int64 {
	return max(0, min(seconds, int64(most/time.Second)-used))
}

// pay costs a week's pieces, each component in one running series.
func (o *Oracle) pay(pieces []*piece) {
	var base, onCost, premium, premiumOnCost, overhead running
	for _, p := range pieces {
		p.seconds = p.length()
		rate := o.rate("rates", "worker", p.worker, "rate", p.date)
		cost := mul(hours(p.seconds), rate, o.scale())
		share := num(o.policy("on_cost", "0", p.date))
		extra := new(big.Rat)
		switch p.band {
		case "overtime":
			extra = sub(num(o.policy("overtime_multiplier", "1.5", p.date)), whole(1))
		case "double":
			extra = sub(num(o.policy("double_multiplier", "2", p.date)), whole(1))
		}
		if o.policy("premium_on_cost", "no", p.date) == "yes" {
			p.premiumOnCost = premiumOnCost.next(mul(cost, extra, share))
		}
		absorbed := new(big.Rat)
		if job, ok := jobOf(p.target); ok {
			stage := o.find("jobs", "job", job)["stage"]
			absorbed = mul(hours(p.seconds), o.rate("overheads", "stage", stage, "rate", p.date), o.scale())
		}
		p.base, p.onCost = base.next(cost), onCost.next(mul(cost, share))
		p.premium, p.overhead = premium.next(mul(cost, extra)), overhead.next(absorbed)
	}
}

func jobOf(target string) (string, bool) { return strings.CutPrefix(target, "job ") }
