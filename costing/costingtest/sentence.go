package costingtest

import (
	"math/big"
	"regexp"
	"strings"
	"time"
)

// act is what one sentence did.
type act struct {
	kind     string // clock, issue, return, waste, scrap, progress
	worker   string
	crew     string
	target   string // of a clock entry: "job J1", "indirect CLEAN" or "off"
	job, lot string
	quantity *big.Rat // in the stock unit, as read
	share    *big.Rat // of progress
	at       time.Time
	station  string
	n        int
	undone   bool
}

// sentence is what a station holds in mind.
type sentence struct {
	worker, crew, job, mode, lot string
	stating                      *big.Rat // progress waiting for its worker
}

// acts reads every station's sentences up to an instant.
func (o *Oracle) acts(until time.Time) []*act {
	byStation := map[string][]read{}
	for _, r := range o.reads {
		if !r.at.After(until) {
			byStation[r.station] = append(byStation[r.station], r)
		}
	}
	all := []*act{}
	for _, s := range o.files["stations"] {
		all = append(all, o.listen(s, byStation[s["station"]])...)
	}
	kept := []*act{}
	for _, a := range all {
		if !a.undone {
			kept = append(kept, a)
		}
	}
	sortActs(kept)
	return kept
}

func (o *Oracle) listen(station Row, reads []read) []*act {
	var (
		done []*act
		now  sentence
		last read
	)
	gap := o.span("scan_gap", "30s", "")
	for i, r := range reads {
		r.payload = cleaned(r.payload)
		since := r.at.Sub(last.at)
		if i > 0 && since > gap {
			now = sentence{}
		}
		bounce := i > 0 && r.payload == last.payload && since <= 2*time.Second
		last = r
		if bounce {
			continue
		}
		a := o.hear(station["kind"] == "clock", &now, r, done)
		if a != nil {
			a.at, a.station, a.n = r.at, r.station, r.n
			done = append(done, a)
		}
	}
	return done
}

// cleaned is a payload as the codes are printed.
func cleaned(s string) string {
	return strings.TrimPrefix(strings.ToUpper(strings.Join(strings.Fields(s), "")), "]C0")
}

// hear takes one read into the sentence and gives what that completes.
func (o *Oracle) hear(clock bool, now *sentence, r read, done []*act) *act {
	code, known := o.codes[r.payload]
	if !known {
		return o.hearQuantity(now, r.payload)
	}
	key := code["key"]
	switch code["kind"] {
	case "cancel":
		*now = sentence{}
	case "worker":
		if now.stating != nil {
			a := &act{kind: "progress", worker: key, job: now.job, share: now.stating}
			*now = sentence{}
			if o.find("workers", "number", key)["signs_off"] == "yes" {
				return a
			}
			return nil
		}
		*now = sentence{worker: key, mode: "issue"}
	case "crew":
		*now = sentence{crew: key, mode: "issue"}
	case "job":
		now.job, now.mode, now.lot, now.stating = key, "issue", "", nil
		return now.clockOn(clock, "job "+key)
	case "indirect", "off":
		target := strings.TrimSpace(code["kind"] + " " + key)
		if a := now.clockOn(clock, target); a != nil {
			now.stating = nil
			return a
		}
	case "lot":
		if now.job != "" || now.mode == "scrap" {
			now.lot, now.stating = key, nil
		}
	case "return", "waste":
		if now.job != "" {
			now.mode, now.lot, now.stating = code["kind"], "", nil
		}
	case "scrap":
		if !clock {
			now.mode, now.job, now.lot = "scrap", "", ""
		}
	case "progress", "done":
		if clock && now.job != "" {
			now.stating = whole(1)
			if code["kind"] == "progress" {
				now.stating = quo(num(key), whole(100))
			}
		}
	case "undo":
		if len(done) > 0 {
			if a := done[len(done)-1]; r.at.Sub(a.at) <= time.Minute {
				if !a.undone { // once
					now.stating = nil
				}
				a.undone = true
			}
		}
	}
	return nil
}

func (s *sentence) clockOn(clock bool, target string) *act {
	if !clock || s.worker == "" && s.crew == "" {
		return nil
	}
	return &act{kind: "clock", worker: s.worker, crew: s.crew, target: target}
}

var quantity = regexp.MustCompile(`^([0-9]+(?:[.,][0-9]{1,6})?)(MTK|MTR|KGM|LTR|C62)?$`)

func (o *Oracle) hearQuantity(now *sentence, payload string) *act {
	parts := quantity.FindStringSubmatch(payload)
	if parts == nil || now.lot == "" {
		return nil
	}
	item := o.itemOf(now.lot)
	q := convert(item, num(strings.Replace(parts[1], ",", ".", 1)), parts[2])
	if q == nil || q.Sign() <= 0 {
		return nil
	}
	// the lot stays at hand: it may be weighed out in several goes
	return &act{kind: now.mode, worker: now.worker, job: now.job, lot: now.lot, quantity: q}
}

func (o *Oracle) itemOf(lot string) Row {
	return o.find("items", "item", o.find("lots", "lot", lot)["item"])
}

// convert turns a quantity into the item's stock unit; nil is no data.
func convert(item Row, q *big.Rat, unit string) *big.Rat {
	by := func(column string, f func(a, b *big.Rat) *big.Rat) *big.Rat {
		if item[column] == "" {
			return nil
		}
		return sixPlaces(f(q, num(item[column])))
	}
	times := func(a, b *big.Rat) *big.Rat { return mul(a, b) }
	switch stock := item["stock_unit"]; {
	case unit == "" || unit == stock:
		return q
	case unit == "MTR" && stock == "MTK":
		return by("roll_width_m", times)
	case unit == "C62" && stock == "MTK":
		return by("sheet_m2", times)
	case unit == "LTR" && stock == "KGM":
		return by("kg_per_litre", times)
	case unit == "KGM" && stock == "LTR":
		return by("kg_per_litre", quo)
	}
	return nil
}
