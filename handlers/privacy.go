package handlers

import (
	"slices"

	"hulltally/models"
)

// reportAccess is who may read a report.
type reportAccess struct {
	// whole see all of it, plain all but what is marked as money.
	whole, plain Roles
}

// reportsFor is the only place that says which report is for whom. The rate of
// a person's pay can be reckoned from the hours report, prices from stock.
var reportsFor = map[string]reportAccess{
	"cost":   {whole: Roles{models.Owner, models.Bookkeeper, models.Estimator}},
	"margin": {whole: Roles{models.Owner, models.Bookkeeper, models.Estimator}},
	"month":  {whole: Roles{models.Owner, models.Bookkeeper}},
	"ties":   {whole: Roles{models.Owner, models.Bookkeeper}},
	"hours":  {whole: Roles{models.Owner, models.Bookkeeper}, plain: Roles{models.TeamLeader}},
	"stock":  {whole: Roles{models.Owner, models.Bookkeeper, models.Estimator}, plain: Roles{models.Stores}},
	"mass":   {whole: Roles{models.Owner, models.Bookkeeper, models.Estimator}, plain: Roles{models.TeamLeader, models.Stores}},

	"resin":     {whole: counters, plain: onFloor},
	"fibre":     {whole: counters, plain: onFloor},
	"core":      {whole: counters, plain: onFloor},
	"mixes":     {whole: counters, plain: onFloor},
	"factors":   {whole: counters},
	"cutting":   {whole: payroll, plain: Roles{models.TeamLeader}}, // says who
	"laminates": {whole: counters, plain: onFloor},
	"unweighed": {whole: counters, plain: onFloor},
	"trace":     {whole: payroll, plain: onFloor}, // says who
	"order":     {whole: counters, plain: onFloor},
}

// mayRead reports whether a role may read a report at all.
func mayRead(role models.Role, report string) bool {
	a := reportsFor[report]
	return a.whole.allow(role) || a.plain.allow(role)
}

// reportsOf lists the reports a role may read.
func reportsOf(role models.Role) []string {
	var names []string
	for _, name := range ReportNames {
		if mayRead(role, name) {
			names = append(names, name)
		}
	}
	return names
}

// For is the table as a role may see it: for most without the columns that
// tell wages, prices or margins, which then are not in the answer at all.
func (t *Table) For(role models.Role) *Table {
	a := reportsFor[t.Name]
	if a.whole.allow(role) {
		return t
	}
	seen := *t
	seen.Columns, seen.Rows = nil, make([][]any, len(t.Rows))
	if !a.plain.allow(role) {
		seen.Rows = [][]any{}
		return &seen
	}
	private := func(c Column) bool { return c.Money }
	for _, c := range t.Columns {
		if !private(c) {
			seen.Columns = append(seen.Columns, c)
		}
	}
	for i, row := range t.Rows {
		for j, cell := range row {
			if !private(t.Columns[j]) {
				seen.Rows[i] = append(seen.Rows[i], cell)
			}
		}
	}
	return &seen
}

// HasMoney reports whether anything in the table is private money.
func (t *Table) HasMoney() bool {
	return slices.ContainsFunc(t.Columns, func(c Column) bool { return c.Money })
}
