package handlers

import (
	"errors"
	"math/big"
	"regexp"
	"strings"

	"hulltally/costing"
)

var (
	errNumber = errors.New("is not a number such as 12.5")
	errLarge  = errors.New("is too large")
)

// numberForm is a plain or scientific number, as workbooks keep them.
var numberForm = regexp.MustCompile(`^-?[0-9]{1,30}(\.[0-9]{0,40})?([eE][-+]?[0-9]{1,2})?$`)

// readNumber reads what people and workbooks write, as millionths: a point or
// a comma, a per cent sign, no grouping. A workbook's binary fraction is rounded
// to six places, half away from zero.
func readNumber(text string) (int64, error) {
	text = strings.TrimSpace(text)
	share := strings.HasSuffix(text, "%")
	text = strings.TrimSpace(strings.TrimSuffix(text, "%"))
	if strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	if text == "" {
		return 0, errors.New("is blank: give a number")
	}
	r, ok := new(big.Rat).SetString(text)
	if !numberForm.MatchString(text) || !ok {
		return 0, errNumber
	}
	r.Mul(r, big.NewRat(costing.Million, 1))
	if share {
		r.Quo(r, big.NewRat(100, 1))
	}
	v, err := costing.RoundRat(r)
	if err != nil {
		return 0, errLarge
	}
	return v, nil
}
