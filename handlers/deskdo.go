package handlers

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"strings"
	"time"

	"hulltally/costing"
	"hulltally/labels"
	"hulltally/models"
)

// What the stores' desk records besides reads. Every one may be sent again: the
// desk keeps it until it was answered.

// readJSON reads an object with no other fields than into has.
func (v *Visit) readJSON(into any) error {
	if !isJSON(v.ContentType()) {
		return errMediaType
	}
	body, err := io.ReadAll(v.Request.Body)
	if err != nil {
		return bodyError(err)
	}
	dec := json.NewDecoder(bytes.NewReader(body))
	dec.DisallowUnknownFields()
	if err := dec.Decode(into); err != nil || dec.More() {
		return models.Errorf(models.Invalid, "the body is not an object with the fields that the description of this address names")
	}
	return readable(string(body))
}

// deskStation is the station that somebody acts at: that of the key.
func (s *Server) deskStation(v *Visit) error {
	return s.store.Read(v.Request.Context(), func(tx *models.Tx) error {
		snap, err := tx.LoadedSnapshot(v.Request.Context())
		if err != nil {
			return err
		}
		return storesOnly(snap, v.Caller)
	})
}

// deskAhead is how far a desk's clock may be ahead of ours.
const deskAhead = 10 * time.Minute

// deskInstant reads an instant that a desk made.
func (s *Server) deskInstant(text string) (costing.Instant, error) {
	at, err := costing.ParseInstant(text)
	if err != nil {
		return 0, models.Errorf(models.Invalid, "at: %.40q is no instant such as 2026-03-01T07:00:00.250Z", text)
	}
	if at > costing.InstantOf(s.now().Add(deskAhead)) {
		return 0, models.Errorf(models.Invalid, "at: %s is still to come: set the desk's clock", text)
	}
	return at, nil
}

func deskMeasure(text string) (costing.Measure, error) {
	m, err := labels.ReadAmount(text)
	if err != nil {
		return m, models.Errorf(models.Invalid, "quantity: %v", err)
	}
	return m, nil
}

type reasonAsk struct {
	At     string `json:"at"`
	Lot    string `json:"lot"` // its key or the payload of its label
	Kind   string `json:"kind"`
	Reason string `json:"reason"`
	Who    string `json:"who"`
}

// deskReason records why something was done with a lot.
func (s *Server) deskReason(v *Visit) error {
	var ask reasonAsk
	if err := v.readJSON(&ask); err != nil {
		return err
	}
	if err := s.deskStation(v); err != nil {
		return err
	}
	at, err := s.deskInstant(ask.At)
	if err != nil {
		return err
	}
	lot, err := s.lotKey(v, ask.Lot, at)
	if err != nil {
		return err
	}
	row := models.StockReasonRow{Station: v.Caller.Station, At: at, Lot: lot, Kind: ask.Kind, Reason: strings.TrimSpace(ask.Reason), Who: ask.Who}
	if err := s.store.GiveReason(v.Request.Context(), row, s.deed(v)); err != nil {
		return err
	}
	v.JSON(http.StatusOK, object{"lot": lot})
	return nil
}

// lotKey is the lot that a desk names.
func (s *Server) lotKey(v *Visit, name string, at costing.Instant) (key string, err error) {
	ctx := v.Request.Context()
	err = s.store.Read(ctx, func(tx *models.Tx) error {
		snap, err := tx.LoadedSnapshot(ctx)
		if err != nil {
			return err
		}
		if snap.Yard.Lots[name] != nil {
			key = name
			return nil
		}
		lot, _, err := tx.DeskLotOf(ctx, name, at)
		if err == nil {
			key = lot.Key
		}
		return err
	})
	return key, err
}

type placeAsk struct {
	At    string `json:"at"`
	Lot   string `json:"lot"`
	Place string `json:"place"`
	Who   string `json:"who"`
}

// deskPlace records where a lot was put.
func (s *Server) deskPlace(v *Visit) error {
	var ask placeAsk
	if err := v.readJSON(&ask); err != nil {
		return err
	}
	if err := s.deskStation(v); err != nil {
		return err
	}
	at, err := s.deskInstant(ask.At)
	if err != nil {
		return err
	}
	lot, err := s.lotKey(v, ask.Lot, at)
	if err != nil {
		return err
	}
	row := models.LotPlaceRow{Lot: lot, At: at, Place: strings.TrimSpace(ask.Place), Who: ask.Who}
	if err := s.store.PutLot(v.Request.Context(), row, s.deed(v)); err != nil {
		return err
	}
	v.JSON(http.StatusOK, object{"lot": lot})
	return nil
}

type countAsk struct {
	At       string `json:"at"`
	Payload  string `json:"payload"`
	Quantity string `json:"quantity"`
	Place    string `json:"place"`
	Who      string `json:"who"`
	First    string `json:"first"` // of a recount: what was counted before
}

// deskCount records a count, or asks for a second one. It tells nothing of the book.
func (s *Server) deskCount(v *Visit) error {
	var ask countAsk
	if err := v.readJSON(&ask); err != nil {
		return err
	}
	if err := s.deskStation(v); err != nil {
		return err
	}
	c := models.CountAsk{Payload: ask.Payload, Place: strings.TrimSpace(ask.Place), Who: ask.Who}
	var err error
	if c.At, err = s.deskInstant(ask.At); err != nil {
		return err
	}
	if c.Found, err = countMeasure(ask.Quantity); err != nil {
		return err
	}
	if ask.First != "" {
		first, err := countMeasure(ask.First)
		if err != nil {
			return err
		}
		c.First = &first
	}
	a, err := s.store.Count(v.Request.Context(), c, s.deed(v))
	if err != nil {
		return err
	}
	v.JSON(http.StatusOK, object{"lot": a.Lot, "again": a.Again})
	return nil
}

// countMeasure is a quantity that may be nothing: an empty shelf counts too.
func countMeasure(text string) (costing.Measure, error) {
	if m, err := costing.ParseMeasure(strings.ToUpper(text)); err == nil && m.Value == 0 {
		return m, nil
	}
	return deskMeasure(text)
}

type goodsAsk struct {
	At       string `json:"at"`
	Item     string `json:"item"`
	Quantity string `json:"quantity"`
	Expires  string `json:"expires"`
	Batch    string `json:"batch"`
	GTIN     string `json:"gtin"`
	Place    string `json:"place"`
	Who      string `json:"who"`
}

// deskGoods makes a lot of what came in. Its price is no business of the stores.
func (s *Server) deskGoods(v *Visit) error {
	var ask goodsAsk
	if err := v.readJSON(&ask); err != nil {
		return err
	}
	if err := s.deskStation(v); err != nil {
		return err
	}
	g := models.GoodsIn{
		Item: ask.Item, Expires: models.Day(ask.Expires), Batch: strings.TrimSpace(ask.Batch), GTIN: ask.GTIN,
		Place: strings.TrimSpace(ask.Place), Who: ask.Who,
	}
	var err error
	if g.Received, err = s.deskInstant(ask.At); err != nil {
		return err
	}
	if g.Quantity, err = deskMeasure(ask.Quantity); err != nil {
		return err
	}
	in, err := s.store.TakeIn(v.Request.Context(), g, s.deed(v))
	if err != nil {
		return err
	}
	v.JSON(http.StatusOK, object{"lot": in.Lot, "payload": in.Payload})
	return nil
}

// deskSupplier takes a supplier's label apart: what it says of the lot.
func (s *Server) deskSupplier(v *Visit) error {
	var ask struct {
		Text string `json:"text"`
	}
	if err := v.readJSON(&ask); err != nil {
		return err
	}
	ctx := v.Request.Context()
	return s.store.Read(ctx, func(tx *models.Tx) error {
		snap, err := tx.LoadedSnapshot(ctx)
		if err != nil {
			return err
		}
		if err := storesOnly(snap, v.Caller); err != nil {
			return err
		}
		today := costing.DateOf(costing.InstantOf(s.now()), snap.Yard.Zone)
		label, err := labels.ParseGS1(ask.Text, labels.GS1Options{Today: today})
		if err != nil {
			return models.Errorf(models.Invalid, "the supplier's label: %v", err)
		}
		a := suppliersLabel(label)
		if a["gtin"] != "" {
			if a["item"], err = tx.ItemOfGTIN(ctx, a["gtin"]); err != nil {
				return err
			}
		}
		v.JSON(http.StatusOK, a)
		return nil
	})
}

// suppliersLabel picks out of a label what a lot has. Of two dates the one to
// use by stands before the one it is best before.
func suppliersLabel(g labels.GS1) map[string]string {
	a := map[string]string{"text": g.String(), "gtin": "", "item": "", "batch": "", "expires": "", "quantity": ""}
	for _, ai := range []string{"02", "01"} {
		if e, ok := g.Get(ai); ok {
			a["gtin"] = e.Value
		}
	}
	if e, ok := g.Get("10"); ok {
		a["batch"] = e.Value
	}
	for _, ai := range []string{"15", "17"} {
		if e, ok := g.Get(ai); ok && e.IsDate {
			a["expires"] = e.Date.String()
		}
	}
	for _, ai := range []string{"37", "30", "315", "311", "314", "310"} {
		if e, ok := g.Get(ai); ok && e.Quantity > 0 {
			a["quantity"] = e.Quantity.String() + string(e.Unit)
		}
	}
	return a
}

// deskLabel prints a lot's label, which is noted as a print.
func (s *Server) deskLabel(v *Visit) error {
	var ask struct {
		Lot  string `json:"lot"`
		Size string `json:"size"`
	}
	if err := v.readJSON(&ask); err != nil {
		return err
	}
	if err := s.deskStation(v); err != nil {
		return err
	}
	f := &printForm{Kind: labels.SheetLots, Keys: []string{ask.Lot}, Size: "large", Page: "single", DPI: labels.DPI300, Start: 1, Copies: 1}
	if ask.Size == "small" {
		f.Size = "small"
	}
	ctx := v.Request.Context()
	run, err := s.filled(ctx, f)
	if err != nil {
		return err
	}
	var pdf bytes.Buffer
	if _, err := s.draw(ctx, func() (int, error) { return run.Write(&pdf) }); err != nil {
		return err
	}
	if err := s.store.Printed(ctx, run, s.deed(v), nil); err != nil {
		return err
	}
	v.Header("Content-Disposition", `attachment; filename="lot-label.pdf"`)
	v.Header("Content-Security-Policy", sheetPolicy)
	v.Data(http.StatusOK, "application/pdf", pdf.Bytes())
	return nil
}
