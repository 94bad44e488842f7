package handlers

import "encoding/json"

type operation struct{}

var readsOperation, enrolOperation, stationOperation, reportOperation, openAPIOperation = &operation{}, &operation{}, &operation{}, &operation{}, &operation{}

func describe([]Route) ([]byte, error) { return json.Marshal(map[string]any{}) }

func (s *Server) openAPI(v *Visit) error {
	v.Data(200, "application/json", s.openapi)
	return nil
}
