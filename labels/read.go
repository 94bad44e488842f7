package labels

import (
	"errors"
	"fmt"
	"strings"
	"unicode"

	"hulltally/costing"
)

// MaxMeasure is the largest quantity a read may state. Longer numbers are
// article numbers from a supplier's label, not quantities.
const MaxMeasure = costing.Quantity(1_000_000 * costing.Million)

// Reading is what a scanner or a person at the keyboard sent.
type Reading struct {
	Payload string           // as stored: folded, stripped, the layout undone
	Kind    Kind             // 0 for a quantity
	Measure *costing.Measure // the quantity, if it is one
	Layout  string           // the keyboard layout that had to be undone, if any
}

// Normalise folds case and strips spaces, the scanner's suffix and an AIM
// identifier such as "]C0".
func Normalise(raw string) string {
	return strings.ToUpper(stripIdentifier(strip(raw)))
}

// strip drops white space and control characters wherever they stand.
func strip(raw string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.IsControl(r) || r == '\uFEFF' {
			return -1
		}
		return r
	}, raw)
}

// stripIdentifier drops "]", a letter and a modifier (ISO/IEC 15424).
func stripIdentifier(s string) string {
	if len(s) >= 3 && s[0] == ']' && isLetter(s[1]) && (isLetter(s[2]) || isDigit(s[2])) {
		return s[3:]
	}
	return s
}

func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }
func isDigit(c byte) bool  { return c >= '0' && c <= '9' }

// Read takes one read apart: one of the yard's codes or a quantity. A code
// that passes its check only after a known keyboard layout is undone is
// accepted and the layout named. A quantity has no check character, so one
// that came through a wrong layout is refused, also by name.
//
// A code all in lower case is named as caps lock; where people type codes by
// hand that is no fault and may be ignored. A quantity of nought is refused, but
// its measure stands in the reading: nought is what a check may well find.
func Read(raw string) (Reading, error) {
	if good(raw) {
		return Reading{Payload: raw, Kind: Kind(raw[0])}, nil
	}
	s := stripIdentifier(strip(raw))
	if s == "" {
		return Reading{}, errors.New("nothing was read")
	}
	folded := strings.ToUpper(s)
	if good(folded) {
		return Reading{Payload: folded, Kind: Kind(folded[0]), Layout: capsLock(s)}, nil
	}
	if len(s) <= 4*payloadLength {
		for i := range layouts {
			undone := Normalise(layouts[i].undo(s))
			if good(undone) {
				return Reading{Payload: undone, Kind: Kind(undone[0]), Layout: layouts[i].name}, nil
			}
		}
	}
	// What has the form of a code is a code misread, never the weight on a scale.
	if m, err := ReadAmount(raw); err == nil && !codeShaped(folded) {
		return Reading{Payload: m.Value.String() + string(m.Unit), Measure: &m}, nil
	}
	if isLetter(s[0]) {
		return Reading{}, Check(folded)
	}
	return readMeasure(folded)
}

// codeShaped reports whether text has the length and the characters of a code,
// a letter among them.
func codeShaped(s string) bool {
	return len(s) == payloadLength && strings.Trim(s, Alphabet) == "" && strings.Trim(s, "0123456789") != ""
}

// QuantityError says why what was meant for a quantity is none that stock can
// be moved by.
type QuantityError struct{ why string }

// Error implements error.
func (e QuantityError) Error() string { return e.why }

func readMeasure(s string) (Reading, error) {
	m, err := costing.ParseMeasure(s)
	switch {
	case err != nil && !isDigit(s[0]) && s[0] != '-':
		if name := measureLayout(s); name != "" {
			return Reading{}, fmt.Errorf("%q is neither a code nor a quantity: the keyboard seems to be set to %s", clip(s), name)
		}
		return Reading{}, fmt.Errorf("%q is neither a code nor a quantity", clip(s))
	case errors.Is(err, costing.ErrTooLarge) || err == nil && m.Value > MaxMeasure:
		return Reading{}, QuantityError{fmt.Sprintf("%q is too large for a quantity (at most %s): is it a supplier's number?", clip(s), MaxMeasure)}
	case err != nil:
		return Reading{}, QuantityError{err.Error()}
	case m.Value < 0:
		return Reading{}, QuantityError{fmt.Sprintf("%q: a quantity cannot be negative", clip(s))}
	case m.Value == 0:
		return Reading{Payload: s, Measure: &m}, QuantityError{fmt.Sprintf("%q: a quantity must be above zero", clip(s))}
	}
	return Reading{Payload: s, Measure: &m}, nil
}
