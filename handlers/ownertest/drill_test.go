package ownertest

import (
	"encoding/csv"
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"hulltally/models"
)

func readCSV(t testing.TB, text string) [][]string {
	t.Helper()
	lines, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(lines) == 0 {
		t.Fatalf("no CSV: %v, %.200s", err, text)
	}
	return lines
}

// link is a figure that leads somewhere.
type link struct{ href, value string }

// links lists a page's figures that lead to a place.
func (v *visitor) links(path, to string) (list []link) {
	v.t.Helper()
	for _, m := range hrefOf.FindAllStringSubmatch(v.page(path), -1) {
		if href := html.UnescapeString(m[1]); strings.HasPrefix(href, to) {
			list = append(list, link{href, html.UnescapeString(m[2])})
		}
	}
	return list
}

var totalOf = regexp.MustCompile(`<p class="total"><strong><data value="([^"]*)">`)

// Every figure that leads to postings is their total: money as money, time as time.
func TestFiguresAreWhatTheyOpen(t *testing.T) {
	y := theYard(t)
	o := y.as(t, models.Owner)
	opened := map[string]string{}
	for path, every := range map[string]int{ // the past is computed anew for each: a few will do
		"/hull/H203": 4, "/hull/H203/stage/FAIRX": 1, "/hull/H203/stage/SYS": 2, "/hull/H205/stage/BOND?at=" + then: 11,
	} {
		links := o.links(path, "/postings")
		if len(links) < 10 {
			t.Errorf("%s leads to postings only %d times", path, len(links))
		}
		for i, l := range links {
			if strings.Contains(path, "?at=") && !strings.Contains(l.href, "at="+then) {
				t.Errorf("%s leads to %s, which looks at another day", path, l.href)
			}
			if i%every != 0 {
				continue
			}
			text, seen := opened[l.href]
			if !seen {
				text = o.page(l.href)
				opened[l.href] = text
			}
			total := totalOf.FindStringSubmatch(text)
			switch {
			case total == nil:
				t.Errorf("%s leads to %s, which has no total", path, l.href)
			case strings.Contains(l.value, "."):
				if total[1] != l.value {
					t.Errorf("%s shows %s, which leads to %s with a total of %s", path, l.value, l.href, total[1])
				}
			case !strings.Contains(text, `<strong><data value="`+l.value+`">`):
				t.Errorf("%s shows %s s, which %s does not", path, l.value, l.href)
			}
		}
	}
	if len(opened) < 50 {
		t.Errorf("only %d figures were opened", len(opened))
	}
	o.checkCSV(opened)
}

// checkCSV: the rows of a list of postings add up to its total.
func (v *visitor) checkCSV(opened map[string]string) {
	checked := 0
	for href, text := range opened {
		if checked++; checked > 6 {
			return
		}
		lines := readCSV(v.t, v.page(href+"&csv=postings"))
		var sum int64
		for _, line := range lines[1:] {
			sum += cents(v.t, line[len(line)-1])
		}
		if want := cents(v.t, totalOf.FindStringSubmatch(text)[1]); sum != want {
			v.t.Errorf("%s: the rows come to %d, the total is %d", href, sum, want)
		}
	}
}

// Every posting leads to what caused it, of every kind.
func TestPostingsLeadToTheirSource(t *testing.T) {
	y := theYard(t)
	o := y.as(t, models.Owner)
	source := regexp.MustCompile(`<td><a href="(/(?:booking|lot|purchase)[^"]*)">`)
	kinds := map[string]int{}
	for _, path := range []string{
		"/postings?hull=H203&stage=FAIRX&element=labour&purpose=rework", "/postings?hull=H203&stage=FAIRX&element=material",
		"/postings?hull=H203&stage=SYS&element=bought-in", "/postings?hull=H203&stage=FAIRX&element=overhead",
	} {
		text := o.page(path)
		rows := strings.Count(text, "<tr>") - 2 // head and foot
		found := source.FindAllStringSubmatch(text, -1)
		if len(found) < rows {
			t.Errorf("%s: %d of %d postings lead to a source", path, len(found), rows)
		}
		for i, m := range found {
			if i%20 != 0 {
				continue
			}
			href := html.UnescapeString(m[1])
			kind := strings.SplitN(href, "/", 3)[1]
			kinds[strings.SplitN(kind, "?", 2)[0]]++
			page, anchor, _ := strings.Cut(href, "#")
			text := o.page(page)
			if anchor != "" && !strings.Contains(text, `id="`+anchor+`"`) {
				t.Errorf("%s has no %s", page, anchor)
			}
			if kind == "booking" && !strings.Contains(text, "completed this entry") && !strings.Contains(text, "It is a correction") {
				t.Errorf("%s shows neither its raw read nor a correction", href)
			}
		}
	}
	for _, kind := range []string{"booking", "lot", "purchase"} {
		if kinds[kind] == 0 {
			t.Errorf("no posting led to a %s", kind)
		}
	}
}

// A worker's week is what the hours report pays.
func TestWeekIsTheHoursReport(t *testing.T) {
	y := theYard(t)
	o := y.as(t, models.Bookkeeper)
	for i, w := range o.report("hours", "") {
		if i%97 != 0 {
			continue
		}
		path := "/worker/" + url.PathEscape(text(w["worker"])) + "/week/" + text(w["week"])
		var seconds, base, onCost, premium int64
		for _, r := range o.table(path, "pieces") {
			seconds += cents(t, r["seconds"]) / 100
			base += cents(t, r["base"])
			onCost += cents(t, r["on_cost"])
			premium += cents(t, r["premium"])
		}
		var paid int64
		for _, band := range w["seconds"].(map[string]any) {
			paid += cents(t, text(band)) / 100
		}
		if seconds != paid || base != cents(t, text(w["base"])) || onCost != cents(t, text(w["on_cost"])) || premium != cents(t, text(w["premium"])) {
			t.Errorf("%s comes to %d s, %d, %d, %d; the report says %v", path, seconds, base, onCost, premium, w)
		}
	}
}

// Cost, margin and pay are for some roles only.
func TestWhoSeesWhat(t *testing.T) {
	y := theYard(t)
	o := y.as(t, models.Owner)
	labour := o.page("/postings?hull=H203&stage=FAIRX&element=labour")
	booking := html.UnescapeString(regexp.MustCompile(`<a href="(/booking/[0-9a-f-]{36})">`).FindStringSubmatch(labour)[1])
	seen := o.page(booking)
	week := html.UnescapeString(regexp.MustCompile(`<a href="(/worker/[^"]*)">`).FindStringSubmatch(seen)[1])
	name := regexp.MustCompile(`<a href="/worker/[^"]*"><data value="[^"]*">([^,<]*),`).FindStringSubmatch(seen)[1]
	pages := []string{"/board", "/hull/H203", "/hull/H203/stage/FAIRX", "/postings?hull=H203", booking, "/lot/L00053", "/purchase?document=x"}
	for _, role := range []models.Role{models.Stores, models.TeamLeader} {
		v := y.as(t, role)
		for _, path := range append(pages, week) {
			if status, _ := v.get(path); status != http.StatusForbidden {
				t.Errorf("%s asked for %s and got %d", role, path, status)
			}
		}
		if nav := v.page("/reports"); strings.Contains(nav, "/board") {
			t.Errorf("%s is offered the board", role)
		}
	}
	e := y.as(t, models.Estimator)
	for _, path := range pages[:6] {
		e.page(path)
	}
	if status, _ := e.get(week); status != http.StatusForbidden {
		t.Errorf("the estimator got %d for a worker's week", status)
	}
	masked := e.page(booking)
	if strings.Contains(masked, name) || strings.Contains(masked, "/worker/") || strings.Contains(masked, "On-cost") || !strings.Contains(masked, "a badge") {
		t.Errorf("the estimator sees who worked, or what they cost")
	}
	if strings.Contains(e.page("/postings?hull=H203&stage=FAIRX&element=labour&csv=postings"), "correction ") {
		t.Error("the estimator sees a correction's worker in the CSV")
	}
	for role, first := range map[models.Role]string{models.Owner: "/board", models.Bookkeeper: "/board", models.Estimator: "/board", models.Stores: "/stores"} {
		answer, err := y.as(t, role).http.Get(y.url + "/")
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if got := answer.Header.Get("Location"); got != first {
			t.Errorf("the home of the %s is %s", role, got)
		}
	}
}

// What is asked wrongly is refused with a reason, and never a fault of ours.
func TestWrongQuestions(t *testing.T) {
	o := theYard(t).as(t, models.Owner)
	for path, want := range map[string]int{
		"/board?at=yesterday": 422, "/board?at=2026-13-01": 422, "/board?csv=none": 404, "/hull/none": 404, "/hull/H203/stage/none": 404,
		"/postings": 404, "/postings?hull=H203&period=May": 422, "/postings?hull=H203&week=2026-W60": 422, "/postings?hull=H203&page=-1": 422,
		"/postings?hull=H203&page=99999": 200, "/booking/none": 404, "/lot/none": 404, "/purchase?document=none": 404,
		"/worker/none/week/2026-W30": 404, "/worker/none/week/30": 422, "/hull/a%2Fb": 404, "/board?at=%00": 422, "/hull/%ff": 422,
		"/board?at=2020-01-01": 200, "/hull/H203?at=2020-01-01": 200, "/board?at=2999-01-01": 200, "/board?at=2026-08-31T10:00:00Z": 200,
	} {
		if status, body := o.get(path); status != want {
			t.Errorf("%s gave %d, want %d: %.300s", path, status, want, body)
		}
	}
}
