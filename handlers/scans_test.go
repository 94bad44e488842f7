package handlers

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"

	"hulltally/costing"
	"hulltally/models"
	"hulltally/models/conformance"
	"hulltally/models/scantest"
)

// TestScansOverHTTP plays every scan script through the server: each station
// sends what it read with a key of its own.
func TestScansOverHTTP(t *testing.T) {
	later := time.UnixMilli(1_900_000_000_000)
	scantest.Run(t, conformance.SQLite, func(t *testing.T, s *models.Store) scantest.Rig {
		server, err := New(Options{Store: s, Now: func() time.Time { return later }, ReadsPerSecond: -1})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(server.Close)
		return scantest.Through(s, func(ctx context.Context, reads []models.ReadRow) error {
			byStation := map[string][]models.ReadRow{}
			for _, r := range reads {
				byStation[r.Station] = append(byStation[r.Station], r)
			}
			for station, list := range byStation {
				key, _, err := s.NewStationKey(ctx, station, models.Deed{Who: "script", At: costing.InstantOf(later)})
				if models.KindOf(err) == models.NotFound { // such a station has no key: its reads can only come as a file
					if _, err := s.Scan(ctx, list, costing.InstantOf(later), nil); err != nil {
						return err
					}
					continue
				}
				if err != nil {
					return err
				}
				if err := postReads(ctx, server, key, list); err != nil {
					return fmt.Errorf("station %s: %w", station, err)
				}
			}
			return nil
		})
	})
}

// postReads sends reads the way a station does.
func postReads(ctx context.Context, server *Server, key string, reads []models.ReadRow) error {
	type read struct {
		ID      string `json:"id"`
		N       int64  `json:"n"`
		At      string `json:"at"`
		Payload string `json:"payload"`
	}
	var body []read
	for _, r := range reads {
		body = append(body, read{r.ID, r.N, r.At.String(), r.Payload})
	}
	text, err := json.Marshal(body)
	if err != nil {
		return err
	}
	q := httptest.NewRequestWithContext(ctx, http.MethodPost, "/api/reads", bytes.NewReader(text))
	q.Header.Set("Authorization", "Bearer "+key)
	q.Header.Set("Content-Type", "application/json")
	w := httptest.NewRecorder()
	server.Handler().ServeHTTP(w, q)
	var answers []readAnswer
	if w.Code != http.StatusOK {
		return fmt.Errorf("the server answered %d: %s", w.Code, w.Body)
	}
	if err := json.Unmarshal(w.Body.Bytes(), &answers); err != nil || len(answers) != len(reads) {
		return fmt.Errorf("%d answers to %d reads: %w", len(answers), len(reads), err)
	}
	return nil
}
