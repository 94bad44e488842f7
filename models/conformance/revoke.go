package conformance

import (
	"strings"
	"testing"

	"hulltally/labels"
	"hulltally/models"
)

// testRevocation: a code is revoked with or without a new one, is answered by
// name from then on, never printed again, and noted in the logbook.
func testRevocation(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	payload := map[string]string{}
	for _, c := range codesOf(t, s) {
		if c.RevokedMs == nil {
			payload[strings.TrimSpace(c.Kind+" "+c.Key)] = c.Payload
		}
	}
	by := models.Deed{Who: "Owner", Source: "test", At: Now + 1000}
	for _, thing := range []string{"worker 101", "crew C1", "job J1", "lot L2", "indirect CLEAN", "off", "progress 50"} {
		before := version(t, s)
		done, err := s.RevokeCode(t.Context(), strings.ToLower(payload[thing])+"\n", true, by)
		if err != nil {
			t.Fatal(err)
		}
		if done.New == nil || labels.Check(done.New.Payload) != nil || done.New.Payload[0] != payload[thing][0] || done.New.Payload == payload[thing] {
			t.Errorf("%s: %s became %+v", thing, payload[thing], done.New)
		}
		if version(t, s) != before+1 {
			t.Errorf("%s: version %d after %d", thing, version(t, s), before)
		}
		snap := snapshot(t, s)
		kind, _, _ := strings.Cut(thing, " ")
		if h := snap.Resolve(payload[thing], by.At-1); string(h.Kind) != kind {
			t.Errorf("%s: before the revocation it is %+v", thing, h)
		}
		if h := snap.Resolve(payload[thing], by.At); !strings.Contains(h.Why, done.Holder) || !strings.Contains(h.Why, "no longer valid") {
			t.Errorf("%s: after the revocation it is %+v", thing, h)
		}
		if h := snap.Resolve(done.New.Payload, by.At); string(h.Kind) != kind {
			t.Errorf("%s: the new code is %+v", thing, h)
		}
	}
	if done, err := s.RevokeCode(t.Context(), payload["worker 103"], false, by); err != nil || done.New != nil {
		t.Errorf("revoked without a new one: %+v, %v", done, err)
	}
	if log, err := s.Logbook(t.Context(), models.LogbookAsk{Words: "code revoked Quill", Limit: 5}); err != nil || len(log) != 1 {
		t.Errorf("the logbook has %+v, %v", log, err)
	}
	if log, err := s.Logbook(t.Context(), models.LogbookAsk{Words: "code replaced", Limit: 50}); err != nil || len(log) != 7 {
		t.Errorf("the logbook has %d replaced codes, %v", len(log), err)
	}
	for _, c := range []struct {
		payload string
		issue   bool
		kind    models.Kind
		want    string
	}{
		{payload["worker 101"], false, models.Conflict, "has a new one"},
		{payload["worker 101"], true, models.Conflict, "has a new one"},
		{payload["worker 103"], false, models.Conflict, "already"},
		{"P000008X", false, models.Invalid, "check character"},
		{"J0XXXXX9", true, models.Invalid, ""},
		{"12.5", false, models.NotFound, "not one this yard has printed"},
		{"", false, models.Invalid, "nothing"},
		{notIssued(), false, models.NotFound, "not one this yard has printed"},
	} {
		before := version(t, s)
		if _, err := s.RevokeCode(t.Context(), c.payload, c.issue, by); models.KindOf(err) != c.kind || !strings.Contains(err.Error(), c.want) {
			t.Errorf("RevokeCode(%q, %v) gave %v, want %s %q", c.payload, c.issue, err, c.kind, c.want)
		}
		if version(t, s) != before {
			t.Errorf("RevokeCode(%q) failed and counted", c.payload)
		}
	}
	if done, err := s.RevokeCode(t.Context(), payload["worker 103"], true, by); err != nil || done.New == nil {
		t.Errorf("a new code, later: %+v, %v", done, err)
	}
}

// notIssued is a good payload that the yard has not printed.
func notIssued() string {
	_, payload := labels.NextSerial(labels.Job, "XXXX00")
	return payload
}

func snapshot(t testing.TB, s *models.Store) (snap *models.Snapshot) {
	t.Helper()
	err := s.Read(t.Context(), func(tx *models.Tx) (err error) {
		snap, err = tx.Snapshot(t.Context())
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return snap
}
