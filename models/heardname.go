package models

import (
	"strconv"
	"strings"

	"hulltally/costing/clock"
)

// HeardName is what a read was, in the yard's own names: what a screen in
// another language needs beside an answer's code.
type HeardName struct {
	Kind  string // of the code; "measure" for a quantity
	Key   string // which check or problem
	Name  string // what people call it; empty where a language has a word for it
	About string // the stage of a job, the item of a lot
	Unit  string // the stock unit of a lot
	// Language is what the worker of a badge is spoken to in; empty: as the station is set.
	Language string
}

func (s *Snapshot) heardName(r *readRecord, heard Heard) HeardName {
	h := HeardName{Kind: string(heard.Kind), Name: s.name(string(heard.Kind), heard.Key)}
	switch heard.Kind {
	case clock.Worker:
		if w := s.Yard.Workers[heard.Key]; w != nil {
			h.Language = w.Language
		}
	case clock.Measure, clock.Unknown:
		h.Name = heard.Payload
	case clock.Check, clock.Problem:
		h.Key, h.Name = heard.Key, ""
	case clock.Progress:
		h.Name = strconv.Itoa(heard.Percent) + " %"
	case clock.Job:
		if j := s.Yard.Jobs[heard.Key]; j != nil {
			h.About = s.aboutJob(j.Stage, j.Part)
		}
	case clock.Lot:
		if l := s.Yard.Lots[heard.Key]; l != nil && s.Yard.Items[l.Item] != nil {
			item := s.Yard.Items[l.Item]
			h.About, h.Unit = item.Name, string(item.StockUnit)
		}
	}
	if r.Code == "id_of_another" {
		return HeardName{}
	}
	return h
}

// aboutJob is the stage of a job by name, and the part where it has one.
func (s *Snapshot) aboutJob(stage, part string) string {
	name := stage
	if st := s.Yard.Stages[stage]; st != nil {
		name = st.Name
	}
	return strings.TrimSuffix(name+" · "+part, " · ")
}

// AnswerCodes are the codes an answer may bear, in no order: what every
// language of the floor has words for.
func AnswerCodes() []string {
	codes := []string{"id_of_another"}
	for code := range sayings {
		codes = append(codes, code)
	}
	return codes
}
