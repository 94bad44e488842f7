package ownertest

import (
	"encoding/json"
	"fmt"
	"html"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"hulltally/costing"
	"hulltally/models"
)

// cents are an amount of a report or a page.
func cents(t testing.TB, s string) int64 {
	t.Helper()
	if s == "" {
		return 0
	}
	v, err := costing.ParseDecimal(s)
	if err != nil {
		t.Fatal(err)
	}
	return v / 10_000
}

// report fetches a report's rows as JSON.
func (v *visitor) report(name, query string) []map[string]any {
	v.t.Helper()
	status, body := v.get("/api/reports/" + name + query)
	var answer struct{ Rows []map[string]any }
	if err := json.Unmarshal(body, &answer); err != nil || status != 200 || len(answer.Rows) == 0 {
		v.t.Fatalf("report %s%s gave %d, %v: %.300s", name, query, status, err, body)
	}
	return answer.Rows
}

var (
	rowsOf  = regexp.MustCompile(`(?s)<tr[^>]*>(.*?)</tr>`)
	cellsOf = regexp.MustCompile(`(?s)<t[hd][^>]*>(.*?)</t[hd]>`)
	valueOf = regexp.MustCompile(`<data value="([^"]*)">`)
	hrefOf  = regexp.MustCompile(`<a href="([^"]*)"><data value="([^"]*)">`)
)

// table reads a table of a page: the values of its cells, row by row, under the
// keys of its CSV, which has to say the same.
func (v *visitor) table(path, id string) []map[string]string {
	v.t.Helper()
	text := v.page(path)
	_, rest, found := strings.Cut(text, `<table id="t-`+id+`">`)
	if !found {
		v.t.Fatalf("%s has no table %s", path, id)
	}
	body, _, _ := strings.Cut(rest, "</table>")
	_, body, _ = strings.Cut(body, "<tbody>")
	body, _, _ = strings.Cut(body, "</tbody>")
	var rows [][]string
	for _, row := range rowsOf.FindAllStringSubmatch(body, -1) {
		var cells []string
		for _, cell := range cellsOf.FindAllStringSubmatch(row[1], -1) {
			value := ""
			if m := valueOf.FindStringSubmatch(cell[1]); m != nil {
				value = html.UnescapeString(m[1])
			}
			cells = append(cells, value)
		}
		rows = append(rows, cells)
	}
	mark := "?"
	if strings.Contains(path, "?") {
		mark = "&"
	}
	lines := readCSV(v.t, v.page(path+mark+"csv="+id))
	if len(lines) != len(rows)+1 {
		v.t.Fatalf("%s: table %s has %d rows, its CSV %d", path, id, len(rows), len(lines)-1)
	}
	list := make([]map[string]string, len(rows))
	for i, row := range rows {
		if fmt.Sprint(row) != fmt.Sprint(lines[i+1]) {
			v.t.Errorf("%s: row %d of %s is %q, in the CSV %q", path, i, id, row, lines[i+1])
		}
		list[i] = map[string]string{}
		for j, key := range lines[0] {
			list[i][key] = row[j]
		}
	}
	return list
}

func text(v any) string {
	switch v := v.(type) {
	case nil:
		return ""
	case float64:
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprint(v)
}

// moments are the two instants at which pages are held to reports: as a page's
// query and as a report's.
func (y *yard) moments(t testing.TB) map[string]string {
	t.Helper()
	var at costing.Instant
	err := y.store.Read(t.Context(), func(tx *models.Tx) error {
		snap, err := tx.LoadedSnapshot(t.Context())
		if err != nil {
			return err
		}
		day, err := costing.ParseDate(then)
		at = (day+1).At(0, snap.Yard.Zone) - 1
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return map[string]string{"": "", "?at=" + then: "?at=" + url.QueryEscape(at.String())}
}

// Every number on the board is the margin report's.
func TestBoardIsTheMarginReport(t *testing.T) {
	y := theYard(t)
	o := y.as(t, models.Owner)
	for page, query := range y.moments(t) {
		want := map[string]map[string]any{}
		for _, r := range o.report("margin", query) {
			want[text(r["hull"])] = r
		}
		rows := o.table("/board"+page, "hulls")
		if len(rows) != len(want) {
			t.Errorf("the board%s has %d hulls, the report %d", page, len(rows), len(want))
		}
		strips := strings.Split(o.page("/board"+page), `<li class="strip `)[1:]
		if len(strips) != len(want) {
			t.Errorf("the board%s has %d strips of %d hulls", page, len(strips), len(want))
		}
		for i, row := range rows {
			r := want[row["hull"]]
			for key, value := range row {
				if key != "signed_margin" && key != "moved" && value != text(r[key]) {
					t.Errorf("board%s, %s: %s is %s, the report says %v", page, row["hull"], key, value, r[key])
				}
			}
			// A strip shows progress, margin, share and the fall.
			got := valueOf.FindAllStringSubmatch(strips[i], -1)
			fall := cents(t, row["margin"]) - cents(t, row["signed_margin"])
			for j, value := range []string{text(r["progress"]), text(r["margin"]), text(r["margin_share"])} {
				if got[j][1] != value {
					t.Errorf("strip %d%s shows %s, the report says %s", i, page, got[j][1], value)
				}
			}
			if cents(t, got[3][1]) != fall {
				t.Errorf("strip %d%s says the margin moved by %s, it did by %d", i, page, got[3][1], fall)
			}
		}
		first := rows[0]
		if page == "" && (first["hull"] != "H203" || !strings.HasPrefix(first["margin"], "-")) {
			t.Errorf("%s comes first, not the hull that loses", first["hull"])
		}
	}
}

// Every number of a hull's stages is the cost report's: row by row on the
// stages' pages, and added up on the hull's.
func TestHullIsTheCostReport(t *testing.T) {
	y := theYard(t)
	o := y.as(t, models.Owner)
	for page, query := range y.moments(t) {
		for _, hull := range []string{"H203", "H205"} {
			and := "?hull=" + hull
			if query != "" {
				and += "&" + query[1:]
			}
			rows := o.report("cost", and)
			o.checkStages(hull, page, rows)
			if page == "" || hull == "H205" {
				o.checkStageRows(hull, page, rows)
			}
			o.checkMass(hull, page, and)
		}
	}
}

// sums adds report rows up by stage.
func sums(t testing.TB, rows []map[string]any, key string) map[string]int64 {
	list := map[string]int64{}
	for _, r := range rows {
		list[text(r["stage"])] += cents(t, text(r[key]))
	}
	return list
}

func (v *visitor) checkStages(hull, page string, rows []map[string]any) {
	v.t.Helper()
	table := v.table("/hull/"+hull+page, "stages")
	estimate, allowed, actual := sums(v.t, rows, "estimate"), sums(v.t, rows, "allowed"), sums(v.t, rows, "actual")
	if len(table) != len(actual) {
		v.t.Errorf("%s%s shows %d stages, the report has %d", hull, page, len(table), len(actual))
	}
	for _, r := range table {
		stage := r["stage"]
		for key, want := range map[string]int64{
			"estimate": estimate[stage], "allowed": allowed[stage], "actual": actual[stage], "variance": actual[stage] - allowed[stage],
			"at_completion": actual[stage] + cents(v.t, r["to_complete"]),
		} {
			if cents(v.t, r[key]) != want {
				v.t.Errorf("%s%s, %s: %s is %s, the report comes to %d", hull, page, stage, key, r[key], want)
			}
		}
	}
	v.checkCauses(hull, page, rows)
}

// themes are the causes of the report under the page's causes.
var themes = map[string][]string{
	"hours": {"labour_efficiency"}, "carried": {"overhead_efficiency"}, "pay": {"labour_rate"}, "price": {"material_price"},
	"quantity": {"material_usage", "material_waste", "material_take_off", "mix", "yield"}, "unplanned": {"unplanned"},
	"bought-in": {"bought_in"}, "rework": {"rework"},
}

// checkCauses: causes are the report's, but that work on changes nobody agreed
// is a cause of its own; together they are the same.
func (v *visitor) checkCauses(hull, page string, rows []map[string]any) {
	v.t.Helper()
	all, by := map[string]int64{}, map[string]int64{}
	for _, r := range rows {
		variances, _ := r["variances"].(map[string]any)
		for cause, m := range variances {
			all[text(r["stage"])] += cents(v.t, text(m))
			by[text(r["stage"])+" "+cause] += cents(v.t, text(m))
		}
	}
	plain := 0
	for _, r := range v.table("/hull/"+hull+page, "causes") {
		var sum int64
		for key, value := range r {
			if key == "stage" || key == "sum" {
				continue
			}
			sum += cents(v.t, value)
			if cents(v.t, r["not-agreed"]) != 0 {
				continue
			}
			var want int64
			for _, cause := range themes[key] {
				want += by[r["stage"]+" "+cause]
			}
			if cents(v.t, value) != want {
				v.t.Errorf("%s%s, %s: %s is %s, the report comes to %d", hull, page, r["stage"], key, value, want)
			}
			plain++
		}
		if sum != cents(v.t, r["sum"]) || sum != all[r["stage"]] {
			v.t.Errorf("%s%s, %s: the causes come to %d, the page says %s, the report %d", hull, page, r["stage"], sum, r["sum"], all[r["stage"]])
		}
	}
	if plain == 0 {
		v.t.Errorf("%s%s: no cause was compared", hull, page)
	}
}

func (v *visitor) checkStageRows(hull, page string, rows []map[string]any) {
	v.t.Helper()
	byStage := map[string][]map[string]any{}
	for _, r := range rows {
		byStage[text(r["stage"])] = append(byStage[text(r["stage"])], r)
	}
	looked := 0
	for stage, want := range byStage {
		if looked++; page != "" && looked > 2 {
			break // the past is computed anew for each page
		}
		table := v.table("/hull/"+hull+"/stage/"+url.PathEscape(stage)+page, "causes")
		if len(table) != len(want) {
			v.t.Errorf("%s, %s%s: %d rows, the report has %d", hull, stage, page, len(table), len(want))
		}
		for _, w := range want {
			name := text(w["element"]) + " " + text(w["purpose"])
			for _, r := range table {
				if r["element"]+" "+r["purpose"] != name {
					continue
				}
				variances, _ := w["variances"].(map[string]any)
				for key, value := range r {
					is, there := w[key]
					if !there {
						is = variances[key]
					}
					if value != text(is) {
						v.t.Errorf("%s, %s%s, %s: %s is %s, the report says %v", hull, stage, page, name, key, value, is)
					}
				}
				name = ""
			}
			if name != "" {
				v.t.Errorf("%s, %s%s has no row of %s", hull, stage, page, name)
			}
		}
	}
}

func (v *visitor) checkMass(hull, page, query string) {
	v.t.Helper()
	table := v.table("/hull/"+hull+page, "mass")
	for i, w := range v.report("mass", query) {
		for _, key := range []string{"stage", "kg", "budget_kg", "fibre_fraction"} {
			if i >= len(table) || table[i][key] != text(w[key]) {
				v.t.Errorf("%s%s: row %d of mass differs in %s from %v", hull, page, i, key, w)
			}
		}
	}
}
