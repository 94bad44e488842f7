package handlers

import (
	"strconv"
	"strings"

	"hulltally/models"
)

// stagesListPage is the yard's stages with those usually done before them, or
// the ready list where there are none.
func (s *Server) stagesListPage(v *Visit) error {
	return s.owned(v, func(g *ground) (*ownedPage, error) {
		stages, err := g.tx.Stages(g.ctx)
		if err != nil {
			return nil, err
		}
		d := map[string]any{"Stages": stages, "May": mayEstimate(v), "Next": 10}
		if len(stages) == 0 {
			d["Ready"] = models.ReadyStages
		} else {
			d["Next"] = stages[len(stages)-1].Order + 10
		}
		return &ownedPage{"stages.html", "Stages", d}, nil
	})
}

// enterReadyStages enters the ready list into a yard without stages.
func (s *Server) enterReadyStages(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	if err := s.store.EnterReadyStages(v.Request.Context(), s.entering(v, "", "", "")); err != nil {
		return s.sendBack(v, err, "/stages")
	}
	v.Flash("The ready list is entered: change it as your yard works.")
	return v.Redirect("/stages")
}

// enterStage enters a stage, new or changed.
func (s *Server) enterStage(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	order, err := strconv.Atoi(strings.TrimSpace(v.Form("order")))
	if err != nil {
		return s.sendBack(v, models.Errorf(models.Invalid, "order: %.20q is not a whole number", v.Form("order")), "/stages")
	}
	key := strings.TrimSpace(v.Form("stage"))
	after := strings.NewReplacer(" ", "", ",", ";").Replace(v.Form("after"))
	files, err := models.FilesOf(models.StageRow{Stage: key, Name: strings.TrimSpace(v.Form("name")), Order: order}, models.PredecessorRow{Stage: key, After: after})
	if err == nil {
		_, err = s.store.Enter(v.Request.Context(), files, s.entering(v, "changed the stages", key, ""))
	}
	if err != nil {
		return s.sendBack(v, err, "/stages")
	}
	v.Flash("Entered: stage %s.", key)
	return v.Redirect("/stages")
}
