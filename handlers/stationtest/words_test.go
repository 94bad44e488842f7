package stationtest

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"hulltally/models"
)

// words are the words of a language.
type words struct {
	Name    string                       `json:"name"`
	Answers map[string]map[string]string `json:"answers"`
	Kinds   map[string]string            `json:"kinds"`
	Units   map[string]string            `json:"units"`
	Page    map[string]string            `json:"page"`
	Desk    map[string]string            `json:"desk"`
}

var languages = []string{"de", "en", "pl", "pt"}

func (y *yard) words(language string) (w words) {
	y.t.Helper()
	y.get("/lang/"+language, "", &w)
	return w
}

// get reads JSON.
func (y *yard) get(path, key string, into any) {
	y.t.Helper()
	ask, err := http.NewRequestWithContext(y.t.Context(), http.MethodGet, y.url+path, nil)
	if err != nil {
		y.t.Fatal(err)
	}
	if key != "" {
		ask.Header.Set("Authorization", "Bearer "+key)
	}
	answer, err := http.DefaultClient.Do(ask)
	if err != nil {
		y.t.Fatal(err)
	}
	defer answer.Body.Close()
	if err := json.NewDecoder(answer.Body).Decode(into); err != nil || answer.StatusCode != http.StatusOK {
		y.t.Fatalf("%s gave %d, %v", path, answer.StatusCode, err)
	}
}

// Every answer of the server has a word in every language, and every language
// has the words that English has, with the same gaps to fill.
func TestNoWordIsMissing(t *testing.T) {
	y := newYard(t)
	english := y.words("en")
	for _, language := range languages {
		w := y.words(language)
		for _, code := range models.AnswerCodes() {
			if w.Answers[code]["word"] == "" || w.Answers[code]["line"] == "" {
				t.Errorf("%s has no words for the answer %s", language, code)
			}
		}
		for code, answer := range english.Answers {
			if gaps(answer["line"]) != gaps(w.Answers[code]["line"]) {
				t.Errorf("%s: %s has the gaps %s, want %s", language, code, gaps(w.Answers[code]["line"]), gaps(answer["line"]))
			}
		}
		for part, pair := range map[string][2]map[string]string{
			"kinds": {english.Kinds, w.Kinds}, "units": {english.Units, w.Units}, "page": {english.Page, w.Page},
			"desk": {english.Desk, w.Desk},
		} {
			want, got := slices.Sorted(maps.Keys(pair[0])), slices.Sorted(maps.Keys(pair[1]))
			if !slices.Equal(got, want) {
				t.Errorf("%s: the %s are %q, want %q", language, part, got, want)
			}
			for key, text := range pair[1] {
				if strings.TrimSpace(text) == "" || gaps(text) != gaps(pair[0][key]) {
					t.Errorf("%s: %s %s is %q", language, part, key, text)
				}
			}
		}
	}
}

// gaps are the names in braces of a text.
func gaps(text string) string {
	var names []string
	for _, part := range strings.Split(text, "{")[1:] {
		name, _, _ := strings.Cut(part, "}")
		names = append(names, name)
	}
	slices.Sort(names)
	return strings.Join(names, " ")
}

// overflow shows every answer with long names and lists what doesn't fit.
const overflow = `(async () => {
  const screen = new (await import("/static/station/screen.js")).Screen();
  const { loadWords } = await import("/static/station/words.js");
  const fits = (e) => { const r = e.getBoundingClientRect(); return r.width === 0 || (r.left >= -1 && r.right <= innerWidth + 1); };
  const wide = [];
  for (const language of %s) {
    await loadWords(language);
    const words = await (await fetch("/lang/" + language)).json();
    for (const code of Object.keys(words.answers)) {
      screen.show({ state: "waiting", code, who: "Maximiliane Castelobranco", name: "H2041-SUPERSTR-12",
        about: "Fairing and paint outside · Topcoat and antifouling", needs: ["job", "indirect", "off"] });
      const call = document.getElementById("call").getBoundingClientRect();
      for (const e of document.querySelectorAll("#call p:not([hidden]), #call li")) {
        const range = document.createRange();
        range.selectNodeContents(e);
        const text = range.getBoundingClientRect();
        if (text.width === 0) continue;
        const out = [text.left < call.left - 1, text.right > Math.min(call.right, innerWidth) + 1, text.top < call.top - 1, text.bottom > call.bottom + 1];
        if (out.includes(true)) wide.push([language, code, e.id || e.tagName, out.indexOf(true)].join(" "));
      }
    }
    screen.idle();
    for (const e of document.querySelectorAll("header *, main *, footer *")) if (!fits(e)) wide.push([language, e.id || e.tagName].join(" "));
    if (document.documentElement.scrollWidth > innerWidth) wide.push(language + " page");
  }
  return [...new Set(wide)];
})()`

// Nothing overflows on the smallest screen, nor on the wall.
func TestWordsFit(t *testing.T) {
	y := newYard(t)
	for station, sizes := range map[string][][2]int64{
		"GATE": {{320, 640}, {1920, 1080}}, "STORE": {{320, 640}},
	} {
		p := y.station(t, browser(t), station, faults)
		for _, size := range sizes {
			p.do(chromedp.EmulateViewport(size[0], size[1]))
			list, _ := json.Marshal(languages)
			wide, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]string](fmt.Sprintf(overflow, list), chromedp.EvalAwaitPromise))
			if err != nil || len(wide) > 0 {
				t.Errorf("%s at %d: %v does not fit:\n%.2000s", station, size[0], err, strings.Join(wide, "\n"))
			}
		}
		p.cancel()
	}
}

// Who is on what is told to the station, and never money.
func TestFloorList(t *testing.T) {
	y := newYard(t)
	now := models.Deed{Who: "test", At: instantNow()}
	gate, _, err := y.store.NewStationKey(t.Context(), "GATE", now)
	if err != nil {
		t.Fatal(err)
	}
	stores, _, err := y.store.NewStationKey(t.Context(), "STORE", now)
	if err != nil {
		t.Fatal(err)
	}
	quay, _, err := y.store.NewStationKey(t.Context(), "QUAY", now)
	if err != nil {
		t.Fatal(err)
	}
	y.scanAt(gate, instantNow()-7_200_000, ilse, job1)
	y.scanAt(gate, instantNow()-3_600_000, tome, job1)
	y.scanAt(gate, instantNow()-60_000, tome, off)
	for _, c := range []struct {
		key  string
		want []string
	}{{gate, []string{"Ilse Varnholt J1 GATE"}}, {stores, []string{"Ilse Varnholt J1 GATE"}}, {quay, nil}} {
		var floor struct {
			At   string
			Rows []map[string]string
		}
		y.get("/api/station/floor", c.key, &floor)
		var got []string
		for _, r := range floor.Rows {
			got = append(got, r["name"]+" "+r["key"]+" "+r["station"])
			for field := range r {
				if !slices.Contains([]string{"worker", "name", "kind", "key", "doing", "station", "since"}, field) {
					t.Errorf("the list tells %s", field)
				}
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("the list is %q, want %q", got, c.want)
		}
	}
}
