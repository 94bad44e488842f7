package handlers

import (
	"context"
	"net/http"
	"strings"

	"hulltally/costing"
	"hulltally/costing/clock"
	"hulltally/models"
)

// What the stores' desk is told: by key to a stores station, by session to those
// who see the stores. Nothing in it tells a price: its types hold none.

type deskShelf struct {
	At    string            `json:"at"`
	Day   string            `json:"day"`
	Items []deskItem        `json:"items"`
	Lots  []deskLot         `json:"lots"`
	Cards map[string]string `json:"cards"`
}

type deskItem struct {
	Item     string   `json:"item"`
	Name     string   `json:"name"`
	Unit     string   `json:"unit"`
	Units    []string `json:"units"`
	Role     string   `json:"role"`
	Net      bool     `json:"net"` // read net: the factor leaves the lot on top
	Factor   string   `json:"factor"`
	Width    string   `json:"roll_width_m,omitempty"`
	Sheet    string   `json:"sheet_m2,omitempty"`
	Density  string   `json:"kg_per_litre,omitempty"`
	Hardener string   `json:"hardener,omitempty"`
	Parts    string   `json:"hardener_parts,omitempty"`
}

type deskLot struct {
	Lot       string `json:"lot"`
	Payload   string `json:"payload"`
	Item      string `json:"item"`
	Remaining string `json:"remaining"`
	Received  string `json:"received"`
	Expires   string `json:"expires,omitempty"`
	Batch     string `json:"batch,omitempty"`
	Place     string `json:"place,omitempty"`
}

type deskJob struct {
	Job     string     `json:"job"`
	Payload string     `json:"payload"`
	Hulls   string     `json:"hulls"`
	About   string     `json:"about"`
	Factor  string     `json:"factor,omitempty"` // the job's own, of what is read net
	Lines   []deskLine `json:"lines"`
}

type deskLine struct {
	Item     string `json:"item"`
	Name     string `json:"name"`
	Unit     string `json:"unit"`
	Planned  bool   `json:"planned"`
	Expected string `json:"expected"`
	Issued   string `json:"issued"`
	Left     string `json:"left"`
	Wasted   string `json:"wasted"`
}

func deskItemOf(d *models.DeskItem) deskItem {
	it := deskItem{
		Item: d.Key, Name: d.Name, Unit: string(d.StockUnit), Role: string(d.Role), Net: d.WasteMode == costing.Factored,
		Factor: costing.FormatDecimal(int64(d.Factor)), Width: known(d.RollWidth), Sheet: known(d.SheetArea), Density: known(d.Density),
		Hardener: d.HardenerItem, Parts: known(d.HardenerParts),
	}
	for _, u := range d.Units {
		it.Units = append(it.Units, string(u))
	}
	return it
}

func known(millionths int64) string {
	if millionths == 0 {
		return ""
	}
	return costing.FormatDecimal(millionths)
}

func deskLotOf(l *models.DeskLot) deskLot {
	d := deskLot{
		Lot: l.Key, Payload: l.Payload, Item: l.Item, Remaining: l.Remaining.String(), Received: l.Received.String(),
		Batch: l.SupplierBatch, Place: l.Place,
	}
	if l.Expires != nil {
		d.Expires = l.Expires.String()
	}
	return d
}

// atDesk runs f for a caller who may look at the stores: somebody signed in
// whom the table of routes lets in, or a stores station.
func (s *Server) atDesk(v *Visit, f func(ctx context.Context, tx *models.Tx) error) error {
	ctx := v.Request.Context()
	return s.store.Read(ctx, func(tx *models.Tx) error {
		snap, err := tx.LoadedSnapshot(ctx)
		if err != nil {
			return err
		}
		if err := storesOnly(snap, v.Caller); err != nil {
			return err
		}
		return f(ctx, tx)
	})
}

// storesOnly refuses stations of other kinds.
func storesOnly(snap *models.Snapshot, c Caller) error {
	if c.Role != models.Station {
		return nil
	}
	if st := snap.Yard.Stations[c.Station]; st == nil || st.Kind != costing.StoresStation {
		return models.Errorf(models.Denied, "station %s is not of the stores: the desk is for a station of kind stores", c.Station)
	}
	return nil
}

// deskShelf tells what the stores hold.
func (s *Server) deskShelf(v *Visit) error {
	now := costing.InstantOf(s.now())
	return s.atDesk(v, func(ctx context.Context, tx *models.Tx) error {
		shelf, err := tx.Shelf(ctx, now)
		if err != nil {
			return err
		}
		a := deskShelf{At: now.String(), Day: shelf.Day.String(), Items: []deskItem{}, Lots: []deskLot{}, Cards: map[string]string{}}
		for i := range shelf.Items {
			a.Items = append(a.Items, deskItemOf(&shelf.Items[i]))
		}
		for i := range shelf.Lots {
			a.Lots = append(a.Lots, deskLotOf(&shelf.Lots[i]))
		}
		for kind, payload := range shelf.Cards {
			a.Cards[string(kind)] = payload
		}
		v.JSON(http.StatusOK, a)
		return nil
	})
}

// deskJob tells what a job still expects from the stores.
func (s *Server) deskJob(v *Visit) error {
	return s.atDesk(v, func(ctx context.Context, tx *models.Tx) error {
		job, err := tx.DeskJobOf(ctx, v.Param("payload"), costing.InstantOf(s.now()))
		if err != nil {
			return err
		}
		a := deskJob{Job: job.Key, Payload: job.Payload, Hulls: job.Hulls, About: job.About, Lines: []deskLine{}}
		if job.WasteFactor != nil {
			a.Factor = costing.FormatDecimal(int64(*job.WasteFactor))
		}
		for i := range job.Lines {
			l := &job.Lines[i]
			a.Lines = append(a.Lines, deskLine{
				l.Item.Key, l.Item.Name, string(l.Item.StockUnit), l.Planned, l.Expected.String(), l.Issued.String(), l.Left().String(), l.Wasted.String(),
			})
		}
		v.JSON(http.StatusOK, a)
		return nil
	})
}

// deskLot tells of one lot, also when nothing is left of it.
func (s *Server) deskLot(v *Visit) error {
	return s.atDesk(v, func(ctx context.Context, tx *models.Tx) error {
		lot, item, err := tx.DeskLotOf(ctx, v.Param("payload"), costing.InstantOf(s.now()))
		if err != nil {
			return err
		}
		v.JSON(http.StatusOK, object{"lot": deskLotOf(&lot), "item": deskItemOf(&item)})
		return nil
	})
}

// mostFound is how many jobs and lots a search lists.
const mostFound = 40

// deskFind looks jobs and lots up by words.
func (s *Server) deskFind(v *Visit) error {
	words := v.Query("words")
	if err := readable(words); err != nil {
		return err
	}
	return s.atDesk(v, func(ctx context.Context, tx *models.Tx) error {
		found, err := tx.DeskFind(ctx, words, mostFound)
		if err != nil {
			return err
		}
		rows := []map[string]string{}
		for _, f := range found {
			rows = append(rows, map[string]string{"kind": string(f.Kind), "key": f.Key, "payload": f.Payload, "about": f.About})
		}
		v.JSON(http.StatusOK, object{"rows": rows})
		return nil
	})
}

// mostDeeds is how many lines the desk's list of the day has.
const mostDeeds = 200

type deskDeed struct {
	ID       string `json:"id"`
	At       string `json:"at"`
	Outcome  string `json:"outcome"`
	Code     string `json:"code"`
	Payload  string `json:"payload,omitempty"`
	Kind     string `json:"kind,omitempty"`
	Who      string `json:"who,omitempty"`
	Job      string `json:"job,omitempty"`
	Lot      string `json:"lot,omitempty"`
	Item     string `json:"item,omitempty"`
	Name     string `json:"name,omitempty"`
	Unit     string `json:"unit,omitempty"`
	Quantity string `json:"quantity,omitempty"`
	Undone   bool   `json:"undone"`
	Reason   string `json:"reason,omitempty"`
	Unsaid   string `json:"unsaid,omitempty"`
}

// deskToday tells what was done at a desk on the yard's day.
func (s *Server) deskToday(v *Visit) error {
	station := strings.TrimSpace(v.Query("station"))
	if v.Caller.Role == models.Station {
		station = v.Caller.Station
	}
	now := costing.InstantOf(s.now())
	return s.atDesk(v, func(ctx context.Context, tx *models.Tx) error {
		deeds, err := tx.DeskDay(ctx, station, now, mostDeeds)
		if err != nil {
			return err
		}
		rows := []deskDeed{}
		for i := range deeds {
			d := &deeds[i]
			row := deskDeed{ID: d.ID, At: d.At.String(), Outcome: string(d.Outcome), Code: d.Code, Kind: string(d.Kind), Who: d.Who, Job: d.Job, Lot: d.Lot, Undone: d.Undone, Reason: d.Reason, Unsaid: d.Unsaid}
			if d.Outcome == clock.Refused {
				row.Payload = d.Payload
			}
			if d.Item != nil {
				row.Item, row.Name, row.Unit, row.Quantity = d.Item.Key, d.Item.Name, string(d.Item.StockUnit), d.Quantity.String()
			}
			rows = append(rows, row)
		}
		v.JSON(http.StatusOK, object{"at": now.String(), "rows": rows})
		return nil
	})
}
