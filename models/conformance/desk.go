package conformance

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

const (
	tinyJob1 = "J0000019"
	tinyLot1 = "L000001C"
)

// payloadOf is the code in force of a thing.
func payloadOf(t testing.TB, s *models.Store, kind, key string) string {
	t.Helper()
	for _, c := range codesOf(t, s) {
		if c.Kind == kind && c.Key == key && c.RevokedMs == nil {
			return c.Payload
		}
	}
	t.Fatalf("there is no code of %s %s", kind, key)
	return ""
}

// issue sends payloads from the stores, a second apart.
func issueAt(t testing.TB, s *models.Store, at costing.Instant, payloads ...string) costing.Instant {
	t.Helper()
	var reads []models.ReadRow
	for i, p := range payloads {
		at += 1000
		reads = append(reads, models.ReadRow{ID: testID(int64(at)), Station: "STORE", N: int64(at) + int64(i), At: at, Payload: p})
	}
	_, err := s.Scan(t.Context(), reads, at, nil)
	require.NoError(t, err)
	return at
}

func testID(n int64) string {
	digits := "000000000000" + costing.FormatDecimal(n*costing.Million)
	return "7a1c2a34-0b5d-4e6f-8a90-" + digits[len(digits)-12:]
}

// testDesk: what the stores' desk shows is what the books say.
func testDesk(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	at := mustInstant("2026-03-10T10:00:00Z")
	resin, hard := payloadOf(t, s, "lot", "L2"), payloadOf(t, s, "lot", "L3")
	back, waste := payloadOf(t, s, "return", ""), payloadOf(t, s, "waste", "")
	at = issueAt(t, s, at, tinyJob1, resin, "100", hard, "28.5", tinyLot1, "10MTR", back, tinyLot1, "2", waste, tinyLot1, "0.5")
	tape := payloadOf(t, s, "lot", "L6")
	at = issueAt(t, s, at, tinyJob1, tape, "3")

	require.NoError(t, s.Read(t.Context(), func(tx *models.Tx) error {
		job, err := tx.DeskJobOf(t.Context(), tinyJob1, at)
		require.NoError(t, err)
		var got []string
		for _, l := range job.Lines {
			got = append(got, strings.Join([]string{l.Item.Key, l.Expected.String(), l.Issued.String(), l.Left().String(), l.Wasted.String()}, " "))
		}
		// 190 m² and 12 %; 12.5 m of 1.27 m were issued before, 10 m now, 2 m² came back. The job's own factor, 18 %, is that of all that is read net.
		assert.Equal(t, []string{
			"BIAX 212.8 26.575 186.225 0.5", "HARD 62.328 33.63 28.698 0", "RES 222.6 118 104.6 0", "TAPE 0 3.54 -3.54 0",
		}, got)
		assert.Equal(t, []bool{true, true, true, false}, []bool{job.Lines[0].Planned, job.Lines[1].Planned, job.Lines[2].Planned, job.Lines[3].Planned})
		assert.Equal(t, "H1", job.Hulls)

		shelf, err := tx.Shelf(t.Context(), at)
		require.NoError(t, err)
		left := map[string]string{}
		for _, l := range shelf.Lots {
			left[l.Key] = l.Remaining.String() + " " + l.Place
		}
		assert.Equal(t, "100.425 Rack A2", left["L1"]) // 127 − 15.875 − 12.7 + 2
		assert.Equal(t, "330 Resin room", left["L2"])
		for _, it := range shelf.Items {
			switch it.Key {
			case "BIAX":
				assert.Equal(t, []costing.Unit{costing.SquareMetre, costing.Metre}, it.Units)
			case "RES":
				assert.Equal(t, []costing.Unit{costing.Kilogram, costing.Litre}, it.Units)
			case "CORE":
				assert.Equal(t, []costing.Unit{costing.SquareMetre, costing.Each}, it.Units)
			}
		}
		assert.Equal(t, back, shelf.Cards[clock.Return])

		found, err := tx.DeskFind(t.Context(), "resin", 10)
		require.NoError(t, err)
		require.Len(t, found, 1)
		assert.Equal(t, "L2", found[0].Key)
		_, err = tx.DeskJobOf(t.Context(), tinyLot1, at)
		assert.Equal(t, models.NotFound, models.KindOf(err))

		deeds, err := tx.DeskDay(t.Context(), "STORE", at, 50)
		require.NoError(t, err)
		require.Len(t, deeds, 6)
		assert.Equal(t, []any{clock.Issue, "L6", "3"}, []any{deeds[0].Kind, deeds[0].Lot, deeds[0].Quantity.String()})
		return nil
	}))
}

// testReasons: a lot past its date is issued, and asks for a reason until one is given.
func testReasons(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	resin := payloadOf(t, s, "lot", "L2") // good until 11 February 2027
	last := mustInstant("2027-02-11T15:00:00Z")
	issueAt(t, s, last, tinyJob1, resin, "5")
	at := issueAt(t, s, last+86_400_000, tinyJob1, resin, "4")
	open1 := func() (needs []string) {
		require.NoError(t, s.Read(t.Context(), func(tx *models.Tx) error {
			list, err := tx.Unexplained(t.Context(), last, at+1)
			for _, u := range list {
				needs = append(needs, u.Needs+" "+u.Entry.Lot+" "+u.Entry.Quantity.String())
			}
			return err
		}))
		return needs
	}
	assert.Equal(t, []string{"expired L2 4"}, open1())
	by := models.Deed{Who: "test", Source: "test", At: at}
	row := models.StockReasonRow{Station: "STORE", At: at, Lot: "L2", Kind: models.ReasonExpired, Reason: "gel test passed", Who: "101"}
	require.NoError(t, s.GiveReason(t.Context(), row, by))
	require.NoError(t, s.GiveReason(t.Context(), row, by)) // sent again
	assert.Empty(t, open1())
	assert.Contains(t, dump(t, s)["stock_reasons.csv"], ",L2,expired,gel test passed,101")
	checked(t, "reasons", s)
	row.Kind = "mood"
	require.Error(t, s.GiveReason(t.Context(), row, by))
}

// testCount: a count far from the book is asked for twice, and then stands.
func testCount(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	by := models.Deed{Who: "test", Source: "test", At: mustInstant("2026-04-02T10:00:00Z")}
	film := payloadOf(t, s, "lot", "L5") // 400 m², two metres wide
	ask := models.CountAsk{Payload: film, At: by.At, Found: costing.Measure{Value: 195 * costing.Million, Unit: costing.Metre}, Place: "Rack B", Who: "101"}
	a, err := s.Count(t.Context(), ask, by) // 390: within five in a hundred
	require.NoError(t, err)
	assert.Equal(t, models.CountAnswer{Lot: "L5"}, a)
	ask.At += 60_000
	ask.Found = costing.Measure{Value: 300 * costing.Million}
	a, err = s.Count(t.Context(), ask, by)
	require.NoError(t, err)
	assert.True(t, a.Again)
	assert.NotContains(t, dump(t, s)["counts.csv"], ",300")
	first := ask.Found
	ask.At, ask.First, ask.Found.Value = ask.At+60_000, &first, 301*costing.Million
	a, err = s.Count(t.Context(), ask, by)
	require.NoError(t, err)
	assert.False(t, a.Again)
	assert.Contains(t, dump(t, s)["counts.csv"], "L5,2026-04-02T10:02:00Z,301")
	assert.Contains(t, lastNote(t, s).Detail, "counted twice: 300 first")
	require.NoError(t, s.Read(t.Context(), func(tx *models.Tx) error {
		lot, _, err := tx.DeskLotOf(t.Context(), film, ask.At)
		assert.Equal(t, "301 Rack B", lot.Remaining.String()+" "+lot.Place)
		return err
	}))
	// A count of an earlier instant is held against the book as it was then.
	ask.At, ask.First, ask.Found.Value = by.At-1000, nil, 400*costing.Million
	a, err = s.Count(t.Context(), ask, by)
	require.NoError(t, err)
	assert.False(t, a.Again)
	ask.Payload = tinyJob1
	_, err = s.Count(t.Context(), ask, by)
	assert.Equal(t, models.NotFound, models.KindOf(err))
	checked(t, "counted", s)
}

// testTakeIn: a lot that comes in at the hatch has a label, stands at the
// standard price, and is made once.
func testTakeIn(t *testing.T, open func(t testing.TB) *models.Store) {
	s := open(t)
	load(t, s, Tiny())
	by := models.Deed{Who: "test", Source: "test", At: mustInstant("2026-04-02T10:00:00Z")}
	in := models.GoodsIn{
		Item: "RES", Received: by.At, Quantity: costing.Measure{Value: 25 * costing.Million, Unit: costing.Litre}, Expires: "2027-03-01",
		Batch: "R-8010", GTIN: "4012345678901", Place: "Resin room",
	}
	got, err := s.TakeIn(t.Context(), in, by)
	require.NoError(t, err)
	assert.Equal(t, models.TakenIn{Lot: "RES-260402-1", Payload: payloadOf(t, s, "lot", "RES-260402-1")}, got)
	again, err := s.TakeIn(t.Context(), in, by)
	require.NoError(t, err)
	got.Known = true
	assert.Equal(t, got, again)
	in.Received++
	next, err := s.TakeIn(t.Context(), in, by)
	require.NoError(t, err)
	assert.Equal(t, "RES-260402-2", next.Lot)
	// 25 l of 1.12 kg a litre at 5.10 a kilogram.
	assert.Contains(t, dump(t, s)["lots.csv"], "RES-260402-1,RES,2026-04-02T10:00:00Z,25,LTR,142.8,,,,2027-03-01,R-8010,yes")
	assert.True(t, yardOf(t, s).Lots["RES-260402-1"].AwaitsInvoice)
	require.NoError(t, s.Read(t.Context(), func(tx *models.Tx) error {
		item, err := tx.ItemOfGTIN(t.Context(), "04012345678901")
		assert.Equal(t, "RES", item)
		return err
	}))
	for _, bad := range []func(g *models.GoodsIn){
		func(g *models.GoodsIn) { g.Item = "NONE" },
		func(g *models.GoodsIn) { g.Quantity = costing.Measure{Value: 5, Unit: costing.Metre} },
		func(g *models.GoodsIn) { g.Quantity.Value = 0 },
		func(g *models.GoodsIn) { g.GTIN = "4012345678902" },
		func(g *models.GoodsIn) { g.Expires = "soon" },
	} {
		g := in
		g.Received += 2
		bad(&g)
		_, err := s.TakeIn(t.Context(), g, by)
		require.NotEmpty(t, models.KindOf(err), "%+v gave %v", g, err)
	}
	checked(t, "taken in", s)
}
