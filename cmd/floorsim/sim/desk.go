package sim

import (
	"cmp"
	"crypto/sha1"
	"encoding/binary"
	"encoding/hex"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/labels"
)

// sentence is what one person scans in one go at a station.
type sentence struct {
	station int
	at      costing.Instant
	fresh   bool // begins without a badge: whatever the station still holds must have lapsed
	steps   []step
}

// step is one scan of a sentence.
type step struct {
	payload string
	slow    bool  // fetched or weighed first
	who     []int // people who really turn to the target with it
	target  int
	then    func(costing.Instant)
}

// desk holds the stations: it turns sentences into reads, one after another at
// each station, and hands the reads on in the order in which they arrive.
type desk struct {
	w       *World
	d       dice
	queued  []sentence
	n       []int64
	last    []costing.Instant // read at each station
	sent    []costing.Instant // arrival of the station's latest read
	offline []outage
	waiting []arrival
}

type outage struct{ from, to costing.Instant }

type arrival struct {
	at      costing.Instant
	station int
	read    Read
}

// lapse is longer than the policy's scan_gap of 30 s.
const lapse = 33_000

func newDesk(w *World) desk {
	n := len(w.Stations)
	return desk{w: w, d: newDice(w.Config.Seed, 6), n: make([]int64, n), last: make([]costing.Instant, n), sent: make([]costing.Instant, n), offline: make([]outage, n)}
}

func (k *desk) queue(s sentence) { k.queued = append(k.queued, s) }

// place scans the day's sentences: each begins when its station is free.
func (k *desk) place(f *floor) {
	k.breakdowns(f)
	slices.SortStableFunc(k.queued, func(a, b sentence) int {
		return cmp.Or(cmp.Compare(a.station, b.station), cmp.Compare(a.at, b.at))
	})
	for i := range k.queued {
		s := &k.queued[i]
		wait := costing.Instant(k.d.between(3000, 6000))
		if s.fresh {
			wait = lapse
		}
		at := max(s.at, k.last[s.station]+wait)
		if k.d.perMille(f.rates().UnknownCode) {
			k.scan(s.station, at, k.unknown())
			at = k.last[s.station] + costing.Instant(k.d.between(2500, 6000))
		}
		for j := range s.steps {
			st := &s.steps[j]
			k.scan(s.station, at, st.payload)
			scanned := k.last[s.station]
			for _, p := range st.who {
				f.people[p].marks = append(f.people[p].marks, mark{scanned, st.target})
			}
			if st.then != nil {
				st.then(scanned)
			}
			if k.d.perMille(f.rates().Bounce) {
				k.scan(s.station, scanned+costing.Instant(k.d.between(250, 1500)), st.payload)
			}
			gap := k.d.between(2000, 6000)
			if j+1 < len(s.steps) && s.steps[j+1].slow {
				gap = k.d.between(5000, 16000)
			}
			at = scanned + costing.Instant(gap)
			if at < k.last[s.station]+2000 {
				at = k.last[s.station] + 2000
			}
		}
	}
	k.queued = k.queued[:0]
}

// breakdowns draws which stations lose the network today, and for how long:
// some hours, or until the next morning.
func (k *desk) breakdowns(f *floor) {
	for s := range k.offline {
		if !k.d.perMille(f.rates().OfflineStation) || k.offline[s].to > f.at(0) {
			continue
		}
		from := f.at(k.d.between(7*3600, 20*3600))
		to := from + costing.Instant(k.d.between(30, 300))*60_000
		if k.d.perMille(250) {
			to = f.at(0) + (24*3600+7*3600)*1000 + costing.Instant(k.d.between(60, 900))*1000
		}
		k.offline[s] = outage{from, to}
	}
}

// scan makes a read. Half of the stations send whole seconds only.
func (k *desk) scan(station int, at costing.Instant, payload string) {
	if station%2 == 1 {
		at = (at + 999) / 1000 * 1000
		if at == k.last[station] {
			at += 1000
		}
	}
	k.last[station] = at
	k.n[station]++
	key := k.w.Stations[station].Key
	comes := at + costing.Instant(k.d.between(120, 900))
	if o := k.offline[station]; at >= o.from && at < o.to {
		comes = o.to
	}
	comes = max(comes, k.sent[station]) // a station sends in order
	k.sent[station] = comes
	k.waiting = append(k.waiting, arrival{comes, station, Read{k.id(station), key, k.n[station], at, payload}})
}

// id is a UUID made of the seed, the station and its counter.
func (k *desk) id(station int) string {
	var b [24]byte
	binary.BigEndian.PutUint64(b[:], k.w.Config.Seed)
	binary.BigEndian.PutUint64(b[8:], uint64(station))
	binary.BigEndian.PutUint64(b[16:], uint64(k.n[station]))
	h := sha1.Sum(b[:])
	h[6], h[8] = h[6]&0x0f|0x50, h[8]&0x3f|0x80 // RFC 9562: version 5, variant 10
	var s [36]byte
	hex.Encode(s[:], h[:4])
	s[8], s[13], s[18], s[23] = '-', '-', '-', '-'
	hex.Encode(s[9:], h[4:6])
	hex.Encode(s[14:], h[6:8])
	hex.Encode(s[19:], h[8:10])
	hex.Encode(s[24:], h[10:16])
	return string(s[:])
}

// unknown is a code that is not the yard's: a carton's, or one misread.
func (k *desk) unknown() string {
	if k.d.perMille(500) {
		return "X" + []string{"CARTON", "PALLET", "BOX"}[k.d.IntN(3)] + string(rune('0'+k.d.IntN(10)))
	}
	// One character misread: MOD 37-2 misses no single substitution.
	p := []byte(k.w.cards.jobs[k.d.IntN(len(k.w.cards.jobs))])
	p[4] = labels.Alphabet[(strings.IndexByte(labels.Alphabet, p[4])+1+k.d.IntN(27))%28]
	return string(p)
}

// deliver hands out what has arrived by an instant, or everything.
func (k *desk) deliver(by costing.Instant, all bool) []Read {
	slices.SortStableFunc(k.waiting, func(a, b arrival) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.station, b.station), cmp.Compare(a.read.N, b.read.N))
	})
	var out []Read
	kept := k.waiting[:0]
	for _, a := range k.waiting {
		if all || a.at < by {
			out = append(out, a.read)
		} else {
			kept = append(kept, a)
		}
	}
	k.waiting = kept
	return out
}
