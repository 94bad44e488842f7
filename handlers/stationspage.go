package handlers

import (
	"net/http"

	"hulltally/models"
)

// stationsData is what the page of stations and keys shows.
type stationsData struct {
	Stations []stationKeys
	Code     *shownCode
	Wrong    string
	Minutes  int
	Days     int // that the clocks are looked at
}

// stationKeys is a station with its keys in force and how many were revoked.
type stationKeys struct {
	models.StationRow
	Keys    []models.StationKeyRow
	Revoked int
	Clock   *clockTold // nil: it sent nothing of late
}

// shownCode is an enrolment code, shown once.
type shownCode struct{ Station, Code string }

// stationsPage lists the stations and their keys.
func (s *Server) stationsPage(v *Visit) error {
	return s.showStations(v, http.StatusOK, stationsData{})
}

func (s *Server) showStations(v *Visit, status int, data stationsData) error {
	ctx := v.Request.Context()
	stations, err := s.store.Stations(ctx)
	if err != nil {
		return err
	}
	keys, err := s.store.StationKeys(ctx)
	if err != nil {
		return err
	}
	clocks, err := s.clocksTold(v)
	if err != nil {
		return err
	}
	data.Days = clockDays
	for _, st := range stations {
		row := stationKeys{StationRow: st, Clock: clocks[st.Station]}
		for _, k := range keys {
			switch {
			case k.Station != st.Station:
			case k.Revoked():
				row.Revoked++
			default:
				row.Keys = append(row.Keys, k)
			}
		}
		data.Stations = append(data.Stations, row)
	}
	data.Minutes = int(models.EnrolCodeLasts.Minutes())
	return v.pageAs(status, "stations.html", "Stations", data)
}

// makeEnrolCode shows a short-lived code to type into a station.
func (s *Server) makeEnrolCode(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	station := v.Form("station")
	code, err := s.store.NewEnrolCode(v.Request.Context(), station, s.deed(v))
	if err != nil {
		return s.stationsFault(v, err)
	}
	half := len(code) / 2
	return s.showStations(v, http.StatusOK, stationsData{Code: &shownCode{station, code[:half] + "-" + code[half:]}})
}

// revokeKey ends a station's key at once.
func (s *Server) revokeKey(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	if err := s.store.RevokeKey(v.Request.Context(), v.Form("key"), s.deed(v)); err != nil {
		return s.stationsFault(v, err)
	}
	s.keys.forget()
	v.Flash("The key is revoked. What the station still holds can be sent once it is enrolled again.")
	return v.Redirect("/stations")
}

func (s *Server) stationsFault(v *Visit, err error) error {
	wrong, fault := formFault(err)
	if fault != nil {
		return fault
	}
	return s.showStations(v, statusOf(models.KindOf(err)), stationsData{Wrong: wrong})
}
