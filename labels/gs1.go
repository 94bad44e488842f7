package labels

import (
	"errors"
	"fmt"
	"strings"

	"hulltally/costing"
)

// groupSeparator is what a scanner sends for FNC1 within a symbol.
const groupSeparator = "\x1d"

// GS1Options say how to read a supplier's label.
type GS1Options struct {
	Today     costing.Date // decides the century of dates
	Separator string       // what the scanner sends for FNC1, besides the usual 0x1D
}

// Element is one element string: an application identifier and its data.
type Element struct {
	AI       string // such as "10" or "3102"
	Known    bool   // not known: shown as it came
	Title    string
	Position int    // of the identifier in what was scanned, in characters from 1
	Value    string // the data as scanned
	// Quantity is the value of measures and counts, Unit the unit of measures.
	Quantity costing.Quantity
	Unit     costing.Unit
	Date     costing.Date // of dates
	IsDate   bool
}

// GS1Error says which identifier at which position is wrong, and how.
type GS1Error struct {
	AI       string // empty: no identifier could be read
	Position int    // in characters from 1
	Reason   string
}

func (e *GS1Error) Error() string {
	if e.AI == "" {
		return fmt.Sprintf("position %d: %s", e.Position, e.Reason)
	}
	return fmt.Sprintf("identifier (%s) at position %d: %s", e.AI, e.Position, e.Reason)
}

// GS1 is a supplier's label taken apart.
type GS1 []Element

// Get finds an element; for measures give the first three digits ("310").
func (g GS1) Get(ai string) (Element, bool) {
	for _, e := range g {
		if e.AI == ai || len(e.AI) == 4 && len(ai) == 3 && e.AI[:3] == ai {
			return e, true
		}
	}
	return Element{}, false
}

// String is the bracketed form, as printed under GS1 symbols.
func (g GS1) String() string {
	var b strings.Builder
	for _, e := range g {
		fmt.Fprintf(&b, "(%s)%s", e.AI, e.Value)
	}
	return b.String()
}

// LooksLikeGS1 reports whether a read bears the marks of a GS1 label: its
// symbology identifier, a separator, or brackets.
func LooksLikeGS1(raw string) bool {
	for _, id := range []string{"]C1", "]e0", "]d2", "]Q3", "]J1"} {
		if strings.HasPrefix(raw, id) {
			return true
		}
	}
	return strings.Contains(raw, groupSeparator) || bracketed(strings.TrimSpace(raw), 0) > 0
}

// ParseGS1 takes a GS1-128 or GS1 DataMatrix read, or the bracketed text under
// one, apart. A single wrong element refuses the label.
func ParseGS1(raw string, opt GS1Options) (GS1, error) {
	p := gs1Parser{text: raw, opt: opt}
	p.start()
	if p.err == nil && p.at >= len(p.text) {
		return nil, errors.New("the label is empty")
	}
	brackets := p.err == nil && p.text[p.at] == '('
	for p.err == nil && p.at < len(p.text) {
		if brackets {
			p.bracketElement()
		} else {
			p.element()
		}
	}
	if p.err != nil {
		return nil, p.err
	}
	return p.out, nil
}

type gs1Parser struct {
	text string
	opt  GS1Options
	at   int // byte offset
	out  GS1
	err  error
}

// start strips the suffix, the symbology identifier and a leading FNC1.
func (p *gs1Parser) start() {
	p.text = strings.TrimRight(p.text, "\r\n\t ")
	p.at = len(p.text) - len(strings.TrimLeft(p.text, " "))
	if rest := p.text[p.at:]; len(rest) >= 3 && rest[0] == ']' {
		if !LooksLikeGS1(rest[:3]) {
			p.fail("", p.at, fmt.Sprintf("the scanner's identifier %s says that this is no GS1 label", clip(rest[:3])))
			return
		}
		p.at += 3
	}
	p.skipSeparators()
}

func (p *gs1Parser) fail(ai string, at int, reason string) {
	if p.err == nil {
		p.err = &GS1Error{ai, len([]rune(p.text[:at])) + 1, reason}
	}
}

// separator is the length of a separator at an offset, or 0.
func (p *gs1Parser) separator(at int) int {
	if strings.HasPrefix(p.text[at:], groupSeparator) {
		return len(groupSeparator)
	}
	if p.opt.Separator != "" && strings.HasPrefix(p.text[at:], p.opt.Separator) {
		return len(p.opt.Separator)
	}
	return 0
}

func (p *gs1Parser) skipSeparators() {
	for p.at < len(p.text) && p.separator(p.at) > 0 {
		p.at += p.separator(p.at)
	}
}

// element reads an identifier and its data from a scan.
func (p *gs1Parser) element() {
	from := p.at
	ai := p.digits(2)
	n := 0
	if len(ai) == 2 {
		n = identifierDigits(ai)
	}
	if n == 0 {
		p.fail("", from, fmt.Sprintf("%q begins no application identifier", clip(p.text[from:])))
		return
	}
	if ai = p.digits(n); len(ai) < n {
		p.fail(ai, from, fmt.Sprintf("an identifier that begins so has %d digits", n))
		return
	}
	p.at += n
	data := p.at
	fixed := predefined(ai[:2])
	for p.at < len(p.text) && p.separator(p.at) == 0 && (fixed == 0 || p.at-data < fixed) {
		p.at++
	}
	p.keep(ai, from, data, p.text[data:p.at])
	p.skipSeparators() // one after a fixed length is superfluous, and tolerated
}

// digits gives up to n digits from here on.
func (p *gs1Parser) digits(n int) string {
	end := p.at
	for end < len(p.text) && end < p.at+n && isDigit(p.text[end]) {
		end++
	}
	return p.text[p.at:end]
}

// bracketed is the length of "(", two to four digits and ")" at an offset, or 0.
func bracketed(s string, at int) int {
	if at >= len(s) || s[at] != '(' {
		return 0
	}
	end := at + 1
	for end < len(s) && isDigit(s[end]) {
		end++
	}
	if n := end - at - 1; n < 2 || n > 4 || end == len(s) || s[end] != ')' {
		return 0
	}
	return end + 1 - at
}

// bracketElement reads an identifier in brackets and its data.
func (p *gs1Parser) bracketElement() {
	from := p.at
	n := bracketed(p.text, from)
	if n == 0 {
		p.fail("", from, "an identifier of two to four digits in brackets is expected")
		return
	}
	ai := p.text[from+1 : from+n-1]
	if identifierDigits(ai[:2]) != len(ai) {
		p.fail(ai, from, "there is no such application identifier")
		return
	}
	data := from + n
	p.at = data
	for p.at < len(p.text) && bracketed(p.text, p.at) == 0 {
		p.at++
	}
	p.keep(ai, from, data, strings.TrimRight(p.text[data:p.at], " "+groupSeparator))
}
