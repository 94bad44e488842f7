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
	var jobs strings.Builder
	jobs.WriteString("job,hull,stage,part,purpose,waste_factor\n")
	for i := range rows {
		fmt.Fprintf(&jobs, "M%06d,H1,LAM,part %d,build,0.%d\n", i, i%700, i%90+10)
	}
	dir := folder{"jobs.csv": jobs.String()}.write(t)
	begun := time.Now()
	report := load(t, s, dir)
	first := time.Since(begun)
	if report.Files["jobs.csv"].Added != rows || report.Issued != rows {
		t.Errorf("the load gave %+v and %d codes", report.Files["jobs.csv"], report.Issued)
	}
	begun = time.Now()
	if again := load(t, s, dir); again.Files["jobs.csv"].Unchanged != rows {
		t.Errorf("the second load gave %+v", again.Files["jobs.csv"])
	}
	t.Logf("%d jobs with their codes and history in %v, the same again in %v", rows, first, time.Since(begun))
}
