package models

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	_ "time/tzdata" // zones must be known where the machine has no list of them

	"hulltally/costing"
)

// The policies that hold for good and cannot be dated.
const (
	policyName     = "name"
	policyCurrency = "currency"
	policyZone     = "time_zone"
)

// policyRule reads a policy's value into a yard; an error says what is wrong with it.
type policyRule struct {
	undated bool
	set     func(y *costing.Yard, from costing.Date, value string) error
}

var policyRules = map[string]policyRule{
	policyName: {true, func(y *costing.Yard, _ costing.Date, value string) error {
		y.Name = value
		return nil
	}},
	policyCurrency: {true, func(y *costing.Yard, _ costing.Date, value string) (err error) {
		y.Currency, err = costing.ParseCurrency(value)
		return err
	}},
	policyZone: {true, func(y *costing.Yard, _ costing.Date, value string) (err error) {
		y.Zone, err = parseZone(value)
		return err
	}},
	"scan_gap":            length(time.Second, day, func(p *costing.Policy) durations { return &p.ScanGap }),
	"max_booking":         length(time.Minute, 2*day, func(p *costing.Policy) durations { return &p.MaxBooking }),
	"grace":               length(0, day, func(p *costing.Policy) durations { return &p.Grace }),
	"no_shift_cap":        length(0, day, func(p *costing.Policy) durations { return &p.NoShiftCap }),
	"daily_ordinary":      length(0, day, func(p *costing.Policy) durations { return &p.DailyOrdinary }),
	"weekly_ordinary":     length(0, 7*day, func(p *costing.Policy) durations { return &p.WeeklyOrdinary }),
	"overtime_multiplier": share(costing.One, 100, func(p *costing.Policy) shares { return &p.OvertimeMultiplier }),
	"double_multiplier":   share(costing.One, 100, func(p *costing.Policy) shares { return &p.DoubleMultiplier }),
	"recount_over":        share(0, 1, func(p *costing.Policy) shares { return &p.RecountOver }),
	"on_cost":             share(0, 100, func(p *costing.Policy) shares { return &p.OnCost }),
	"clock_rounding": {false, func(y *costing.Yard, from costing.Date, value string) error {
		d, ok := clockRoundings[strings.ReplaceAll(value, " ", "")]
		if !ok {
			return fmt.Errorf("%q is not one of none, 5m, 6m, 15m", value)
		}
		y.Policy.ClockRounding = y.Policy.ClockRounding.Add(from, d)
		return nil
	}},
	"revenue":            choice(func(p *costing.Policy) texts { return &p.Revenue }, string(costing.OverTime), string(costing.AtHandover)),
	"rework_in_progress": choice(func(p *costing.Policy) texts { return &p.Rework }, "counted", "left_out"),
	"installed_goods":    choice(func(p *costing.Policy) texts { return &p.InstalledGoods }, "apart", "counted"),
	"premium_on_cost": {false, func(y *costing.Yard, from costing.Date, value string) error {
		if value != "yes" && value != "no" {
			return fmt.Errorf("%q is neither yes nor no", value)
		}
		y.Policy.PremiumOnCost = y.Policy.PremiumOnCost.Add(from, value == "yes")
		return nil
	}},
}

const day = 24 * time.Hour

var clockRoundings = map[string]time.Duration{
	"none": 0,
	"5m":   5 * time.Minute, "5min": 5 * time.Minute,
	"6m": 6 * time.Minute, "6min": 6 * time.Minute,
	"15m": 15 * time.Minute, "15min": 15 * time.Minute,
}

type (
	durations = *costing.Dated[time.Duration]
	shares    = *costing.Dated[costing.Share]
	texts     = *costing.Dated[string]
)

func length(low, high time.Duration, of func(*costing.Policy) durations) policyRule {
	return policyRule{false, func(y *costing.Yard, from costing.Date, value string) error {
		d, err := time.ParseDuration(value)
		if err != nil || d%time.Second != 0 {
			return fmt.Errorf("%q is not a duration in whole seconds such as 30s or 14h", value)
		}
		if d < low || d > high {
			return fmt.Errorf("%s is not from %s to %s", value, low, high)
		}
		dated := of(&y.Policy)
		*dated = dated.Add(from, d)
		return nil
	}}
}

func share(low costing.Share, high int64, of func(*costing.Policy) shares) policyRule {
	return policyRule{false, func(y *costing.Yard, from costing.Date, value string) error {
		v, err := costing.ParseDecimal(value)
		if err != nil {
			return err
		}
		if v < int64(low) || v > high*million {
			return fmt.Errorf("%s is not from %s to %d", value, costing.FormatDecimal(int64(low)), high)
		}
		dated := of(&y.Policy)
		*dated = dated.Add(from, costing.Share(v))
		return nil
	}}
}

// choice is a policy that is one of some words.
func choice(of func(*costing.Policy) texts, words ...string) policyRule {
	return policyRule{false, func(y *costing.Yard, from costing.Date, value string) error {
		if !slices.Contains(words, value) {
			return fmt.Errorf("%q is not one of %s", value, strings.Join(words, ", "))
		}
		dated := of(&y.Policy)
		*dated = dated.Add(from, value)
		return nil
	}}
}

func parseZone(name string) (*time.Location, error) {
	// LoadLocation takes these for the machine's own zone, and paths for files.
	if name == "" || name == "Local" || strings.ContainsAny(name, `\.`) {
		return nil, fmt.Errorf("%q is not an IANA time zone such as Europe/Lisbon", name)
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		return nil, fmt.Errorf("%q is not an IANA time zone such as Europe/Lisbon", name)
	}
	return zone, nil
}

// into sets the row's policy in a yard.
func (r *PolicyRow) into(y *costing.Yard) (column string, err error) {
	rule, known := policyRules[r.Key]
	if !known {
		return "key", fmt.Errorf("%q is no policy: choose one of %s", r.Key, strings.Join(sorted(policyRules), ", "))
	}
	if rule.undated && r.From != "" {
		return "from", errors.New("must be blank: " + r.Key + " holds for good")
	}
	from, err := r.From.Date()
	if err != nil {
		return "from", err
	}
	return "value", rule.set(y, from, r.Value)
}

func (r *PolicyRow) check(bad func(column, reason string)) {
	if column, err := r.into(&costing.Yard{}); err != nil {
		bad(column, err.Error())
	}
}
