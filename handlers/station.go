package handlers

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"slices"
	"strings"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

const (
	stationPath       = "/station"
	stationWorkerPath = "/station-worker.js"
)

// stationPage is the shell of a station: no word in it depends on who asks.
func (s *Server) stationPage(v *Visit) error {
	var b bytes.Buffer
	if err := s.pages.byName["station.html"].ExecuteTemplate(&b, "station.html", s.pages.languages); err != nil {
		return err
	}
	v.Header("Cache-Control", "no-cache")
	v.Data(http.StatusOK, "text/html; charset=utf-8", b.Bytes())
	return nil
}

// stationFiles are the addresses that the page needs to start without a network.
func (p *pages) stationFiles() []string {
	files := []string{stationPath, storesPath, "/static/hull.svg"}
	for name := range p.hashes {
		if strings.HasPrefix(name, "station/") || strings.HasPrefix(name, "stores/") {
			files = append(files, "/static/"+name)
		}
	}
	for _, l := range p.languages {
		files = append(files, "/lang/"+l.Code)
	}
	slices.Sort(files)
	return files
}

// stationWorker is the service worker: a list of files with a name that changes
// with any of them, before a script that never does.
func (s *Server) stationWorker(v *Visit) error {
	script, err := staticFiles.ReadFile("static/station-worker.js")
	if err != nil {
		return err
	}
	var page bytes.Buffer
	for _, name := range []string{"station.html", "stores.html"} {
		if err := s.pages.byName[name].ExecuteTemplate(&page, name, s.pages.languages); err != nil {
			return err
		}
	}
	sum := sha256.New()
	sum.Write(script)
	sum.Write(page.Bytes())
	files := s.pages.stationFiles()
	for _, f := range files {
		sum.Write([]byte(f + s.pages.hashes[strings.TrimPrefix(f, "/static/")]))
	}
	for _, l := range s.pages.languages {
		sum.Write(l.text)
	}
	list, err := json.Marshal(files)
	if err != nil {
		return err
	}
	v.Header("Cache-Control", "no-cache")
	v.Data(http.StatusOK, "text/javascript; charset=utf-8",
		[]byte("const NAME = \"station-"+hex.EncodeToString(sum.Sum(nil)[:6])+"\";\nconst FILES = "+string(list)+";\n"+string(script)))
	return nil
}

// thisStation tells a station about itself.
func (s *Server) thisStation(v *Visit) error {
	return s.store.Read(v.Request.Context(), func(tx *models.Tx) error {
		snap, err := tx.LoadedSnapshot(v.Request.Context())
		if err != nil {
			return err
		}
		y := snap.Yard
		st := y.Stations[v.Caller.Station]
		if st == nil {
			return models.Errorf(models.NotFound, "the station of this key is no longer in the yard: tell the office")
		}
		cards := []object{}
		for _, c := range snap.Cards(string(clock.Problem)) {
			cards = append(cards, object{"kind": c.Kind, "key": c.Key, "payload": c.Payload})
		}
		gap := y.Policy.ScanGap.Or(costing.DateOf(costing.InstantOf(s.now()), y.Zone), costing.DefaultScanGap)
		v.JSON(http.StatusOK, object{
			"station": st.Key, "name": st.Name, "kind": string(st.Kind), "place": st.Place, "scan_gap": int64(gap.Seconds()),
			"cards": cards,
		})
		return nil
	})
}

// onFloorRow is a line of who is on what.
type onFloorRow struct {
	Worker  string `json:"worker"`
	Name    string `json:"name"`
	Kind    string `json:"kind"`
	Key     string `json:"key"`
	Doing   string `json:"doing"`
	Station string `json:"station"`
	Since   string `json:"since"`
}

// stationFloor tells a station who is on what.
func (s *Server) stationFloor(v *Visit) error {
	now := costing.InstantOf(s.now())
	list, err := s.store.OnFloor(v.Request.Context(), v.Caller.Station, now)
	if err != nil {
		return err
	}
	rows := make([]onFloorRow, len(list))
	for i, o := range list {
		rows[i] = onFloorRow{o.Worker, o.Name, string(o.Kind), o.Key, o.Doing, o.Station, o.Since.String()}
	}
	v.Header(timeHeader, now.String())
	v.JSON(http.StatusOK, object{"at": now.String(), "rows": rows})
	return nil
}
