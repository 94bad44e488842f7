package models

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/labels"
)

// textRules are the rules that csv tags name with is=; each gives the cell's
// one canonical form.
var textRules = map[string]func(cell string) (string, error){
	"currency":  currencyRule,
	"unit":      unitRule,
	"stockunit": stockUnitRule,
	"shares":    sharesRule,
	"after":     afterRule,
	"hull":      hullRule,
	"target":    targetRule,
	"uuid":      uuidRule,
	"payload":   payloadRule,
	"period":    periodRule,
	"year":      yearRule,
	"gtin":      gtinRule,
	"language":  languageRule,
}

// languageRule: a language by its code of ISO 639-1, such as pl. A station that
// doesn't have it speaks its own.
func languageRule(cell string) (string, error) {
	code := strings.ToLower(cell)
	if len(code) != 2 || code[0] < 'a' || code[0] > 'z' || code[1] < 'a' || code[1] > 'z' {
		return "", fmt.Errorf("%q is not the two letters of a language (ISO 639-1), such as pl", cell)
	}
	return code, nil
}

func currencyRule(cell string) (string, error) {
	c, err := costing.ParseCurrency(cell)
	return c.Code, err
}

func unitRule(cell string) (string, error) {
	u, err := costing.ParseUnit(cell)
	return string(u), err
}

func stockUnitRule(cell string) (string, error) {
	if !slices.Contains(costing.StockUnits, costing.Unit(cell)) {
		return "", fmt.Errorf("%q is no unit to keep stock in: take one of KGM, MTK, MTR, LTR, C62", cell)
	}
	return cell, nil
}

// hullRule keeps hull keys apart from the marks of a list of shares.
func hullRule(cell string) (string, error) {
	if strings.ContainsAny(cell, ":;") {
		return "", fmt.Errorf("%q holds : or ; which lists of shares need: name the hull without", cell)
	}
	return cell, nil
}

// offTarget is the correction target that clocks off.
const offTarget = "off"

func targetRule(cell string) (string, error) {
	if cell == offTarget {
		return "", errors.New("off means clocking off: take another key")
	}
	return cell, nil
}

func sharesRule(cell string) (string, error) {
	shares, err := parseShares(cell)
	if err != nil {
		return "", err
	}
	parts := make([]string, len(shares))
	for i, s := range shares {
		parts[i] = s.Hull + ":" + strconv.FormatInt(s.Weight, 10)
	}
	return strings.Join(parts, ";"), nil
}

// afterRule is a list of stages, such as BOND;BULK.
func afterRule(cell string) (string, error) {
	seen := map[string]bool{}
	for part := range strings.SplitSeq(cell, ";") {
		if strings.TrimSpace(part) != part || part == "" || seen[part] {
			return "", fmt.Errorf("%q is not a list of different stages, such as BOND;BULK", cell)
		}
		seen[part] = true
	}
	return cell, nil
}

const maxWeight = 1_000_000

// parseShares reads H1:1;H2:1.
func parseShares(cell string) ([]costing.ShareOf, error) {
	var shares []costing.ShareOf
	for part := range strings.SplitSeq(cell, ";") {
		hull, weight, ok := strings.Cut(part, ":")
		w, err := strconv.ParseInt(weight, 10, 64)
		if !ok || hull == "" || err != nil || w < 1 || w > maxWeight {
			return nil, fmt.Errorf("%q is not a hull and a whole weight above 0, such as H1:1;H2:1", part)
		}
		if slices.ContainsFunc(shares, func(s costing.ShareOf) bool { return s.Hull == hull }) {
			return nil, fmt.Errorf("names hull %s twice: add its weights up", hull)
		}
		shares = append(shares, costing.ShareOf{Hull: hull, Weight: w})
	}
	return shares, nil
}

func uuidRule(cell string) (string, error) {
	id := strings.ToLower(cell)
	for i, c := range []byte(id) {
		hyphen := i == 8 || i == 13 || i == 18 || i == 23
		if hyphen != (c == '-') || !hyphen && !strings.ContainsRune("0123456789abcdef", rune(c)) {
			return "", notUUID(cell)
		}
	}
	if len(id) != 36 {
		return "", notUUID(cell)
	}
	return id, nil
}

func notUUID(cell string) error {
	return fmt.Errorf("%q is not a UUID such as 6f1c2a34-0b5d-4e6f-8a90-1b2c3d4e5f60", cell)
}

func payloadRule(cell string) (string, error) {
	if err := labels.Check(cell); err != nil {
		return "", fmt.Errorf("is no code of ours: %w", err)
	}
	return cell, nil
}

func periodRule(cell string) (string, error) {
	p, err := costing.ParsePeriod(cell)
	return p.String(), err
}

// gtinRule takes the numbers of 8, 12, 13 and 14 digits that GS1 gives, and
// writes all as the 14 digits that labels bear.
func gtinRule(cell string) (string, error) {
	number, err := labels.ParseGTIN(cell)
	if err != nil {
		return "", err
	}
	return number, nil
}

func yearRule(cell string) (string, error) {
	n, err := strconv.Atoi(cell)
	if err != nil || n < firstYear || n > lastYear {
		return "", fmt.Errorf("%q is not a year such as 2026", cell)
	}
	return strconv.Itoa(n), nil
}

// ParseShares reads the hulls that share a job, such as H1:1;H2:1.
func ParseShares(cell string) ([]costing.ShareOf, error) { return parseShares(cell) }
