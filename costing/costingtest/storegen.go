package costingtest

import (
	"slices"
	"time"
)

// storing makes what the stores see: issues, returns, waste, scrap, slips.
func (y *Yard) storing(book codebook) []wish {
	list := []wish{}
	for day := range y.days {
		for range 2 + y.r.IntN(5) {
			at := y.second(day, "05:00") + int64(y.r.IntN(70000))
			station := y.one("S1", "S1", "S1", "G2")
			list = append(list, wish{at, station, y.errand(book, station, at), station == "G2"})
		}
	}
	return list
}

func (y *Yard) errand(book codebook, station string, at int64) []string {
	y.now = at
	s := []string{}
	if station == "S1" && y.chance(50) {
		s = append(s, book["worker "+pick(y, y.workers)["number"]])
	}
	switch {
	case y.chance(7) && station == "S1":
		return append(s, book["scrap"], book[y.lotCard()], y.decimal(1, 3, 1))
	case y.chance(4):
		return []string{book["cancel"], book[y.lotCard()], "3.5"} // no job: refused
	case y.chance(4):
		return []string{book["cancel"], book["return"], book["waste"], "2"}
	case y.chance(4) && station == "S1":
		return append(s, book["job J4"], book["crew A"], book[y.lotCard()], "1.375", book["job J5"], book[y.lotCard()], "2.375")
	case y.chance(4) && station == "S1":
		return append(s, book["job J4"], book["done"], book["off"], book["indirect WAIT"], book[y.lotCard()], "3.375")
	case y.chance(4) && station == "S1":
		return append(s, book["job J4"], book[y.lotCard()], book["scrap"], "4.375", book[y.lotCard()], "0.375")
	case y.chance(4):
		return append(s, book["job J4"], book[y.lotCard()], "5.375", book["undo"], "5.125")
	}
	s = append(append(s, book["job "+pick(y, y.jobs)["job"]]), y.issues(book)...)
	if y.chance(25) {
		s = append(s, book["return"], book[y.lotCard()], y.decimal(1, 4, 2))
	}
	if y.chance(25) {
		s = append(s, book["waste"], book[y.lotCard()], y.decimal(1, 3, 2))
	}
	switch {
	case y.chance(8):
		s = append(s, book["undo"])
	case y.chance(8):
		s = append(s, book["job "+pick(y, y.jobs)["job"]], book[y.lotCard()], y.decimal(1, 5, 1))
	case y.chance(5):
		s = append(s, book["cancel"], book[y.lotCard()], "4")
	}
	return s
}

// issues is one to three lots with their quantities.
func (y *Yard) issues(book codebook) []string {
	s := []string{}
	for range 1 + y.r.IntN(3) {
		card := y.lotCard()
		s = append(s, book[card])
		if y.chance(5) {
			s = append(s, "7HUR") // no such conversion: refused, the lot stands
		}
		s = append(s, y.decimal(1, 8, y.r.IntN(4))+y.unit(card))
	}
	return s
}

// lotCard picks a lot that has been received by then.
func (y *Yard) lotCard() string {
	if y.chance(3) {
		return "lot " + pick(y, y.lots)["lot"] // scanned before it was booked in, perhaps
	}
	here := slices.DeleteFunc(slices.Clone(y.lots), func(l Row) bool {
		return l["received"] >= time.Unix(y.now-600, 0).UTC().Format(time.RFC3339)
	})
	return "lot " + pick(y, here)["lot"]
}

// unit sometimes names a unit the item can be converted from.
func (y *Yard) unit(card string) string {
	if y.chance(60) {
		return ""
	}
	for _, l := range y.lots {
		if "lot "+l["lot"] != card {
			continue
		}
		switch l["item"] {
		case "CLOTH":
			return "MTR"
		case "CORE":
			return "C62"
		case "RESIN", "HARD":
			return "LTR"
		}
	}
	return ""
}
