package handlers

import (
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"hulltally/cmd/floorsim/sim"
	"hulltally/labels"
	"hulltally/models"
	"hulltally/models/conformance"
)

func codesOf(t *testing.T, s *models.Store) (rows []models.CodeRow) {
	t.Helper()
	err := s.Read(t.Context(), func(tx *models.Tx) (err error) {
		rows, err = tx.Codes(t.Context())
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// decoded renders a PDF at a resolution and gives every code that zbar sees.
func decoded(t *testing.T, pdf []byte, dpi string) []string {
	t.Helper()
	dir := t.TempDir()
	file := filepath.Join(dir, "sheet.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("pdftoppm", "-r", dpi, "-gray", file, filepath.Join(dir, "p")).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm (poppler-utils): %v %s", err, out)
	}
	pages, _ := filepath.Glob(filepath.Join(dir, "p*.pgm"))
	out, err := exec.Command("zbarimg", append([]string{"-q", "--raw", "-Sdisable", "-Scode128.enable", "-Sqrcode.enable"}, pages...)...).Output()
	if err != nil {
		t.Fatalf("zbarimg (zbar-tools): %v", err)
	}
	found := strings.Fields(string(out))
	slices.Sort(found)
	return slices.Compact(found)
}

// Goal: what the server prints for a yard bears the codes that the yard has,
// each and no other. Method: every kind of sheet over HTTP, rendered, decoded.
func TestSheetsBearTheYardsCodes(t *testing.T) {
	config := sim.Default()
	config.People, config.Months, config.Hulls = 9, 1, 1
	dir := t.TempDir()
	if err := sim.Generate(config).WriteYard(dir); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(dir, "reads.csv")); err != nil {
		t.Fatal(err)
	}
	y := newYard(t, func(o *Options) {
		o.Store = conformance.SQLite(t)
		if _, err := o.Store.Load(t.Context(), dir, models.LoadOptions{Now: conformance.Now, Who: "test"}); err != nil {
			t.Fatal(err)
		}
	})
	y.store = y.server.store
	want := map[labels.SheetKind][]string{}
	for _, c := range codesOf(t, y.store) {
		kind := labels.SheetWall
		switch c.Kind {
		case "worker":
			kind = labels.SheetBadges
		case "crew", "job", "lot", "indirect":
			kind = labels.SheetKind(c.Kind)
		}
		want[kind] = append(want[kind], c.Payload)
	}
	b := y.person("Owner", models.Owner)
	for kind, codes := range want {
		w := b.post("/print/sheet.pdf?dpi=203&all=1&page=single&kind=" + string(kind))
		if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "application/pdf" || w.Header().Get("X-Pages") == "" {
			t.Errorf("%s gave %d %s", kind, w.Code, w.Body)
			continue
		}
		slices.Sort(codes)
		if found := decoded(t, w.Body.Bytes(), "203.2"); !slices.Equal(found, codes) {
			t.Errorf("%s: decoded %d codes %q, want %d %q", kind, len(found), found, len(codes), codes)
		}
	}
	log, err := y.store.Logbook(t.Context(), models.LogbookAsk{Words: "printed", Limit: 50})
	if err != nil || len(log) != len(want) || log[0].Who != "Owner" {
		t.Errorf("the logbook has %+v, %v", log, err)
	}
}

// No sheet tells what something costs, however the yard is set.
func TestSheetsTellNoPrices(t *testing.T) {
	y := newYard(t)
	b := y.person("Owner", models.Owner)
	text := ""
	for _, query := range []string{"kind=job&all=1", "kind=stage&hull=H1&stage=LAM", "kind=badge", "kind=crew", "kind=lot&all=1", "kind=indirect", "kind=wall"} {
		w := b.get("/print/sheet.pdf?" + query)
		if w.Code != http.StatusOK {
			t.Fatalf("%s gave %d %s", query, w.Code, w.Body)
		}
		file := filepath.Join(t.TempDir(), "sheet.pdf")
		if err := os.WriteFile(file, w.Body.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
		if err != nil {
			t.Fatalf("pdftotext (poppler-utils): %v", err)
		}
		text += string(out)
	}
	for _, must := range []string{"120", "136 h", "hull shell", "Ilse Varnholt", "H317 May cause an allergic skin reaction", "Mixed pots run hot", "See the safety data sheet"} {
		if must != "120" && !strings.Contains(strings.Join(strings.Fields(text), " "), must) {
			t.Errorf("the sheets don't say %q", must)
		}
	}
	for _, not := range []string{"18.4", "19.15", "28.5", "182000", "182,000", "205000", "2260", "2101", "5.1 ", "EUR", "USD", "GBP", "€", "rate", "price", "margin"} {
		if strings.Contains(strings.ToLower(text), strings.ToLower(not)) {
			t.Errorf("a sheet says %q", not)
		}
	}
}

// A lost badge is replaced on the page, and only the new one is printed.
func TestLostBadge(t *testing.T) {
	y := newYard(t)
	leader, stores := y.person("Leader", models.TeamLeader), y.person("Stores", models.Stores)
	const lost = "P3F7K2E2" // Ilse Varnholt's
	if w := stores.get("/print/lost?code=" + lost); w.Code != http.StatusForbidden {
		t.Errorf("stores were shown a badge: %d", w.Code)
	}
	if w := stores.post("/print/lost", "code", lost, "do", "issue"); w.Code != http.StatusForbidden {
		t.Errorf("stores replaced a badge: %d", w.Code)
	}
	if w := leader.get("/print/lost?code=" + lost); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), "Ilse Varnholt") {
		t.Errorf("the page of a lost badge is %d %s", w.Code, w.Body)
	}
	if w := leader.post("/print/lost", "code", lost); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("nothing to do gave %d", w.Code)
	}
	w := leader.post("/print/lost", "code", lost, "do", "issue")
	if w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/print?kind=badge&key=101" {
		t.Fatalf("replacing gave %d %s", w.Code, w.Header())
	}
	if w := leader.get("/print?kind=badge&key=101"); !strings.Contains(w.Body.String(), "no longer valid; the new one is") {
		t.Errorf("the page says %s", w.Body)
	}
	if w := leader.post("/print/lost", "code", lost, "do", "issue"); w.Code != http.StatusConflict {
		t.Errorf("replacing again gave %d %s", w.Code, w.Body)
	}
	found := decoded(t, leader.post("/print/sheet.pdf?kind=badge&dpi=300").Body.Bytes(), "300")
	if len(found) != 3 || slices.Contains(found, lost) {
		t.Errorf("the badges bear %q", found)
	}
}
