package models

import (
	"fmt"

	"hulltally/costing/clock"
)

// answer puts what a read did into words: whom and what it heard, and what to
// scan next. It never names money.
func (s *Snapshot) answer(r *readRecord, known bool) Answer {
	a := Answer{ID: r.ID, Outcome: r.Outcome, Code: r.Code, Known: known}
	what := s.Resolve(r.Payload, r.AtMs)
	a.Say = s.say(r, what)
	a.Heard = s.heardName(r, what)
	for _, k := range needs(r.Code, s, r.Station) {
		a.Needs = append(a.Needs, string(k))
	}
	return a
}

// sayings are the answers in English; a %s is the name of what was scanned.
var sayings = map[string]string{
	"worker":              "%s: scan a job, an indirect code or Off",
	"crew":                "%s: scan a job, an indirect code or Off",
	"job":                 "%s: scan a lot",
	"lot":                 "%s: enter the quantity",
	"return":              "Return: scan the lot",
	"waste":               "Waste: scan the lot",
	"scrap":               "Scrap: scan the lot",
	"sign":                "%s: a team leader's badge signs it",
	"clocked_on":          "Clocked on to %s",
	"clocked_on_indirect": "Clocked on to %s",
	"clocked_off":         "Clocked off",
	"did_issue":           "Issued %s",
	"did_return":          "Taken back %s",
	"did_waste":           "Waste noted %s",
	"did_scrap":           "Scrapped %s",
	"signed":              "Signed by %s",
	"check":               "%s: enter the value",
	"check_minutes":       "Over how many minutes?",
	"check_by":            "%s: enter the value",
	"checked":             "Noted %s",
	"check_unit":          "%s does not fit this check",
	"problem":             "What is it? Scan its picture",
	"problem_by":          "%s: scan the picture of the problem",
	"problem_noted":       "%s: the team leader is told",
	"undone":              "Taken back",
	"cancelled":           "Cancelled",
	"bounce":              "Scanned twice: counted once",
	"unknown_station":     "This station is not known to the yard: tell the office",
	"clock_elsewhere":     "That is for a clock station",
	"badge_first":         "Scan your badge first",
	"job_first":           "Scan a job first",
	"lot_first":           "Scan a lot first",
	"scrap_at_stores":     "Scrap is for the stores",
	"may_not_sign":        "%s may not sign jobs off: ask a team leader",
	"nothing_to_undo":     "Nothing to take back",
	"no_conversion":       "That unit does not fit this lot",
	"no_quantity":         "A quantity must be more than nothing",
	"bad_quantity":        "No quantity that can be used: %s",
	"whole_units":         "This item is issued in whole units only: %s is not whole",
	"unknown_code":        "Not understood: %s",
}

func (s *Snapshot) say(r *readRecord, heard Heard) string {
	text, ok := sayings[r.Code]
	if !ok {
		return r.Code
	}
	name := s.name(string(heard.Kind), heard.Key)
	if heard.Kind == clock.Measure || heard.Kind == clock.Unknown {
		name = heard.Payload
	}
	switch {
	case (r.Code == "unknown_code" || r.Code == "bad_quantity") && r.Detail != "":
		name = r.Detail
	case heard.Kind == clock.Done:
		name = "Done"
	case heard.Kind == clock.Progress:
		name = fmt.Sprintf("%d %%", heard.Percent)
	}
	if containsVerb(text) {
		return fmt.Sprintf(text, name)
	}
	return text
}

func containsVerb(text string) bool {
	for i := 0; i+1 < len(text); i++ {
		if text[i] == '%' && text[i+1] == 's' {
			return true
		}
	}
	return false
}

// needs is what the station waits for after an answer.
func needs(code string, s *Snapshot, station string) []clock.Kind {
	switch code {
	case "worker", "crew":
		if st := s.Yard.Stations[station]; st != nil && st.Kind == "clock" {
			return []clock.Kind{clock.Job, clock.Indirect, clock.Off}
		}
		return []clock.Kind{clock.Job}
	case "job", "return", "waste", "scrap":
		return []clock.Kind{clock.Lot}
	case "lot", "check", "check_minutes", "check_by":
		return []clock.Kind{clock.Measure}
	case "problem", "problem_by":
		return []clock.Kind{clock.Problem}
	case "sign":
		return []clock.Kind{clock.Worker}
	}
	return nil
}
