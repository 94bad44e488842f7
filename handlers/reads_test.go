package handlers

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"hulltally/costing"
	"hulltally/models"
)

// readID is the n-th id of a test.
func readID(n int) string { return fmt.Sprintf("6f1c2a34-0b5d-4e6f-8a90-%012d", n) }

func readText(n int, payload string, extra ...string) string {
	q, _ := json.Marshal(payload)
	return fmt.Sprintf(`{"id":%q,"n":%d,"at":"2026-03-09T07:00:%02dZ","payload":%s%s}`, readID(n), n, n%60, q, strings.Join(extra, ""))
}

// recorded counts the reads in the database.
func (y *yard) recorded() (n int64) {
	y.t.Helper()
	err := y.store.Read(y.t.Context(), func(tx *models.Tx) error {
		return tx.DB.Raw("SELECT COUNT(*) FROM reads").Row().Scan(&n)
	})
	if err != nil {
		y.t.Fatal(err)
	}
	return n
}

// badgeOf is the payload of a worker's badge.
func (y *yard) badgeOf(worker string) (payload string) {
	y.t.Helper()
	err := y.store.Read(y.t.Context(), func(tx *models.Tx) error {
		codes, err := tx.Codes(y.t.Context())
		for _, c := range codes {
			if c.Kind == "worker" && c.Key == worker && c.RevokedMs == nil {
				payload = c.Payload
			}
		}
		return err
	})
	if err != nil || payload == "" {
		y.t.Fatal("no badge", err)
	}
	return payload
}

func TestReads(t *testing.T) {
	y := newYard(t)
	gate := y.station("GATE")
	before := y.recorded()
	w := gate.json("/api/reads", readText(1, y.badgeOf("101")))
	var one readAnswer
	if err := json.Unmarshal(w.Body.Bytes(), &one); err != nil || w.Code != http.StatusOK {
		t.Fatalf("one read gave %d %s", w.Code, w.Body)
	}
	if one.ID != readID(1) || one.Outcome != "waiting" || one.Say == "" || len(one.Needs) == 0 {
		t.Errorf("the answer is %+v", one)
	}
	again := gate.json("/api/reads", readText(1, y.badgeOf("101")))
	if again.Body.String() != w.Body.String() {
		t.Errorf("the same read again gave %s, not %s", again.Body, w.Body)
	}
	w = gate.json("/api/reads", "["+readText(2, "not a code")+","+readText(3, "", `,"station":"GATE"`)+"]")
	var many []readAnswer
	if err := json.Unmarshal(w.Body.Bytes(), &many); err != nil || len(many) != 2 || many[0].ID != readID(2) || many[0].Outcome != "refused" {
		t.Errorf("two reads gave %d %s", w.Code, w.Body)
	}
	if w := gate.json("/api/reads", " [] "); w.Code != http.StatusOK || w.Body.String() != "[]" {
		t.Errorf("no reads gave %d %s", w.Code, w.Body)
	}
	if got := y.recorded() - before; got != 3 {
		t.Errorf("%d reads were recorded, want 3", got)
	}
	if strings.Contains(y.log.String(), gate.key) || strings.Contains(y.log.String(), y.badgeOf("101")) {
		t.Error("the log holds a key or a payload")
	}
}

// A batch with a bad read is refused whole, by index and field.
func TestBadReads(t *testing.T) {
	y := newYard(t)
	gate := y.station("GATE")
	before := y.recorded()
	good := readText(1, "X")
	for _, c := range []struct {
		body  string
		index int
		field string
	}{
		{`[` + good + `,{"id":"17","n":1,"at":"2026-03-09T07:00:00Z","payload":""}]`, 1, "id"},
		{`[` + good + `,` + readText(2, "", `,"colour":"red"`) + `]`, 1, "colour"},
		{readText(2, "", `,"station":"STORE"`), 0, "station"},
		{readText(2, "", `,"station":null`), 0, "station"},
		{readText(2, "", `,"n":3`), 0, "n"},
		{strings.Replace(good, `"n":1`, `"n":1.5`, 1), 0, "n"},
		{strings.Replace(good, `"n":1`, `"n":-1`, 1), 0, "n"},
		{strings.Replace(good, `"n":1`, `"n":"1"`, 1), 0, "n"},
		{strings.Replace(good, `"n":1`, `"N":1`, 1), 0, "N"},
		{strings.Replace(good, `"n":1,`, ``, 1), 0, "n"},
		{strings.Replace(good, `"n":1`, `"n":[1]`, 1), 0, "n"},
		{strings.Replace(good, `2026-03-09T07`, `2026-03-09 07`, 1), 0, "at"},
		{strings.Replace(good, `2026-03-09T07`, `0026-03-09T07`, 1), 0, "at"},
		{strings.Replace(good, `"X"`, `"a\u0000b"`, 1), 0, "payload"},
		{strings.Replace(good, `"X"`, `{"a":1}`, 1), 0, "payload"},
		{strings.Replace(good, `"X"`, `"`+strings.Repeat("x", 5000)+`"`, 1), 0, "payload"},
		{`[` + good + `,[]]`, 1, ""},
		{`[` + good + `,7]`, 1, ""},
		{good + good, 0, ""},
	} {
		w := gate.json("/api/reads", c.body)
		p := problemOf(t, w)
		if w.Code != http.StatusUnprocessableEntity || p.Index == nil || *p.Index != c.index || p.Field != c.field || len(p.Errors) == 0 {
			t.Errorf("%.120s gave %d %s", c.body, w.Code, w.Body)
		}
	}
	for body, want := range map[string]int{
		``: 422, `null`: 422, `"x"`: 422, `[` + good: 422, `{`: 422, "[\"\xff\"]": 422, `[` + strings.Repeat(good+",", mostReads) + good + `]`: 422,
		strings.Repeat(" ", readsBody+1): 413, `[` + strings.Repeat(good+",", 20000) + good + `]`: 413,
	} {
		if w := gate.json("/api/reads", body); w.Code != want {
			t.Errorf("%.40q gave %d, want %d", body, w.Code, want)
		} else {
			problemOf(t, w)
		}
	}
	if w := gate.do(http.MethodPost, "/api/reads", "text/csv", good); w.Code != http.StatusUnsupportedMediaType {
		t.Errorf("CSV gave %d", w.Code)
	}
	if got := y.recorded(); got != before {
		t.Errorf("%d bad reads were recorded", got-before)
	}
	full := make([]string, mostReads)
	for i := range full {
		full[i] = readText(i, "X")
	}
	if w := gate.json("/api/reads", "["+strings.Join(full, ",")+"]"); w.Code != http.StatusOK {
		t.Errorf("a full batch gave %d %.200s", w.Code, w.Body)
	}
}

func TestKeys(t *testing.T) {
	y := newYard(t)
	gate, stores, nobody := y.station("GATE"), y.station("STORE"), y.browser()
	owner := y.person("Ada", models.Owner)
	if w := nobody.json("/api/reads", readText(1, "X")); w.Code != http.StatusUnauthorized || w.Header().Get("WWW-Authenticate") == "" {
		t.Errorf("no key gave %d", w.Code)
	}
	if w := owner.json("/api/reads", readText(1, "X")); w.Code != http.StatusForbidden {
		t.Errorf("the owner's session gave %d", w.Code)
	}
	for _, key := range []string{"ht_wrong", gate.key + "x", strings.ToLower(gate.key), " ", "\x00", strings.Repeat("x", 9000)} {
		wrong := y.browser()
		wrong.key = key
		if w := wrong.json("/api/reads", readText(1, "X")); w.Code != http.StatusUnauthorized {
			t.Errorf("the key %.20q gave %d", key, w.Code)
		}
	}
	basic := y.browser()
	basic.header["Authorization"] = "Basic QWRhOng="
	if w := basic.json("/api/reads", readText(1, "X")); w.Code != http.StatusUnauthorized {
		t.Errorf("another scheme gave %d", w.Code)
	}
	if w := gate.get("/api/reports/mass"); w.Code != http.StatusForbidden {
		t.Errorf("a station's key read a report: %d", w.Code)
	}
	// What another station sent is neither told nor done again.
	first := gate.json("/api/reads", readText(1, y.badgeOf("101")))
	n := y.recorded()
	replay := stores.json("/api/reads", readText(1, y.badgeOf("101")))
	var a readAnswer
	if err := json.Unmarshal(replay.Body.Bytes(), &a); err != nil || a.Outcome != "refused" || a.Say == "" {
		t.Errorf("the replay gave %d %s", replay.Code, replay.Body)
	}
	var told readAnswer
	if err := json.Unmarshal(first.Body.Bytes(), &told); err != nil || strings.Contains(replay.Body.String(), strings.Split(told.Say, ":")[0]) {
		t.Errorf("the replay was told of %s", first.Body)
	}
	if y.recorded() != n {
		t.Error("the replay was recorded")
	}
	keys, err := y.store.StationKeys(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range keys {
		if k.Station == "GATE" && k.UsedMs == 0 {
			t.Error("the key's last use is not noted")
		}
		if k.Hash == gate.key || strings.Contains(fmt.Sprint(k), gate.key) {
			t.Error("the key is kept as it is")
		}
		if k.Station == "GATE" {
			if w := owner.post("/stations/revoke", "key", k.ID); w.Code != http.StatusSeeOther {
				t.Errorf("revoking gave %d %s", w.Code, w.Body)
			}
		}
	}
	if w := gate.json("/api/reads", readText(2, "X")); w.Code != http.StatusUnauthorized {
		t.Errorf("a revoked key gave %d", w.Code)
	}
}

// A key revoked by another program is refused within a moment.
func TestKeyRevokedElsewhere(t *testing.T) {
	y := newYard(t)
	gate := y.station("GATE")
	gate.json("/api/reads", readText(1, "X"))
	keys, err := y.store.StationKeys(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if err := y.store.RevokeKey(t.Context(), keys[0].ID, y.deed()); err != nil {
		t.Fatal(err)
	}
	y.wait(keyHeld)
	if w := gate.json("/api/reads", readText(2, "X")); w.Code != http.StatusUnauthorized {
		t.Errorf("it gave %d", w.Code)
	}
}

func TestEnrol(t *testing.T) {
	y := newYard(t)
	leader := y.person("Lea", models.TeamLeader)
	page := leader.post("/stations/code", "station", "GATE").Body.String()
	_, rest, _ := strings.Cut(page, `<p class="code" translate="no">`)
	code, _, _ := strings.Cut(rest, "<")
	if len(code) != 9 {
		t.Fatalf("the page shows %q", code)
	}
	wall := y.browser()
	for _, wrong := range []string{`{"code":"AAAA-AAAA"}`, `{"code":""}`} {
		if w := wall.json("/api/enrol", wrong); w.Code != http.StatusForbidden {
			t.Errorf("%s gave %d", wrong, w.Code)
		}
	}
	y.wait(time.Minute)
	w := wall.json("/api/enrol", fmt.Sprintf(`{"code":%q}`, strings.ToLower(strings.ReplaceAll(code, "-", " "))))
	var got struct{ Station, Key string }
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || got.Station != "GATE" || w.Code != http.StatusOK {
		t.Fatalf("enrolling gave %d %s", w.Code, w.Body)
	}
	if w := wall.json("/api/enrol", fmt.Sprintf(`{"code":%q}`, code)); w.Code != http.StatusForbidden {
		t.Errorf("the code worked twice: %d", w.Code)
	}
	wall.key = got.Key
	if w := wall.get("/api/station"); w.Code != http.StatusOK || !strings.Contains(w.Body.String(), `"kind":"clock"`) {
		t.Errorf("the station is told %d %s", w.Code, w.Body)
	}
	if w := wall.json("/api/reads", readText(1, "X")); w.Code != http.StatusOK {
		t.Errorf("the key gave %d", w.Code)
	}
	old, err := y.store.NewEnrolCode(t.Context(), "STORE", y.deed())
	if err != nil {
		t.Fatal(err)
	}
	y.wait(models.EnrolCodeLasts)
	wall.key = ""
	if w := wall.json("/api/enrol", fmt.Sprintf(`{"code":%q}`, old)); w.Code != http.StatusForbidden {
		t.Errorf("an old code gave %d", w.Code)
	}
	guesser := y.browser()
	guesser.source = "198.51.100.3:1"
	refused := 0
	for range 30 {
		if guesser.json("/api/enrol", `{"code":"ABCDEFGH"}`).Code == http.StatusTooManyRequests {
			refused++
		}
	}
	if refused < 20 {
		t.Errorf("only %d of 30 guesses were held up", refused)
	}
}

// Whatever comes in, the parser gives reads that can be kept, or a fault.
func FuzzParseReads(f *testing.F) {
	for _, s := range []string{readText(1, "X"), "[" + readText(1, "X") + "]", "[]", "{}", "[{}]", "null", "[1,[2]]", `{"id":"x","id":"y"}`, "\xff", `[{"n":1e400}]`, "[{\"id\":\"\\ud800\"}]"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		reads, one, err := parseReads(body, "GATE")
		if err != nil {
			if p := describeError(err); p.Status != http.StatusUnprocessableEntity {
				t.Errorf("%v is answered with %d", err, p.Status)
			}
			return
		}
		if one && len(reads) != 1 || len(reads) > mostReads {
			t.Errorf("%d reads, one: %t", len(reads), one)
		}
		for _, r := range reads {
			if r.Station != "GATE" || len(r.ID) != 36 || strings.ContainsRune(r.Payload, 0) || r.N < 0 || r.At < costing.Instant(-1<<45) {
				t.Errorf("%q gave %+v", body, r)
			}
		}
	})
}
