package handlers

import (
	"encoding/xml"
	"errors"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"hulltally/models"
)

// said is the page between its head and its foot.
func said(body string) string {
	_, body, _ = strings.Cut(body, "<main")
	body, _, _ = strings.Cut(body, "</main>")
	return body
}

func TestPrintPage(t *testing.T) {
	y := newYard(t)
	b := y.person("Owner", models.Owner)
	for query, want := range map[string][]string{
		"":                           {"Say what to print", "hull shell", "Show all", "Any"},
		"all=1":                      {"5 cards on 2 pages", `src="/print/page.svg?`, "Page 1 of 2", "Page after"},
		"all=1&show=2":               {"Page 2 of 2", "Page before"},
		"kind=job&key=J1":            {"1 card on 1 page", `value="J1" checked`, "What is ticked is printed"},
		"kind=job&key=J1&copies=5":   {"5 cards on 2 pages"},
		"kind=badge&page=single":     {"3 cards on 3 pages", "Lost?"},
		"kind=stage":                 {"Choose a hull and a stage"},
		"kind=stage&hull=H1":         {"Choose a hull and a stage"},
		"kind=lot&text=resin":        {"1 card on 1 page"},
		"kind=lot&key=L2&size=small": {"1 card on 1 page"},
		"kind=wall&words=pl&also=de": {"22 cards on 3 pages", "Polski", "Replace"},
		"kind=indirect&text=zzz":     {"nothing is selected", "There is nothing of that kind"},
		"kind=crew&cells=2x2&at=0,0": {"1 to 4"},
	} {
		w := b.get("/print?" + query)
		for _, s := range want {
			if !strings.Contains(w.Body.String(), s) {
				t.Errorf("/print?%s lacks %q: %d %s", query, s, w.Code, said(w.Body.String()))
			}
		}
		if strings.Contains(w.Body.String(), "style=") || strings.Contains(w.Body.String(), "<script") {
			t.Errorf("/print?%s has style or script inside", query)
		}
	}
}

// What can't be printed is said in the page, with the form still there, and a
// PDF of it is refused in the same words.
func TestWhatCannotBePrinted(t *testing.T) {
	y := newYard(t)
	b := y.person("Owner", models.Owner)
	err := y.store.InTx(t.Context(), func(tx *models.Tx) error {
		return errors.Join(
			tx.DB.Exec("UPDATE workers SET name = '𒀀𒁀' WHERE number = '102'").Error,
			tx.DB.Exec("UPDATE workers SET name = '' WHERE number = '103'").Error,
			tx.DB.Exec("UPDATE jobs SET part = ? WHERE job = 'J3'", strings.Repeat("a long bulkhead ", 19)[:300]).Error,
			tx.Bump())
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := y.store.RevokeCode(t.Context(), "P3F7K2E2", false, y.deed()); err != nil {
		t.Fatal(err)
	}
	for query, want := range map[string]string{
		"kind=job&all=1&start=5":               "the sheet has cells 1 to 4, not 5",
		"kind=job&all=1&page=single&start=2":   "the sheet has cells 1 to 1, not 2",
		"kind=job&all=1&start=0x":              "is not a whole number",
		"kind=job&all=1&cells=3x3":             "the grid is bigger than the page: it needs 315 × 444 mm and the page has 210 × 297",
		"kind=job&all=1&cells=2x2&at=30,0":     "the grid is bigger than the page",
		"kind=lot&all=1&cells=2x2&step=40,40":  "cells are smaller than the cards",
		"kind=lot&all=1&cells=many":            "not columns by rows",
		"kind=lot&all=1&cells=2x2&step=a":      "how far cells stand apart",
		"kind=lot&all=1&cells=2x2&at=-1,3":     "where the first cell begins",
		"kind=job&all=1&copies=2000":           "choose 1 to 1,000",
		"kind=job&all=1&dpi=72":                "72",
		"kind=job&key=J99":                     "there is no job J99",
		"kind=job&hull=H9":                     "no job to print of hull H9",
		"kind=stage&hull=H9&stage=LAM":         "not both known",
		"kind=badge&key=101":                   "no valid code, for it was revoked",
		"kind=badge&key=102":                   "no font holds",
		"kind=badge&key=103":                   "the name is empty",
		"kind=poster":                          "not a kind of sheet",
		"kind=job&all=1&price=1":               "is not asked of a sheet",
		"kind=job&all=1&page=a0":               "choose one of single, a4, a3",
		"kind=wall&words=xx":                   "no words in",
		"kind=job&all=1&show=9":                "there is no page 9",
		"kind=lot&all=1&size=huge":             "choose one of large, small",
		"kind=job&key=J1&key=J99&key=J1&all=1": "there is no job J99",
	} {
		y.wait(time.Second) // there is a bound
		w := b.get("/print?" + query)
		if w.Code < 400 || w.Code >= 500 || !strings.Contains(w.Body.String(), `role="alert"`) || !strings.Contains(w.Body.String(), want) ||
			!strings.Contains(w.Body.String(), "</form>") {
			t.Errorf("/print?%s lacks %q: %d %s", query, want, w.Code, said(w.Body.String()))
		}
		if strings.Contains(query, "show=") {
			continue // the PDF has all pages
		}
		if w = b.post("/print/sheet.pdf?" + query); w.Code < 400 || w.Code >= 500 || !strings.Contains(w.Body.String(), want) {
			t.Errorf("/print/sheet.pdf?%s lacks %q: %d %s", query, want, w.Code, said(w.Body.String()))
		}
	}
	if w := b.post("/print/sheet.pdf?kind=job"); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "nothing is selected") {
		t.Errorf("an empty selection gave %d %s", w.Code, said(w.Body.String()))
	}
	if w := b.get("/print?kind=job&key=J3"); !strings.Contains(w.Body.String(), "1 card on 1 page") {
		t.Errorf("a long part name gave %d %s", w.Code, said(w.Body.String()))
	}
	// All badges: the one whose code was revoked is left out, and that is said.
	if w := b.get("/print?kind=badge&text=1"); !strings.Contains(w.Body.String(), "no font holds") {
		t.Errorf("all badges gave %d %s", w.Code, said(w.Body.String()))
	}
	log, err := y.store.Logbook(t.Context(), models.LogbookAsk{Words: "printed", Limit: 5})
	if err != nil || len(log) != 0 {
		t.Errorf("what was refused is noted: %+v, %v", log, err)
	}
}

// The picture is an image that loads and runs nothing.
func TestPreviewPicture(t *testing.T) {
	y := newYard(t)
	b := y.person("Leader", models.TeamLeader)
	w := b.get("/print/page.svg?kind=badge&key=101")
	if w.Code != http.StatusOK || w.Header().Get("Content-Type") != "image/svg+xml" || w.Header().Get("Content-Security-Policy") != sheetPolicy {
		t.Fatalf("the picture is %d %v", w.Code, w.Header())
	}
	if !strings.HasPrefix(sheetPolicy, "default-src 'none'") {
		t.Error("the picture may load something")
	}
	elements := 0
	for d := xml.NewDecoder(w.Body); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if e, ok := token.(xml.StartElement); ok {
			if elements++; e.Name.Local != "svg" && e.Name.Local != "rect" && e.Name.Local != "path" {
				t.Errorf("the picture has a %s", e.Name.Local)
			}
		}
	}
	if elements < 8 {
		t.Errorf("the picture has %d elements", elements)
	}
	if w := b.get("/print/page.svg?kind=badge&key=999"); w.Code != http.StatusNotFound {
		t.Errorf("an unknown badge gave %d", w.Code)
	}
}

// Who prints what is for their trade, at every address.
func TestKindsByRole(t *testing.T) {
	y := newYard(t)
	may := map[models.Role]string{
		models.Owner: "job stage badge crew lot indirect wall", models.TeamLeader: "job stage badge crew wall", models.Stores: "lot indirect wall",
		models.Estimator: "", models.Bookkeeper: "",
	}
	for role, kinds := range may {
		b := y.person("kind "+string(role), role)
		for _, kind := range strings.Fields("job stage badge crew lot indirect wall") {
			for _, path := range []string{"/print?", "/print/page.svg?", "/print/sheet.pdf?"} {
				w := b.get(path + "all=1&hull=H1&stage=LAM&kind=" + kind)
				if path != "/print?" {
					y.wait(time.Second)
				}
				if allowed := strings.Contains(kinds, kind); allowed != (w.Code == http.StatusOK) || !allowed && w.Code != http.StatusForbidden {
					t.Errorf("%s asked %s for %s: %d", role, path, kind, w.Code)
				}
			}
		}
		if strings.Contains(b.get("/account").Body.String(), `href="/print"`) != (kinds != "") {
			t.Errorf("%s has the page in the navigation, or lacks it", role)
		}
	}
}
