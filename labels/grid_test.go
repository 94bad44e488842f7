package labels

import (
	"strings"
	"testing"
)

func TestParseGrid(t *testing.T) {
	for _, c := range []struct {
		cells, at, step string
		card            Size
		want            Grid
	}{
		{"", "", "", SizeJob, Grid{Width: 210, Height: 297, Columns: 2, Rows: 2, Left: 0, Top: 0.5, StepX: 105, StepY: 148}},
		{"2x5", "", "", SizeLot, Grid{Width: 210, Height: 297, Columns: 2, Rows: 5, Left: 5, Top: 23.5, StepX: 100, StepY: 50}},
		{" 2 × 5 ", "0, 10.5", "102.5,54", SizeLot, Grid{Width: 210, Height: 297, Columns: 2, Rows: 5, Left: 0, Top: 10.5, StepX: 102.5, StepY: 54}},
		{"1X1", "", "", SizeLotSmall, Grid{Width: 210, Height: 297, Columns: 1, Rows: 1, Left: 80, Top: 136, StepX: 50, StepY: 25}},
	} {
		got, err := ParseGrid(A4, c.card, c.cells, c.at, c.step)
		if err != nil || *got != c.want {
			t.Errorf("ParseGrid(%q, %q, %q) = %+v, %v, want %+v", c.cells, c.at, c.step, got, err, c.want)
		}
	}
	for _, c := range []struct{ cells, at, step, want string }{
		{"3x3", "", "", "bigger than the page: it needs 315 × 444 mm"},
		{"2x2", "1,0", "", "bigger than the page: it needs 211"},
		{"2x2", "", "80,80", "smaller than the cards"},
		{"0x2", "", "", "cannot hold"},
		{"1e9x1e9", "", "", "columns by rows"},
		{"500x500", "", "", "cannot hold"},
		{"2.5x2", "", "", "columns by rows"},
		{"2", "", "", "columns by rows"},
		{"NaNx1", "", "", "columns by rows"},
		{"axb", "", "", "columns by rows"},
		{"", "-1,2", "", "first cell begins"},
		{"", "", "1", "cells stand apart"},
		{"", "Inf,1", "", "first cell begins"},
	} {
		if _, err := ParseGrid(A4, SizeJob, c.cells, c.at, c.step); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("ParseGrid(%q, %q, %q) gave %v, want %q", c.cells, c.at, c.step, err, c.want)
		}
	}
}

// A number and its sign stay on one line; white space else is folded.
func TestNoBreak(t *testing.T) {
	face := newTypesetter(nil)
	got, err := face.fit(box{w: 22, h: 20}, clean("Progress \t 25\u00a0%"), style{most: 14, least: 6})
	if err != nil || len(got.lines) != 2 || got.lines[1] != "25\u00a0%" {
		t.Errorf("set as %q, %v", got.lines, err)
	}
	for in, want := range map[string]string{"\u00a0 \u00a0": "", "\u00a0a\u00a0": "a", " a \n b ": "a b"} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestLanguageNames(t *testing.T) {
	if len(languageNames) != len(Languages) || LanguageName("pl") != "Polski" || LanguageName("xx") != "xx" {
		t.Errorf("%d names of %d languages", len(languageNames), len(Languages))
	}
}
