package stationtest

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"hulltally/models"
	"hulltally/models/conformance"
)

// A station answers in the language of whoever's badge was scanned, until the
// sentence is over; the next badge may be anybody's. Without the network it
// does so for badges it has seen.
func TestBadgeLanguage(t *testing.T) {
	y := newYard(t)
	_, err := y.store.Enter(t.Context(), map[string][]byte{
		"workers.csv": []byte("number,name,grade,crew,shift,signs_off,language\n102,Tomé Arrais,laminator,C1,day,no,PL\n"),
	}, models.LoadOptions{Now: conformance.Now, Who: "test"})
	require.NoError(t, err)
	polish, english := y.words("pl"), y.words("en")
	require.NotEqual(t, english.Answers["clocked_on"]["word"], polish.Answers["clocked_on"]["word"])
	p := y.station(t, browser(t), "GATE", faults)
	says := func(language, code string, w words) {
		t.Helper()
		p.until(fmt.Sprintf(`document.getElementById("word").textContent === %q && document.getElementById("call").lang === %q`, w.Answers[code]["word"], language))
	}
	p.scan(ilse, 5*time.Millisecond)
	says("en", "worker", english)
	p.scan(tome, 5*time.Millisecond)
	says("pl", "worker", polish)
	p.scan(job1, 5*time.Millisecond)
	says("pl", "clocked_on", polish)
	p.scan(ilse, 5*time.Millisecond)
	says("en", "worker", english)
	y.away.Store(true)
	p.scan(tome, 5*time.Millisecond)
	says("pl", "kept", polish)
	y.away.Store(false)
}
