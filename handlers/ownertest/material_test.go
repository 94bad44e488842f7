package ownertest

import (
	"bytes"
	"html"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/models"
)

// same holds the rows of a page's table to those of a report, key by key.
func (v *visitor) same(path, table, report, query string, keys ...string) {
	v.t.Helper()
	rows, want := v.table(path, table), v.report(report, query)
	require.Len(v.t, rows, len(want), "%s %s", path, table)
	for i, w := range want {
		for _, key := range keys {
			assert.Equal(v.t, text(w[key]), rows[i][key], "%s, row %d of %s: %s", path, i, table, key)
		}
	}
}

// Every figure of a hull's material and mass is the report's, and the money of
// a row is that of the postings it opens.
func TestMaterialIsTheReports(t *testing.T) {
	y := theYard(t)
	o := y.as(t, models.Owner)
	for _, hull := range []string{"H203", "H206"} {
		path, query := "/hull/"+hull+"/material", "?hull="+hull
		for _, group := range []string{"resin", "fibre", "core"} {
			o.same(path, group, group, query, "item", "stage", "estimate_net", "expected_net", "net", "drawn", "waste", "known", "factor_allowed",
				"factor_achieved", "factor_drawn", "over", "over_value", "cost")
		}
		o.same(path, "mixes", "mixes", query, "job", "hardener", "resin_kg", "hardener_kg", "parts_stated", "parts_achieved", "off", "question")
		o.same(path, "cutting", "cutting", query, "job", "item", "worker", "lots", "plies", "issued", "returned", "waste", "offcut_share", "job_share")
		o.same("/hull/"+hull+"/mass", "fractions", "laminates", query, "job", "done", "fibre_kg", "matrix_kg", "fibre_fraction", "volume_fraction", "low",
			"high", "plies", "thickness_mm", "ask")
		o.same("/hull/"+hull+"/mass", "mass", "mass", query, "stage", "kg", "budget_kg", "fibre_fraction")
		o.same("/hull/"+hull+"/mass", "unweighed", "unweighed", query, "item", "stage", "quantity")
	}
	opened := 0
	for i, l := range o.links("/hull/H203/material", "/postings") {
		if i%9 != 0 || !strings.Contains(l.value, ".") || !strings.Contains(l.href, "purpose=") {
			continue
		}
		opened++
		assert.Equal(t, l.value, totalOf.FindStringSubmatch(o.page(l.href))[1], l.href)
	}
	assert.Greater(t, opened, 2)
	assert.Contains(t, o.page("/hull/H203/mass"), "never a structural acceptance")
}

// What cutters drew of a job is what the books say the job drew.
func TestCuttersDrewWhatTheJobDrew(t *testing.T) {
	o := theYard(t).as(t, models.Owner)
	cut, drawn := map[string]costing.Quantity{}, map[string]costing.Quantity{}
	quantity := func(v any) costing.Quantity {
		q, err := costing.ParseDecimal(text(v))
		require.NoError(t, err)
		return costing.Quantity(q)
	}
	for _, r := range o.report("cutting", "") {
		cut[text(r["item"])] += quantity(r["issued"]) - quantity(r["returned"])
	}
	for _, group := range []string{"fibre", "core"} {
		for _, r := range o.report(group, "") {
			drawn[text(r["item"])] += quantity(r["drawn"])
		}
	}
	assert.Equal(t, drawn, cut)
}

// A recall in one step: the page of a lot says where all of it went, as CSV and
// as PDF; and what it says of a hull, the hull's own page says too.
func TestRecall(t *testing.T) {
	y := theYard(t)
	v := y.as(t, models.Stores)
	rows := v.table("/trace?lot=L00001", "trace")
	var all int64
	hulls := map[string]bool{}
	for _, r := range rows {
		all += cents(t, r["quantity"]) // to the hundredth, which is how resin is weighed
		if r["hull"] != "" {
			hulls[r["hull"]] = true
		}
	}
	require.Greater(t, len(hulls), 1)
	batch := rows[0]["supplier_batch"]
	assert.Equal(t, rows, v.table("/trace?batch="+url.QueryEscape(batch), "trace"))
	for _, r := range v.report("stock", "") {
		if text(r["lot"]) == "L00001" {
			assert.Equal(t, cents(t, text(r["received"])), all)
		}
	}
	for hull := range hulls {
		var here, there []map[string]string
		for _, r := range rows {
			if r["hull"] == hull && r["place"] == "hull" {
				here = append(here, r)
			}
		}
		for _, r := range v.table("/hull/"+hull+"/batches", "trace") {
			if r["lot"] == "L00001" && r["place"] == "hull" {
				there = append(there, r)
			}
		}
		assert.Equal(t, here, there, hull)
	}
	for _, path := range []string{"/trace?lot=L00001&pdf=1", "/hull/H203/batches?pdf=1"} {
		status, body := v.get(path)
		assert.Equal(t, http.StatusOK, status)
		assert.True(t, bytes.HasPrefix(body, []byte("%PDF-")), path)
	}
}

// The need of a week is the sum of the jobs that it opens.
func TestOrderIsWhatItOpens(t *testing.T) {
	o := theYard(t).as(t, models.Owner)
	weeks := o.table("/order", "weeks")
	require.NotEmpty(t, weeks)
	o.same("/order", "weeks", "order", "", "item", "week", "need", "from_stock", "to_order", "value")
	for i, w := range weeks {
		if i%7 != 0 {
			continue
		}
		var jobs costing.Quantity
		for _, r := range o.table("/order?item="+url.QueryEscape(w["item"]), "jobs") {
			if r["week"] == w["week"] {
				q, err := costing.ParseDecimal(r["need"])
				require.NoError(t, err)
				jobs += costing.Quantity(q)
			}
		}
		assert.Equal(t, w["need"], jobs.String(), "%s in %s", w["item"], w["week"])
	}
}

// Leaders and the stores see quantities, never cost, nor the way to it.
func TestMaterialWithoutMoney(t *testing.T) {
	y := theYard(t)
	for _, role := range []models.Role{models.TeamLeader, models.Stores} {
		v := y.as(t, role)
		for _, path := range []string{"/material", "/hull/H203/material", "/hull/H203/mass", "/hull/H203/batches", "/order", "/trace?lot=L00001"} {
			page := html.UnescapeString(v.page(path))
			for _, no := range []string{"/postings", "/board", `href="/lot/`, "Cost", "That in EUR", "At standard price"} {
				assert.NotContains(t, page, no, "%s for %s", path, role)
			}
		}
		head := strings.SplitN(v.page("/hull/H203/material?csv=resin"), "\n", 2)[0]
		assert.NotContains(t, head, "cost")
		assert.NotContains(t, head, "value")
	}
	stores, estimator := y.as(t, models.Stores), y.as(t, models.Estimator)
	assert.NotContains(t, stores.page("/hull/H203/material"), `id="cutting"`) // says who
	for _, path := range []string{"/trace?lot=L00001", "/hull/H203/batches"} {
		status, _ := estimator.get(path)
		assert.Equal(t, http.StatusForbidden, status, path)
	}
	assert.NotContains(t, estimator.page("/hull/H203/material"), `id="cutting"`)
}

// Wrong questions are answered.
func TestMaterialWrongQuestions(t *testing.T) {
	o := theYard(t).as(t, models.Owner)
	for path, want := range map[string]int{
		"/trace": 200, "/trace?lot=none": 404, "/trace?batch=none": 404, "/trace?lot=a&batch=b": 422, "/trace?lot=%00": 422, "/hull/none/material": 404,
		"/hull/none/mass": 404, "/hull/none/batches": 404, "/order?item=none": 404, "/order?item=CON-BAG": 200, "/order?at=2026-08-31": 200,
		"/material?at=2026-08-31": 200, "/hull/H203/mass?at=2020-01-01": 200, "/api/reports/trace?lot=none": 404, "/api/reports/trace?lot=a&batch=b": 422,
	} {
		status, body := o.get(path)
		assert.Equal(t, want, status, "%s: %.200s", path, body)
	}
}

// BenchmarkRecall is the drill: from a lot to every hull, part, worker and day,
// and from a hull to every batch, beside reading the kept totals. A second is
// the bound of the drill; on any machine it takes a small part of it.
func BenchmarkRecall(b *testing.B) {
	y := theYard(b)
	run := func(name string, do func(tx *models.Tx, f *models.Figures) error) {
		b.Run(name, func(b *testing.B) {
			begun := time.Now()
			for b.Loop() {
				require.NoError(b, y.store.Read(b.Context(), func(tx *models.Tx) error {
					f, err := tx.Figures(b.Context(), costing.InstantOf(now))
					if err != nil {
						return err
					}
					return do(tx, f)
				}))
			}
			if each := time.Since(begun) / time.Duration(b.N); each > time.Second {
				b.Errorf("it took %s", each)
			}
		})
	}
	run("totals", func(tx *models.Tx, _ *models.Figures) error { _, err := tx.Totals(b.Context()); return err })
	run("lot", func(tx *models.Tx, f *models.Figures) error {
		_, err := tx.TraceLots(b.Context(), f, "", "L00010")
		return err
	})
	run("hull", func(tx *models.Tx, f *models.Figures) error {
		_, err := tx.TraceHull(b.Context(), f, "H203")
		return err
	})
}
