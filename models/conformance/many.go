package conformance

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"hulltally/models"
)

// testMany loads enough rows that anything done row by row shows.
func testMany(t *testing.T, open func(t testing.TB) *models.Store) {
	const rows = 100_000
	if testing.Short() {
		t.Skip("takes seconds")
	}
	s := open(t)
	load(t, s, Tiny())
	var lots strings.Builder
	lots.WriteString("lot,item,received,quantity,price\n")
	for i := range rows {
		fmt.Fprintf(&lots, "M%06d,FILM,2026-02-12T10:05:00Z,%d.5,%d.25\n", i, i%900+1, i%700)
	}
	dir := folder{"lots.csv": lots.String()}.write(t)
	begun := time.Now()
	report := load(t, s, dir)
	first := time.Since(begun)
	if report.Files["lots.csv"].Added != rows || report.Issued != rows {
		t.Errorf("the load gave %+v and %d codes", report.Files["lots.csv"], report.Issued)
	}
	begun = time.Now()
	if again := load(t, s, dir); again.Files["lots.csv"].Unchanged != rows {
		t.Errorf("the second load gave %+v", again.Files["lots.csv"])
	}
	t.Logf("%d lots with their codes and history in %v, the same again in %v", rows, first, time.Since(begun))
}
