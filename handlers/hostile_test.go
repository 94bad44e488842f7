package handlers

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"hulltally/models"
)

// hostileSeeds are texts that have broken programs before.
var hostileSeeds = []string{
	`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `javascript:alert(1)`, `{{.Password}}`, `${7*7}`, `' OR '1'='1`,
	`"; DROP TABLE reads; --`, `=cmd|'/c calc'!A1`, `+1+1`, `-2+3`, `@SUM(A1)`, "\t=1", "\r=1", `../../../../etc/passwd`, `..\..\windows`,
	`%2e%2e%2f`, "a\x00b", "\x00", "\u202egnp.exe", "\u200b", "\ufeff", "e\u0301", "\xff\xfe", "\xc0\xaf", "\xed\xa0\x80", "\U0010ffff", "😀",
	"\x1b[2J", "a\r\nSet-Cookie: x=1", "\\", `\u0000`, `null`, `[]`, `{}`, `1e999`, "%s%n%x", "ñÑ", "一", "\u0600", `<!--`, `]]>`, "&lt;", "'", `"`, "`",
	" ", "", "NaN", "-0", "٣", "Ⅷ", "ﬁ",
}

// hostile makes n texts out of the seeds: alone, joined, repeated up to many thousand bytes.
func hostile(n int) []string {
	random := rand.New(rand.NewPCG(7, 11))
	texts := append([]string(nil), hostileSeeds...)
	for len(texts) < n {
		s := hostileSeeds[random.IntN(len(hostileSeeds))] + hostileSeeds[random.IntN(len(hostileSeeds))]
		if random.IntN(4) == 0 && s != "" {
			s = strings.Repeat(s, 1+random.IntN(12_000/len(s)+1))
		}
		texts = append(texts, s)
	}
	return texts[:n]
}

// Whatever is typed, sent or asked for, the answer is no fault of ours, holds
// no markup of theirs, and what was kept is still sound.
func TestHostileInputs(t *testing.T) {
	y := newYard(t)
	owner, gate, nobody := y.person("Ada", models.Owner), y.station("GATE"), y.browser()
	check := func(what string, code int, body string) {
		t.Helper()
		if code >= 500 {
			t.Errorf("%.200q gave %d %.300s", what, code, body)
		}
		for _, bad := range []string{"<script>alert", "<img src=x", "onerror=alert(1)>"} {
			if strings.Contains(body, bad) {
				t.Errorf("%.200q came back as markup", what)
			}
		}
	}
	for i, s := range hostile(200) {
		y.wait(longestWait)
		for _, target := range []string{"/people", "/people/change", "/stations/code", "/stations/revoke", "/account/second-factor"} {
			w := owner.post(target, "name", s, "role", "stores", "person", s, "do", "link", "station", s, "key", s, "code", s)
			check(target+" "+s, w.Code, w.Body.String())
		}
		for _, target := range []string{"/sign-in", "/sign-in/code", "/choose-password"} {
			w := nobody.post(target, "name", s, "password", s, "again", s, "link", s, "next", s, "code", s)
			check(target+" "+s, w.Code, w.Body.String())
		}
		q := url.QueryEscape(s)
		for _, target := range []string{
			"/logbook?words=" + q, "/logbook?before=" + q, "/api/reports/cost?hull=" + q, "/api/reports/cost?period=" + q, "/reports/hours?at=" + q,
			"/reports/" + url.PathEscape(s), "/static/" + url.PathEscape(s), "/api/reports/stock?" + q + "=" + q, "/sign-in?next=" + q, "/choose-password?link=" + q,
		} {
			if len(target) < 30_000 {
				w := owner.copy().get(target)
				check(target, w.Code, w.Body.String())
			}
		}
		quoted, _ := json.Marshal(s)
		raw := `"` + s + `"`
		for _, text := range []string{string(quoted), raw} {
			for _, body := range []string{
				fmt.Sprintf(`{"id":%q,"n":%d,"at":"2026-03-09T07:00:00Z","payload":%s}`, readID(i), i, text),
				fmt.Sprintf(`[{"id":%s,"n":1,"at":%s,"payload":"x","station":%s}]`, text, text, text),
				fmt.Sprintf(`{%s:%s}`, text, text), s,
			} {
				w := gate.json("/api/reads", body)
				check(body, w.Code, w.Body.String())
				if !utf8.ValidString(w.Body.String()) {
					t.Errorf("%.200q gave an answer that is no UTF-8", body)
				}
			}
		}
		w := nobody.json("/api/enrol", fmt.Sprintf(`{"code":%s}`, quoted))
		check("/api/enrol "+s, w.Code, w.Body.String())
		bad := y.browser()
		bad.header["Authorization"], bad.header["X-Forwarded-For"] = "Bearer "+s, s
		check("key "+s, bad.get("/api/station").Code, "")
		bad = y.browser()
		bad.cookies["hulltally"] = url.QueryEscape(s)
		check("cookie "+s, bad.get("/account").Code, "")
	}
	if _, err := y.store.VerifyLogbook(t.Context(), models.Seal{}); err != nil {
		t.Error(err)
	}
	if differences, err := y.store.Check(t.Context(), nil); err != nil || len(differences) > 0 {
		t.Errorf("the books differ: %v %v", differences, err)
	}
	if strings.Contains(y.log.String(), password) {
		t.Error("the log holds a password")
	}
}

// A CSV answer never begins a cell of text with what a spreadsheet would run.
func TestNoFormulasInCSV(t *testing.T) {
	table := &Table{Name: "mass", Columns: []Column{text("hull", "hull"), number("kg", "kg")}}
	for _, s := range hostile(200) {
		table.Rows = append(table.Rows, []any{s, "-1.5"})
	}
	var b strings.Builder
	if err := table.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		if s := strings.TrimLeft(row[0], " "); s != "" && strings.ContainsRune("=+-@\t\r\n", rune(s[0])) {
			t.Errorf("a cell begins %.20q", row[0])
		}
		if row[1] != "-1.5" {
			t.Errorf("a number became %q", row[1])
		}
	}
}

// Nothing that came in as text goes out as part of a header.
func TestHeadersTakeNoText(t *testing.T) {
	y := newYard(t)
	b := y.browser()
	for _, s := range hostile(100) {
		w := b.post("/sign-in", "name", s, "password", "x", "next", s)
		for name, values := range w.Header() {
			for _, v := range values {
				if strings.ContainsAny(v, "\r\n\x00") || name == "Set-Cookie" && strings.Contains(v, "x=1") {
					t.Errorf("%s is %q", name, v)
				}
			}
		}
		y.wait(time.Minute)
	}
	if w := b.get("/static/..%2f..%2fgo.mod"); w.Code != http.StatusNotFound {
		t.Errorf("a path out of the static files gave %d", w.Code)
	}
}
