package handlers

import (
	"bytes"
	"net/http"
)

const storesPath = "/stores"

// storesPage is the shell of the stores' desk: no word in it depends on who
// asks. The station's key is kept in its browser, as on the station's page.
func (s *Server) storesPage(v *Visit) error {
	var b bytes.Buffer
	if err := s.pages.byName["stores.html"].ExecuteTemplate(&b, "stores.html", s.pages.languages); err != nil {
		return err
	}
	v.Header("Cache-Control", "no-cache")
	v.Data(http.StatusOK, "text/html; charset=utf-8", b.Bytes())
	return nil
}
