package handlers

import (
	"io"
	"net/http"
	"strings"

	"hulltally/models"
)

// readAnswer is what a station is told about a read.
type readAnswer struct {
	ID      string   `json:"id"`
	Outcome string   `json:"outcome"`
	Code    string   `json:"code"`
	Say     string   `json:"say"`
	Needs   []string `json:"needs"`
	Heard   heard    `json:"heard"`
	// Hold warns that the job should still have waited.
	Hold *holdAnswer `json:"hold,omitempty"`
}

// holdAnswer is what the job that was clocked on to should have waited for.
type holdAnswer struct {
	Kind  string `json:"kind"`
	Job   string `json:"job"`
	About string `json:"about"`
	Begun bool   `json:"begun"`
	Until string `json:"until,omitempty"`
	Left  int64  `json:"left"`
}

// heard is what the read was, for a screen in another language.
type heard struct {
	Kind  string `json:"kind"`
	Key   string `json:"key,omitempty"`
	Name  string `json:"name"`
	About string `json:"about,omitempty"`
	Unit  string `json:"unit,omitempty"`
	// Language is what the worker of a badge is spoken to in.
	Language string `json:"language,omitempty"`
}

func answerOf(a *models.Answer) readAnswer {
	out := readAnswer{a.ID, string(a.Outcome), a.Code, a.Say, a.Needs, heard(a.Heard), nil}
	if w := a.Wait; w != nil {
		out.Hold = &holdAnswer{Kind: w.Kind, Job: w.Job, About: w.About, Begun: w.Begun, Left: w.Left}
		if w.Begun {
			out.Hold.Until = w.Until.String()
		}
	}
	if out.Needs == nil {
		out.Needs = []string{}
	}
	return out
}

// takeReads takes reads in. It answers once they are durable.
func (s *Server) takeReads(v *Visit) error {
	if !isJSON(v.ContentType()) {
		return errMediaType
	}
	body, err := io.ReadAll(v.Request.Body)
	if err != nil {
		return bodyError(err)
	}
	reads, one, err := parseReads(body, v.Caller.Station)
	if err != nil {
		return err
	}
	look, err := s.compareClocks(v, reads)
	if err != nil {
		return err
	}
	answers, err := s.intake.TakeFrom(v.Request.Context(), reads, look)
	if err != nil {
		return err
	}
	if one {
		v.JSON(http.StatusOK, answerOf(&answers[0]))
		return nil
	}
	list := make([]readAnswer, len(answers))
	for i := range answers {
		list[i] = answerOf(&answers[i])
	}
	v.JSON(http.StatusOK, list)
	return nil
}

// isJSON takes a body without a type as JSON: small senders give none.
func isJSON(contentType string) bool {
	return contentType == "" || contentType == "application/json" || strings.HasSuffix(contentType, "+json")
}
