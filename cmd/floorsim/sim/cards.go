package sim

import (
	"math/rand/v2"
	"strconv"

	"hulltally/labels"
)

// cards are the payloads printed before the first day. Lots get theirs on delivery.
type cards struct {
	workers, crews, jobs, indirects             []string
	off, done, back, waste, scrap, undo, cancel string
	progress                                    [4]string // by quarter
}

func (w *World) addCards(d dice) {
	var last string
	issue := func(kind labels.Kind, word, key string) string {
		serial, payload := labels.NextSerial(kind, last)
		last = serial
		w.Codes = append(w.Codes, Code{word, key, payload})
		return payload
	}
	var seed [32]byte
	for i := range seed {
		seed[i] = byte(d.IntN(256))
	}
	random, taken := rand.NewChaCha8(seed), map[string]bool{}
	for _, p := range w.Workers {
		_, payload, err := labels.RandomSerial(labels.Person, random)
		for err == nil && taken[payload] {
			_, payload, err = labels.RandomSerial(labels.Person, random)
		}
		if err != nil {
			panic("sim: " + err.Error()) // ChaCha8 never runs dry
		}
		taken[payload] = true
		w.cards.workers = append(w.cards.workers, payload)
		w.Codes = append(w.Codes, Code{"worker", p.Number, payload})
	}
	for _, c := range w.Crews {
		w.cards.crews = append(w.cards.crews, issue(labels.Crew, "crew", c.Key))
	}
	last = ""
	for _, j := range w.Jobs {
		w.cards.jobs = append(w.cards.jobs, issue(labels.Job, "job", j.Key))
	}
	last = ""
	for _, n := range w.Indirects {
		w.cards.indirects = append(w.cards.indirects, issue(labels.Indirect, "indirect", n.Key))
	}
	last = ""
	c := &w.cards
	for _, wall := range []struct {
		word string
		to   *string
	}{{"off", &c.off}, {"done", &c.done}, {"return", &c.back}, {"waste", &c.waste}, {"scrap", &c.scrap}, {"undo", &c.undo}, {"cancel", &c.cancel}} {
		*wall.to = issue(labels.Wall, wall.word, "")
	}
	for q := 1; q <= 3; q++ {
		c.progress[q] = issue(labels.Wall, "progress", strconv.Itoa(25*q))
	}
}
