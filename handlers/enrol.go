package handlers

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"net/http"

	"hulltally/models"
)

// enrol gives a station its key for a short-lived code. The key is in this
// answer and nowhere else.
func (s *Server) enrol(v *Visit) error {
	if !isJSON(v.ContentType()) {
		return errMediaType
	}
	body, err := io.ReadAll(v.Request.Body)
	if err != nil {
		return bodyError(err)
	}
	var ask struct {
		Code string `json:"code"`
	}
	dec := json.NewDecoder(bytes.NewReader(body))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&ask); err != nil || dec.More() {
		return models.Errorf(models.Invalid, `the body is not an object with a code, such as {"code":"ABCD-2345"}`)
	}
	key, row, err := s.store.Enrol(v.Request.Context(), ask.Code, s.deed(v))
	if err != nil {
		return err
	}
	v.JSON(http.StatusOK, map[string]string{"station": row.Station, "key": key})
	return nil
}

// bodyError tells a body that is too large from one that broke off.
func bodyError(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return err
	}
	return models.Errorf(models.Invalid, "the body broke off: send it again")
}
