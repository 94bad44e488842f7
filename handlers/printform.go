package handlers

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"hulltally/labels"
	"hulltally/models"
)

// printsFor says who prints, and revokes, which kinds of card; the first is
// what the page begins with.
var printsFor = map[models.Role][]labels.SheetKind{
	models.Owner:      {labels.SheetJobs, labels.SheetStage, labels.SheetBadges, labels.SheetCrews, labels.SheetLots, labels.SheetIndirects, labels.SheetWall},
	models.TeamLeader: {labels.SheetJobs, labels.SheetStage, labels.SheetBadges, labels.SheetCrews, labels.SheetWall},
	models.Stores:     {labels.SheetLots, labels.SheetIndirects, labels.SheetWall},
}

// printForm is what the page of prints is asked: which things, on what paper.
type printForm struct {
	Kind              labels.SheetKind
	Keys              []string
	Hull, Stage, Text string
	All               bool
	Size, Page        string // large or small; single, a4 or a3
	DPI               int
	Cells, At, Step   string // of a bought sheet of labels
	Start, Copies     int
	Outline           bool
	Words             string   // the language in large type
	Also              []string // the others
	Show              int      // the page to look at
}

// readPrint reads the form from a query.
func readPrint(query url.Values, kinds []labels.SheetKind) (*printForm, error) {
	f := &printForm{Kind: kinds[0], Size: "large", Page: "a4", DPI: labels.DPI300, Start: 1, Copies: 1, Words: labels.Languages[0], Show: 1}
	for name, values := range query {
		for _, value := range values {
			if err := readable(value); err != nil {
				return f, err
			}
			if value = strings.TrimSpace(value); value == "" {
				continue
			}
			if err := f.set(name, value); err != nil {
				return f, err
			}
		}
	}
	if !slices.Contains(kinds, f.Kind) {
		if !slices.Contains(labels.SheetKinds, f.Kind) {
			return f, models.Errorf(models.NotFound, "%.40q is not a kind of sheet: choose one of %s", string(f.Kind), kindList(kinds))
		}
		return f, errMayNot
	}
	return f, nil
}

func kindList(kinds []labels.SheetKind) string {
	words := make([]string, len(kinds))
	for i, k := range kinds {
		words[i] = string(k)
	}
	return strings.Join(words, ", ")
}

func (f *printForm) set(name, value string) (err error) {
	number := func(to *int) {
		if *to, err = strconv.Atoi(value); err != nil {
			err = models.Errorf(models.Invalid, "%s: %.40q is not a whole number", name, value)
		}
	}
	oneOf := func(to *string, choices ...string) {
		if *to = value; !slices.Contains(choices, value) {
			err = models.Errorf(models.Invalid, "%s: choose one of %s", name, strings.Join(choices, ", "))
		}
	}
	switch name {
	case "kind":
		f.Kind = labels.SheetKind(value)
	case "key":
		f.Keys = append(f.Keys, value)
	case "hull":
		f.Hull = value
	case "stage":
		f.Stage = value
	case "text":
		f.Text = value
	case "all":
		f.All = true
	case "size":
		oneOf(&f.Size, "large", "small")
	case "page":
		oneOf(&f.Page, "single", "a4", "a3")
	case "dpi":
		number(&f.DPI)
	case "cells":
		f.Cells = value
	case "at":
		f.At = value
	case "step":
		f.Step = value
	case "start":
		number(&f.Start)
	case "copies":
		number(&f.Copies)
	case "outline":
		f.Outline = true
	case "words":
		f.Words = value
	case "also":
		f.Also = append(f.Also, value)
	case "show":
		number(&f.Show)
	default:
		err = models.Errorf(models.Invalid, "%.40q is not asked of a sheet", name)
	}
	return err
}

// query writes the form as an address has it, for another page to look at.
func (f *printForm) query(show int) string {
	q := url.Values{"kind": {string(f.Kind)}, "page": {f.Page}, "dpi": {strconv.Itoa(f.DPI)}, "key": f.Keys, "also": f.Also}
	for name, value := range map[string]string{
		"hull": f.Hull, "stage": f.Stage, "text": f.Text, "cells": f.Cells, "at": f.At, "step": f.Step,
	} {
		if value != "" {
			q.Set(name, value)
		}
	}
	for name, value := range map[string]int{"start": f.Start, "copies": f.Copies, "show": show} {
		if value != 1 {
			q.Set(name, strconv.Itoa(value))
		}
	}
	for name, on := range map[string]bool{"all": f.All, "outline": f.Outline} {
		if on {
			q.Set(name, "1")
		}
	}
	if f.Kind == labels.SheetLots {
		q.Set("size", f.Size)
	}
	if f.Kind == labels.SheetWall {
		q.Set("words", f.Words)
	}
	return q.Encode()
}

// Chosen reports whether the form says what to print. Of jobs and lots there
// are thousands: all of them have to be asked for.
func (f *printForm) Chosen() bool {
	switch f.Kind {
	case labels.SheetStage:
		return f.Hull != "" && f.Stage != ""
	case labels.SheetJobs:
		return f.All || len(f.Keys) > 0 || f.Hull+f.Stage+f.Text != ""
	case labels.SheetLots:
		return f.All || len(f.Keys) > 0 || f.Text != ""
	}
	return true
}

// ask is the form as the store takes it. What is ticked is printed, whatever
// the list was narrowed to.
func (f *printForm) ask() models.PrintAsk {
	a := models.PrintAsk{Kind: f.Kind, Small: f.Size == "small"}
	switch {
	case f.Kind == labels.SheetWall:
	case f.Kind == labels.SheetStage:
		a.Hull, a.Stage = f.Hull, f.Stage
	case len(f.Keys) > 0:
		a.Keys = f.Keys
	default:
		a.Text = f.Text
		if f.Kind == labels.SheetJobs {
			a.Hull, a.Stage = f.Hull, f.Stage
		}
	}
	return a
}

// lay puts the cards on pages.
func (f *printForm) lay(s *labels.Sheet) error {
	s.Options = labels.SheetOptions{DPI: f.DPI, Start: f.Start, Copies: f.Copies, Outline: f.Outline}
	page := labels.A4
	if f.Page == "a3" {
		page = labels.A3
	}
	s.OnWall = labels.WallOptions{Page: page, Languages: append([]string{f.Words}, slices.DeleteFunc(slices.Clone(f.Also), func(l string) bool { return l == f.Words })...)}
	if f.Kind == labels.SheetWall || f.Page == "single" {
		return nil
	}
	grid, err := labels.ParseGrid(page, s.Card(), f.Cells, f.At, f.Step)
	if err != nil {
		return fmt.Errorf("the sheet of labels: %w", err)
	}
	s.Options.Grid = grid
	return nil
}
