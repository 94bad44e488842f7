package handlers

import (
	"strconv"
	"strings"

	"hulltally/costing"
	"hulltally/models"
)

// newChangeOrder enters a change order that somebody asked for.
func (s *Server) newChangeOrder(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	m := models.ChangeMove{
		Change: strings.TrimSpace(v.Form("change")), Hull: v.Form("hull"), Title: v.Form("title"), Status: "asked", Said: v.Form("said"), Why: v.Form("why"),
	}
	if m.Change == "" || m.Hull == "" {
		return s.sendBack(v, models.Errorf(models.Invalid, "give the change order a number and name its hull"), "/change-orders")
	}
	if err := s.store.MoveChange(v.Request.Context(), m, s.entering(v, "", "", "")); err != nil {
		return s.sendBack(v, err, "/change-orders")
	}
	v.Flash("Entered: %s, %s.", m.Change, m.Title)
	return v.Redirect(toChange(m.Change))
}

// moveChangeOrder takes a change order a step on.
func (s *Server) moveChangeOrder(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	m, err := changeMove(v)
	if err == nil {
		err = s.store.MoveChange(v.Request.Context(), m, s.entering(v, "", "", ""))
	}
	if err != nil {
		return s.sendBack(v, err, toChange(v.Param("change")))
	}
	v.Flash("%s is %s now.", m.Change, m.Status)
	return v.Redirect(toChange(m.Change))
}

func changeMove(v *Visit) (models.ChangeMove, error) {
	m := models.ChangeMove{Change: v.Param("change"), Status: v.Form("status"), Said: v.Form("said"), Why: v.Form("why")}
	price, err := readNumber(v.Form("price"))
	if err != nil {
		return m, models.Errorf(models.Invalid, "the price %v", err)
	}
	m.Price = models.Decimal(price)
	if days := v.Form("days"); days != "" {
		if m.Days, err = strconv.Atoi(days); err != nil {
			return m, models.Errorf(models.Invalid, "days later: %.20q is not a whole number", days)
		}
	}
	if m.Status == string(costing.Agreed) {
		if m.Agreed = models.Day(v.Form("agreed")); m.Agreed == "" {
			return m, models.Errorf(models.Invalid, "give the day on which it was agreed")
		}
	}
	return m, nil
}

// addOrderLine enters a cost line of a change order.
func (s *Server) addOrderLine(v *Visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	key := v.Param("change")
	line := typedLine{Job: v.Form("job"), Element: v.Form("element"), Key: strings.TrimSpace(v.Form("key")), Quantity: v.Form("quantity"), Waste: v.Form("waste"), Rate: v.Form("rate")}
	l, err := line.line()
	if err != nil {
		return s.sendBack(v, err, toChange(key))
	}
	row := models.EstimateRow{Job: l.Job, Change: key, Element: string(l.Element), Key: l.Key, Quantity: l.Quantity, StandardRate: l.Rate}
	if l.Waste != 0 {
		row.Waste = &l.Waste
	}
	files, err := models.FilesOf(row)
	if err == nil {
		_, err = s.store.Enter(v.Request.Context(), files, s.entering(v, "estimated a change order", key, l.Key))
	}
	if err != nil {
		return s.sendBack(v, err, toChange(key))
	}
	v.Flash("Entered: %s, %s.", l.Key, line.Quantity)
	return v.Redirect(toChange(key))
}
