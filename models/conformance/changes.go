package conformance

import (
	"strings"
	"testing"

	"hulltally/models"
)

// edit is one later change of a yard's file: a row put in the place of
// another, or added where old is empty.
type edit struct{ what, file, old, new string }

// apply makes the edit in a copy of the folder, and gives the file alone too.
func (e edit) apply(t testing.TB, f folder) (whole, alone folder) {
	t.Helper()
	text := f[e.file]
	switch {
	case e.old == "":
		text += e.new + "\n"
	case strings.Count(text, e.old) == 1:
		text = strings.Replace(text, e.old, e.new, 1)
	default:
		t.Fatalf("%s: %q is in %s %d times", e.what, e.old, e.file, strings.Count(text, e.old))
	}
	return f.with(e.file, text), folder{e.file: text}
}

// lineWith is the one line of a file that begins so.
func lineWith(t testing.TB, text, begin string) string {
	t.Helper()
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, begin) {
			return strings.TrimSuffix(line, "\n")
		}
	}
	t.Fatalf("no line begins with %q", begin)
	return ""
}

// cell puts another value in a line's column (from 0).
func cell(line string, column int, value string) string {
	cells := strings.Split(line, ",")
	cells[column] = value
	return strings.Join(cells, ",")
}

// testChanges: what is known later counts as if it had been known at the start.
func testChanges(t *testing.T, open func(t testing.TB) *models.Store) {
	y := smallYard(t)
	whole := y.yard
	lotOf := func(item string) string {
		for line := range strings.Lines(whole["lots.csv"]) {
			if cells := strings.Split(line, ","); cells[1] == item {
				return strings.TrimSuffix(line, "\n")
			}
		}
		t.Fatalf("no lot of %s", item)
		return ""
	}
	lot, pool := lotOf("GLS-BX8"), lotOf("CON-BAG")
	key := func(line string) string { key, _, _ := strings.Cut(line, ","); return key }
	off := lineWith(t, whole["corrections.csv"], "0")
	edits := []edit{
		{"a rate of old", "rates.csv", lineWith(t, whole["rates.csv"], "0101,2025"), "0101,2025-01-01,18.77"},
		{"a rate from midweek", "rates.csv", "", "0102,2026-05-13,20.01"},
		{"a waste factor", "items.csv", lineWith(t, whole["items.csv"], "RES-LAM"), cell(lineWith(t, whole["items.csv"], "RES-LAM"), 6, "0.095")},
		{"the shift ends later", "shifts.csv", "DAY,2,07:00,16:00", "DAY,2,07:00,16:45"},
		{"another break", "breaks.csv", "", "DAY,4,09:00,09:15"},
		{"a holiday", "holidays.csv", "", "2026-05-12,Regatta"},
		{"an invoice", "invoices.csv", "", key(lot) + ",2026-05-20T10:00:00Z,7001.13,EUR,,12.34"},
		{"an invoice of a pool", "invoices.csv", "", key(pool) + ",2026-05-20T10:00:00Z,2500,USD,0.9,"},
		{"a count", "counts.csv", "", key(lot) + ",2026-05-08T06:00:00+01:00,900"},
		{"a lot's price", "lots.csv", lotOf("RES-LAM"), cell(lotOf("RES-LAM"), 5, "3999.99")},
		{"a lot's quantity", "lots.csv", pool, cell(pool, 3, "1234.5")},
		{"an entry added", "corrections.csv", "", "0103,2026-05-11T10:15:00+01:00,add,CLEAN,Office,forgot the card"},
		{"the added entry voided", "corrections.csv", "", "0103,2026-05-11T10:15:00+01:00,void,CLEAN,Office,no he did not"},
		{"a correction of another day", "corrections.csv", "", cell(cell(off, 1, "2026-05-06T11:00:00+01:00"), 2, "add")},
		{"a policy", "policy.csv", "", "daily_ordinary,2026-05-11,8h"},
		{"a rush", "jobs.csv", rushed(t, whole["jobs.csv"]), strings.Replace(rushed(t, whole["jobs.csv"]), ",no,", ",yes,", 1)},
		{"an absorption rate", "overheads.csv", "", "SHELL,2026-05-08,21.5"},
		{"a purchase", "bought.csv", "", "D-LATE,2026-05-09,H201,SYS,Pump,100.01,EUR,"},
	}
	s := open(t)
	load(t, s, whole.write(t))
	scan(t, s, y.reads, 1000)
	before := derived(t, s)
	for _, e := range edits {
		var alone folder
		whole, alone = e.apply(t, whole)
		load(t, s, alone.write(t))
		checked(t, e.what, s)
	}
	after := derived(t, s)
	for _, table := range []string{"pieces", "postings", "totals", "ledger_totals", "stock_books"} {
		if strings.Join(after[table], "\n") == strings.Join(before[table], "\n") {
			t.Errorf("the changes left %s as they were", table)
		}
	}
	fresh := open(t)
	load(t, fresh, whole.write(t))
	scan(t, fresh, y.reads, 1000)
	sameDerived(t, "all changes later", after, derived(t, fresh))
}

// rushed is a job of the first laminating that is no rush yet.
func rushed(t testing.TB, jobs string) string {
	for line := range strings.Lines(jobs) {
		if strings.Contains(line, ",SHELL,") && strings.Contains(line, ",no,") {
			return strings.TrimSuffix(line, "\n")
		}
	}
	t.Fatal("no such job")
	return ""
}

// testKnownLater: reads of what the yard did not know yet count once it does.
func testKnownLater(t *testing.T, open func(t testing.TB) *models.Store) {
	y := smallYard(t)
	without := func(file, begin string) string {
		var kept strings.Builder
		for line := range strings.Lines(y.yard[file]) {
			if !strings.HasPrefix(line, begin) {
				kept.WriteString(line)
			}
		}
		return kept.String()
	}
	all := open(t)
	load(t, all, y.yard.write(t))
	scan(t, all, y.reads, 1000)
	want := derived(t, all)
	station := y.reads[0].Station
	for _, late := range []struct {
		what  string
		short folder
	}{
		{"a station", y.yard.with("stations.csv", without("stations.csv", station+","))},
		{"a worker", y.yard.with("workers.csv", without("workers.csv", "0103,"), "rates.csv", without("rates.csv", "0103,"),
			"codes.csv", without("codes.csv", "worker,0103,"), "corrections.csv", without("corrections.csv", "0103,"))},
		{"a lot", y.yard.with("lots.csv", without("lots.csv", "L00003,"), "counts.csv", without("counts.csv", "L00003,"),
			"invoices.csv", without("invoices.csv", "L00003,"), "codes.csv", without("codes.csv", "lot,L00003,"))},
		{"an indirect code", y.yard.with("indirects.csv", without("indirects.csv", "CLEAN,"), "codes.csv", without("codes.csv", "indirect,CLEAN,"))},
	} {
		s := open(t)
		load(t, s, late.short.write(t))
		scan(t, s, y.reads, 1000)
		checked(t, late.what+" not known yet", s)
		load(t, s, y.yard.write(t))
		sameDerived(t, late.what+" known later", derived(t, s), want)
		checked(t, late.what+" known later", s)
	}
}
