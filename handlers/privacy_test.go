package handlers

import (
	"encoding/csv"
	"encoding/json"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"hulltally/handlers/workbook"
	"hulltally/models"
)

// moneyFields are, written apart from the tables' own marks, the fields that
// tell wages, prices, cost or margin.
var moneyFields = map[string][]string{
	"cost":   {"estimate", "allowed", "actual", "variances"},
	"margin": {"price", "changes", "estimate", "actual", "to_complete", "at_completion", "margin", "margin_share", "progress"},
	"hours":  {"base", "on_cost", "premium"},
	"stock":  {"value"},
	"mass":   {},
	"resin":  {"over_value", "cost"}, "fibre": {"over_value", "cost"}, "core": {"over_value", "cost"}, "mixes": {}, "factors": {}, "cutting": {},
	"laminates": {}, "unweighed": {}, "trace": {}, "order": {"value"},
	"ties": {"left", "right", "difference"},
	"month": {
		"cost_month", "cost_to_date", "to_complete", "progress", "revenue_month", "revenue_to_date", "profit_month", "profit_to_date",
		"billed", "contract_asset", "contract_liability", "loss_provision", "cost_of_sales", "work_in_progress",
	},
}

// reads says, apart from the table of reports, who sees what: W whole, P
// without money, - not at all; in the order L T E B O.
var seenBy = map[string]string{
	"cost": "--WWW", "margin": "--WWW", "month": "---WW", "ties": "---WW", "hours": "P--WW", "stock": "-PWWW", "mass": "PPWWW",
	"resin": "PPWWW", "fibre": "PPWWW", "core": "PPWWW", "mixes": "PPWWW", "factors": "--WWW", "cutting": "P--WW", "laminates": "PPWWW",
	"unweighed": "PPWWW", "trace": "PP-WW", "order": "PPWWW",
}

var inOrder = []models.Role{models.TeamLeader, models.Stores, models.Estimator, models.Bookkeeper, models.Owner}

// Field by field, in every form an answer has.
func TestMoneyReachesOnlyWhoMay(t *testing.T) {
	y := newYard(t)
	browsers := map[models.Role]*browser{}
	for _, role := range inOrder {
		browsers[role] = y.person("reader "+string(role), role)
	}
	for report, seen := range seenBy {
		for i, role := range inOrder {
			b := browsers[role]
			fields := map[string][]string{}
			for as, target := range map[string]string{
				"json": "/api/reports/" + report, "csv": "/api/reports/" + report + "?as=csv", "html": "/reports/" + report,
				"xlsx": "/api/reports/" + report + "?as=xlsx",
			} {
				w := b.get(target)
				if seen[i] == '-' {
					if w.Code != http.StatusForbidden || strings.Contains(w.Body.String(), "rows") {
						t.Errorf("%s as %s for %s gave %d %s", report, as, role, w.Code, w.Body)
					}
					continue
				}
				if w.Code != http.StatusOK {
					t.Fatalf("%s as %s for %s gave %d %s", report, as, role, w.Code, w.Body)
				}
				fields[as] = fieldsOf(t, as, w.Body.String())
				y.wait(time.Second)
			}
			for as, got := range fields {
				if len(got) == 0 && (as == "json" || as == "html") {
					continue // a report without rows shows its fields as a file only
				}
				for _, private := range moneyFields[report] {
					has := slices.ContainsFunc(got, func(f string) bool { return f == private || strings.HasPrefix(f, private+".") })
					if has != (seen[i] == 'W') && !(private == "variances" && as != "csv") {
						t.Errorf("%s as %s for %s: %s is there: %t", report, as, role, private, has)
					}
				}
				if len(got) < 4-len(moneyFields[report]) || len(got) == 0 {
					t.Errorf("%s as %s for %s has only %q", report, as, role, got)
				}
			}
		}
	}
	if len(seenBy) != len(ReportNames) || len(reportsFor) != len(ReportNames) {
		t.Error("a report lacks a line on who may see it")
	}
}

// htmlHead finds the labels of columns, which are spelled as their keys but for
// spaces, commas and units.
var htmlHead = regexp.MustCompile(`<th scope="col"[^>]*>([^<]*)</th>`)

func fieldsOf(t *testing.T, as, body string) []string {
	t.Helper()
	switch as {
	case "csv":
		rows, err := csv.NewReader(strings.NewReader(body)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		return rows[0]
	case "html", "xlsx":
		labels := map[string]string{}
		for report, columns := range columnLabels() {
			for label, key := range columns {
				labels[report+label] = key
			}
		}
		var keys []string
		report, head := headOf(t, as, body)
		for _, label := range head {
			key, ok := labels[report+label]
			if !ok {
				key = strings.ReplaceAll(strings.TrimSuffix(label, " s"), " ", "_")
			}
			keys = append(keys, key)
		}
		return keys
	}
	var answer struct{ Rows []map[string]any }
	if err := json.Unmarshal([]byte(body), &answer); err != nil {
		t.Fatalf("%v in %s", err, body)
	}
	if len(answer.Rows) == 0 {
		return nil
	}
	var keys []string
	for key := range answer.Rows[0] {
		keys = append(keys, key)
	}
	return keys
}

// headOf gives the report and the labels of a page or a workbook.
func headOf(t *testing.T, as, body string) (report string, labels []string) {
	t.Helper()
	if as == "xlsx" {
		sheets, err := workbook.Read([]byte(body), workbook.Usual)
		if err != nil || len(sheets) != 1 {
			t.Fatalf("%d sheets, %v", len(sheets), err)
		}
		return sheets[0].Name, sheets[0].Rows[2] // under a caption and an empty row
	}
	for _, m := range htmlHead.FindAllStringSubmatch(body, -1) {
		labels = append(labels, m[1])
	}
	return regexp.MustCompile(`action="/reports/(\w+)"`).FindStringSubmatch(body)[1], labels
}

// columnLabels are labels that aren't their keys.
func columnLabels() map[string]map[string]string {
	return map[string]map[string]string{
		"hours": {"on-cost": "on_cost"},
		"month": {
			"cost, month": "cost_month", "progress by cost": "progress", "revenue, month": "revenue_month", "profit, month": "profit_month",
			"cost of sales to date": "cost_of_sales", "revenue by": "revenue_method",
		},
	}
}

// A column with a number in it that isn't marked is either seconds, mass or a
// quantity: a new one has to be thought about.
func TestUnmarkedColumns(t *testing.T) {
	y := newYard(t)
	plain := []string{
		"seconds", "seconds.ordinary", "seconds.overtime", "seconds.double", "jobs", "indirect", "provisional", "kg", "budget_kg", "fibre_fraction",
		"received", "issued", "returned", "scrapped", "difference", "closing",
		"estimate_net", "expected_net", "net", "drawn", "waste", "factor_allowed", "factor_achieved", "factor_drawn", "over", "resin_kg", "hardener_kg",
		"parts_stated", "parts_achieved", "off", "hulls", "suggested", "median", "low", "high", "allowed", "lots", "plies", "offcut_share", "job_share", "done",
		"fibre_kg", "matrix_kg", "volume_fraction", "thickness_mm", "quantity", "need", "from_stock", "to_order",
	}
	for _, name := range ReportNames {
		table, err := Report(t.Context(), y.store, name, Ask{Now: y.now()})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range table.Columns {
			if c.Number && !c.Money && !slices.Contains(plain, c.Key) {
				t.Errorf("%s: is %s money or not?", name, c.Key)
			}
		}
		for _, role := range []models.Role{nobody, models.Station, "someone else"} {
			if seen := table.For(role); len(seen.Columns) != 0 || len(seen.Rows) != 0 {
				t.Errorf("%s for %q has %d columns", name, role, len(seen.Columns))
			}
		}
	}
}

// What a station is told never names money.
func TestStationHearsNoMoney(t *testing.T) {
	y := newYard(t)
	gate := y.station("GATE")
	for i, payload := range []string{y.badgeOf("101"), "J0000019", "L000001C", "12.5KGM", "junk"} {
		w := gate.json("/api/reads", readText(i, payload))
		if regexp.MustCompile(`18\.4|19\.15|EUR|€|price|rate`).MatchString(w.Body.String()) {
			t.Errorf("%s was answered with %s", payload, w.Body)
		}
	}
}

func TestReportQueries(t *testing.T) {
	y := newYard(t)
	b := y.person("Ada", models.Owner)
	for query, want := range map[string]int{
		"": 200, "?hull=H1": 200, "?hull=": 200, "?period=2026-03": 200, "?at=2026-03-09T07:00:00Z": 200, "?as=json": 200,
		"?hull=H9": 404, "?period=2026-13": 422, "?period=x": 422, "?at=yesterday": 422, "?as=xml": 422, "?colour=red": 422,
		"?hull=%00": 422, "?hull=%ff": 422,
	} {
		if w := b.get("/api/reports/cost" + query); w.Code != want {
			t.Errorf("%s gave %d %s", query, w.Code, w.Body)
		} else if want != 200 {
			problemOf(t, w)
		}
	}
	if w := b.get("/api/reports/wages"); w.Code != http.StatusNotFound {
		t.Errorf("an unknown report gave %d", w.Code)
	}
	b.header["Accept"] = "text/csv"
	w := b.get("/api/reports/cost")
	if !strings.HasPrefix(w.Header().Get("Content-Type"), "text/csv") || !strings.HasPrefix(w.Body.String(), "hull,stage,") {
		t.Errorf("Accept text/csv gave %s", w.Header())
	}
	if w.Header().Get("Cache-Control") == "" || !strings.Contains(w.Header().Get("Cache-Control"), "no-store") {
		t.Errorf("a private answer may be cached: %s", w.Header())
	}
	rows, err := y.store.Logbook(t.Context(), models.LogbookAsk{Words: "exported cost", Limit: 5})
	if err != nil || len(rows) != 1 || rows[0].Who != "Ada" {
		t.Errorf("the export is noted as %+v, %v", rows, err)
	}
}
