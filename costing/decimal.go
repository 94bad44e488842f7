package costing

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Million is the scale of every decimal in the program: six places.
const Million = 1_000_000

// Errors of decimal parsing. They are wrapped with the text that was refused.
var (
	ErrNotDecimal = errors.New("is not a decimal number such as 12.5")
	ErrPlaces     = errors.New("has more than 6 decimal places")
	ErrTooLarge   = errors.New("is too large")
)

// ParseDecimal reads a plain decimal ("12", "-0.5", "12.500") as millionths.
// There is no exponent, no digit grouping and no sign but a leading minus.
func ParseDecimal(s string) (int64, error) {
	digits, negative := strings.CutPrefix(s, "-")
	whole, fraction, point := strings.Cut(digits, ".")
	if whole == "" || point && fraction == "" || !allDigits(whole) || !allDigits(fraction) {
		return 0, fmt.Errorf("%q %w", s, ErrNotDecimal)
	}
	fraction = strings.TrimRight(fraction, "0")
	if len(fraction) > 6 {
		return 0, fmt.Errorf("%q %w", s, ErrPlaces)
	}
	fraction += strings.Repeat("0", 6-len(fraction))
	v, err := strconv.ParseInt(whole+fraction, 10, 64)
	if err != nil {
		return 0, fmt.Errorf("%q %w", s, ErrTooLarge)
	}
	if negative {
		v = -v
	}
	return v, nil
}

func allDigits(s string) bool {
	for _, c := range []byte(s) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return true
}

// FormatDecimal writes millionths in the shortest plain form; ParseDecimal reads it back.
func FormatDecimal(v int64) string {
	s := formatScaled(v, 6)
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// formatScaled writes v / 10^places with exactly that many places.
func formatScaled(v int64, places int) string {
	sign, u := "", uint64(v)
	if v < 0 {
		sign, u = "-", uint64(-v)
	}
	s := strconv.FormatUint(u, 10)
	if places == 0 {
		return sign + s
	}
	if len(s) <= places {
		s = strings.Repeat("0", places-len(s)+1) + s
	}
	return sign + s[:len(s)-places] + "." + s[len(s)-places:]
}

// addChecked is a + b, or an error where int64 would wrap.
func addChecked(a, b int64) (int64, error) {
	c := a + b
	if (c > a) != (b > 0) && b != 0 {
		return 0, fmt.Errorf("%d + %d %w", a, b, ErrTooLarge)
	}
	return c, nil
}

// pow10 is 10^n for the small n of currencies.
func pow10(n int) int64 { return powersOfTen[n] }

var powersOfTen = [...]int64{1, 10, 100, 1000, 10_000}
