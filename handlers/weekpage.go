package handlers

import "hulltally/labels"

// weekPage is one worker's week, for those who see what a person earns.
func (s *Server) weekPage(v *Visit) error { return s.owned(v, weekPage) }

func weekPage(g *ground) (*ownedPage, error) {
	monday, err := parseWeek(g.visit.Param("week"))
	if err != nil {
		return nil, err
	}
	key := g.visit.Param("worker")
	pieces, err := g.tx.WorkerWeek(g.figures, key, monday)
	if err != nil {
		return nil, err
	}
	return &ownedPage{"week.html", g.worker(key, true) + ", " + monday.Week(), map[string]any{
		"AsOf": g.asOf(), "Board": g.link("/board"), "Worker": g.worker(key, true), "Number": key, "Week": monday.Week(),
		"From": monday.String(), "Until": (monday + 6).String(), "Table": g.piecesTable(pieces, true),
		"Record": g.visit.toRecord(key),
		"Print":  g.visit.toPrint(labels.SheetBadges, "key", key),
	}}, nil
}
