package conformance

import (
	"bytes"
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"hulltally/costing"
	"hulltally/models"
)

// RunAccess puts what is kept of people, keys, sessions and the logbook to the
// suite.
func RunAccess(t *testing.T, open func(t testing.TB) *models.Store) {
	tests := []struct {
		name string
		run  func(t *testing.T, s *models.Store)
	}{
		{"people are added once", testPeople},
		{"an owner stays", testLastOwner},
		{"links work once", testLinks},
		{"sessions run out", testSessions},
		{"keys and codes", testStationKeys},
		{"two uses of one code", testCodeRace},
		{"the logbook shows tampering", testLogbook},
		{"the logbook is searched", testLogbookSearch},
		{"many write in the logbook", testLogbookRace},
		{"loads are noted", testLoadNoted},
		{"a read of another station", testForeignRead},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) { test.run(t, open(t)) })
	}
}

const somePassword = "seven brown keels"

var byTest = models.Deed{Who: "test", Source: "suite", At: Now}

func after(d time.Duration) models.Deed {
	return models.Deed{Who: "test", Source: "suite", At: Now + costing.Instant(d.Milliseconds())}
}

func addPerson(t *testing.T, s *models.Store, name string, role models.Role) {
	t.Helper()
	if _, err := s.AddPerson(t.Context(), models.NewPerson{Name: name, Role: role, Password: somePassword}, byTest); err != nil {
		t.Fatal(err)
	}
}

// wantKind fails unless an error is of a kind.
func wantKind(t *testing.T, what string, err error, want models.Kind) {
	t.Helper()
	if err == nil || models.KindOf(err) != want {
		t.Errorf("%s: %v is of kind %q, want %q", what, err, models.KindOf(err), want)
	}
}

func testPeople(t *testing.T, s *models.Store) {
	ctx := t.Context()
	addPerson(t, s, " Ada Ø ", models.Owner)
	_, err := s.AddPerson(ctx, models.NewPerson{Name: "ADA Ø", Role: models.Stores}, byTest)
	wantKind(t, "a name that differs in case", err, models.Conflict)
	for _, name := range []string{"", "  ", "a\x00b", "a\u202eb", "a\nb", "\xff", strings.Repeat("x", 61)} {
		_, err := s.AddPerson(ctx, models.NewPerson{Name: name, Role: models.Stores}, byTest)
		wantKind(t, name, err, models.Invalid)
	}
	for _, role := range []models.Role{"", models.Station, "admin"} {
		_, err := s.AddPerson(ctx, models.NewPerson{Name: "Bo", Role: role}, byTest)
		wantKind(t, string(role), err, models.Invalid)
	}
	p, err := s.Person(ctx, "ada ø")
	if err != nil || p == nil || p.Name != "Ada Ø" || strings.Contains(p.Password, somePassword) || !models.PasswordFits(somePassword, p.Password) {
		t.Fatalf("the person is %+v, %v", p, err)
	}
	if models.PasswordFits(somePassword+"x", p.Password) || models.PasswordFits("", models.NobodysHash) {
		t.Error("a wrong password fits")
	}
	for _, name := range []string{"nobody", "", "\x00", "\xff", strings.Repeat("y", 100_000)} {
		if p, err := s.Person(ctx, name); err != nil || p != nil {
			t.Errorf("%.20q found %+v, %v", name, p, err)
		}
	}
	if free, err := s.UseStep(ctx, "Ada Ø", 7); err != nil || !free {
		t.Errorf("a new time step: %t %v", free, err)
	}
	for _, step := range []int64{7, 6} {
		if free, err := s.UseStep(ctx, "Ada Ø", step); err != nil || free {
			t.Errorf("time step %d after 7: %t %v", step, free, err)
		}
	}
}

func testLastOwner(t *testing.T, s *models.Store) {
	ctx := t.Context()
	addPerson(t, s, "Ada", models.Owner)
	wantKind(t, "barring the last owner", s.Bar(ctx, "Ada", true, byTest), models.Conflict)
	wantKind(t, "another role for the last owner", s.SetRole(ctx, "Ada", models.Stores, byTest), models.Conflict)
	addPerson(t, s, "Bo", models.Owner)
	// Two owners who bar each other at once: one of them stays.
	var both sync.WaitGroup
	errs := make([]error, 2)
	for i, name := range []string{"Ada", "Bo"} {
		both.Go(func() { errs[i] = s.Bar(ctx, name, true, byTest) })
	}
	both.Wait()
	if (errs[0] == nil) == (errs[1] == nil) {
		t.Errorf("barring each other gave %v and %v", errs[0], errs[1])
	}
	if has, err := s.HasOwner(ctx); err != nil || !has {
		t.Errorf("there is an owner: %t %v", has, err)
	}
	wantKind(t, "nobody", s.Bar(ctx, "nobody", true, byTest), models.NotFound)
}

func testLinks(t *testing.T, s *models.Store) {
	ctx := t.Context()
	old, err := s.NewLink(ctx, "", byTest)
	if err != nil {
		t.Fatal(err)
	}
	link, err := s.NewLink(ctx, "", byTest)
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.UseLink(ctx, old, "Ada", somePassword, byTest)
	wantKind(t, "a link that was replaced", err, models.Denied)
	_, err = s.UseLink(ctx, link, "Ada", somePassword, after(models.LinkLasts))
	wantKind(t, "a link that is too old", err, models.Denied)
	_, err = s.UseLink(ctx, link, "Ada", "", byTest)
	wantKind(t, "no password", err, models.Invalid)
	if p, err := s.UseLink(ctx, link, "Ada", somePassword, byTest); err != nil || p.Role != models.Owner {
		t.Fatalf("setting up gave %+v, %v", p, err)
	}
	_, err = s.UseLink(ctx, link, "Eve", somePassword, byTest)
	wantKind(t, "the link again", err, models.Denied)
	if _, err := s.AddPerson(ctx, models.NewPerson{Name: "Bo", Role: models.Stores}, byTest); err != nil {
		t.Fatal(err)
	}
	link, err = s.NewLink(ctx, "bo", byTest)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Bar(ctx, "Bo", true, byTest); err != nil {
		t.Fatal(err)
	}
	_, err = s.UseLink(ctx, link, "", somePassword, byTest)
	wantKind(t, "a link of somebody barred", err, models.Denied)
	if err := s.Bar(ctx, "Bo", false, byTest); err != nil {
		t.Fatal(err)
	}
	p, err := s.UseLink(ctx, link, "Ada", somePassword, byTest)
	if err != nil || p.Name != "Bo" || p.Role != models.Stores {
		t.Errorf("the link made %+v, %v", p, err)
	}
}

func testSessions(t *testing.T, s *models.Store) {
	ctx, now := t.Context(), Now.Time()
	for i, data := range []string{"first", "second \x00\xff"} {
		if err := s.SaveSession(ctx, "hash", []byte(data), now.Add(time.Hour), now); err != nil {
			t.Fatal(err)
		}
		got, expires, found, err := s.FindSession(ctx, "hash", now)
		if err != nil || !found || !bytes.Equal(got, []byte(data)) || !expires.Equal(now.Add(time.Hour)) {
			t.Errorf("%d: found %q %v %t %v", i, got, expires, found, err)
		}
	}
	if _, _, found, err := s.FindSession(ctx, "hash", now.Add(time.Hour)); err != nil || found {
		t.Errorf("a session that ran out is found: %t %v", found, err)
	}
	if err := s.DropSession(ctx, "hash"); err != nil {
		t.Fatal(err)
	}
	if _, _, found, err := s.FindSession(ctx, "hash", now); err != nil || found {
		t.Errorf("a session that was dropped is found: %t %v", found, err)
	}
	if err := s.DropSession(ctx, "none"); err != nil {
		t.Error(err)
	}
}

func testStationKeys(t *testing.T, s *models.Store) {
	ctx := t.Context()
	load(t, s, Tiny())
	_, _, err := s.NewStationKey(ctx, "NOWHERE", byTest)
	wantKind(t, "a key for no station", err, models.NotFound)
	key, row, err := s.NewStationKey(ctx, "GATE", byTest)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := s.StationOf(ctx, key); err != nil || got == nil || got.Station != "GATE" || got.UsedMs != 0 {
		t.Errorf("the key is of %+v, %v", got, err)
	}
	for _, wrong := range []string{"", key + "x", row.Hash, row.ID, "ht_\x00", "ht_\xff"} {
		if got, err := s.StationOf(ctx, wrong); err != nil || got != nil {
			t.Errorf("%q is of %+v, %v", wrong, got, err)
		}
	}
	for _, at := range []costing.Instant{Now + 5, Now + 3} {
		if err := s.KeyUsed(ctx, row.ID, at); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := s.StationOf(ctx, key); err != nil || got.UsedMs != Now+5 {
		t.Errorf("the last use is %+v, %v", got, err)
	}
	for range 2 {
		if err := s.RevokeKey(ctx, row.ID, byTest); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := s.StationOf(ctx, key); err != nil || got != nil {
		t.Errorf("the revoked key is of %+v, %v", got, err)
	}
	code, err := s.NewEnrolCode(ctx, "GATE", byTest)
	if err != nil {
		t.Fatal(err)
	}
	_, _, err = s.Enrol(ctx, code, after(models.EnrolCodeLasts))
	wantKind(t, "a code too late", err, models.Denied)
	if _, row, err := s.Enrol(ctx, code, byTest); err != nil || row.Station != "GATE" {
		t.Errorf("enrolling gave %+v, %v", row, err)
	}
}

func testCodeRace(t *testing.T, s *models.Store) {
	load(t, s, Tiny())
	code, err := s.NewEnrolCode(t.Context(), "GATE", byTest)
	if err != nil {
		t.Fatal(err)
	}
	var all sync.WaitGroup
	errs := make([]error, 8)
	for i := range errs {
		all.Go(func() { _, _, errs[i] = s.Enrol(t.Context(), code, byTest) })
	}
	all.Wait()
	worked := 0
	for _, err := range errs {
		if err == nil {
			worked++
		} else if models.KindOf(err) != models.Denied {
			t.Error(err)
		}
	}
	if worked != 1 {
		t.Errorf("one code gave %d keys", worked)
	}
}

func testLogbook(t *testing.T, s *models.Store) {
	ctx := t.Context()
	var seals []models.Seal
	for range 5 {
		if err := s.Note(ctx, byTest, "did", "subject", "detail"); err != nil {
			t.Fatal(err)
		}
		seal, err := s.VerifyLogbook(ctx, models.Seal{})
		if err != nil {
			t.Fatal(err)
		}
		seals = append(seals, seal)
	}
	for _, seal := range seals {
		if _, err := s.VerifyLogbook(ctx, seal); err != nil {
			t.Errorf("an honest seal: %v", err)
		}
	}
	_, err := s.VerifyLogbook(ctx, models.Seal{Seq: 3, Seal: seals[1].Seal})
	wantKind(t, "a seal of another logbook", err, models.Conflict)
	_, err = s.VerifyLogbook(ctx, models.Seal{Seq: 9, Seal: "x"})
	wantKind(t, "a seal of more entries", err, models.Conflict)
	for _, tamper := range []string{
		"UPDATE logbook SET who = 'Eve' WHERE seq = 3", "UPDATE logbook SET at_ms = at_ms + 1 WHERE seq = 3",
		"UPDATE logbook SET subject = 'subjectd', detail = 'etail' WHERE seq = 3", "UPDATE logbook SET source = '' WHERE seq = 5",
		"DELETE FROM logbook WHERE seq = 1", "DELETE FROM logbook WHERE seq = 3", "DELETE FROM logbook WHERE seq = 5", "DELETE FROM logbook",
		"UPDATE logbook SET seq = 9 WHERE seq = 5", "UPDATE logbook SET seal = '' WHERE seq = 2",
		"INSERT INTO logbook (seq, at_ms, who, did, subject, detail, source, seal) SELECT 6, at_ms, who, did, subject, detail, source, seal FROM logbook WHERE seq = 5",
		"UPDATE logbook_head SET seq = 4", "UPDATE logbook_head SET seal = ''",
	} {
		undo := errors.New("undo")
		err := s.InTx(ctx, func(tx *models.Tx) error {
			if err := tx.DB.Exec(tamper).Error; err != nil {
				return err
			}
			_, err := tx.VerifyLogbook(models.Seal{})
			wantKind(t, tamper, err, models.Conflict)
			return undo
		})
		if !errors.Is(err, undo) {
			t.Errorf("%s: %v", tamper, err)
		}
	}
	if _, err := s.VerifyLogbook(ctx, seals[4]); err != nil {
		t.Error(err)
	}
}

func testLogbookSearch(t *testing.T, s *models.Store) {
	ctx := t.Context()
	for _, n := range [][2]string{{"Ada", "100% of it"}, {"Bo", `a_b \ c`}, {"Élan", "x"}, {"\xff\x00", strings.Repeat("é", 1900)}} {
		by := byTest
		by.Who = n[0]
		if err := s.Note(ctx, by, "did", "subject", n[1]); err != nil {
			t.Fatal(err)
		}
	}
	for words, want := range map[string]int{
		"": 4, "ADA": 1, "ada did": 1, "ada bo": 0, "%": 1, "_": 1, `\`: 1, "Élan": 1, "did": 4, "\x00": 1, "nothing": 0,
	} {
		rows, err := s.Logbook(ctx, models.LogbookAsk{Words: words, Limit: 10})
		if err != nil || len(rows) != want {
			t.Errorf("%q found %d, want %d: %v", words, len(rows), want, err)
		}
	}
	rows, err := s.Logbook(ctx, models.LogbookAsk{Before: 4, Limit: 2})
	if err != nil || len(rows) != 2 || rows[0].Seq != 3 {
		t.Errorf("before 4 there are %+v, %v", rows, err)
	}
	if _, err := s.VerifyLogbook(ctx, models.Seal{}); err != nil {
		t.Error(err)
	}
}

func testLogbookRace(t *testing.T, s *models.Store) {
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			for range 10 {
				if err := s.Note(t.Context(), byTest, "did", "subject", ""); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	if seal, err := s.VerifyLogbook(t.Context(), models.Seal{}); err != nil || seal.Seq != 80 {
		t.Errorf("the logbook ends at %d, %v", seal.Seq, err)
	}
}

func testLoadNoted(t *testing.T, s *models.Store) {
	load(t, s, Tiny())
	load(t, s, Tiny()) // changes nothing, and is not noted
	rows, err := s.Logbook(t.Context(), models.LogbookAsk{Words: "loaded rates.csv", Limit: 10})
	if err != nil || len(rows) != 1 || rows[0].Who != "test" || rows[0].Subject != "tiny" {
		t.Errorf("the loads are noted as %+v, %v", rows, err)
	}
}

func testForeignRead(t *testing.T, s *models.Store) {
	load(t, s, Tiny())
	in := models.NewIntake(s, func() time.Time { return Now.Time() })
	defer in.Close()
	read := models.ReadRow{ID: "6f1c2a34-0b5d-4e6f-8a90-00000000abcd", Station: "GATE", N: 1, At: Now, Payload: "P3F7K2E2"}
	first, err := in.Take(t.Context(), []models.ReadRow{read})
	if err != nil {
		t.Fatal(err)
	}
	read.Station, read.ID = "QUAY", strings.ToUpper(read.ID)
	other, err := in.Take(t.Context(), []models.ReadRow{read})
	if err != nil || other[0].Outcome != "refused" || other[0].Say == first[0].Say || len(other[0].Needs) > 0 {
		t.Errorf("the other station was told %+v, %v", other, err)
	}
}
