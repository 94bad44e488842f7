package models

import (
	"maps"
	"slices"

	"hulltally/costing"
)

// checkOffcuts: an offcut is of its parent's item, was cut after the parent
// came, and is not its own ancestor; it has no invoice.
func (l *loading) checkOffcuts() error {
	lots := sheetFor(l, lotsFile)
	for _, row := range lots.rows {
		if row.bad || row.row.Parent == "" {
			continue
		}
		parent, err := lots.find(l, row.row.Parent)
		if err != nil {
			return err
		}
		switch {
		case parent == nil: // said where references are checked
		case parent.Item != row.row.Item:
			lots.refuse(l, row, "parent", "%s is of item %s, not %s: correct one of them", parent.Lot, parent.Item, row.row.Item)
		case row.row.Received < parent.Received:
			lots.refuse(l, row, "received", "is before its parent %s came in, at %s: correct it", parent.Lot, parent.Received)
		default:
			if err := l.checkAncestry(lots, row); err != nil {
				return err
			}
		}
	}
	if err := l.checkHeirs(lots); err != nil {
		return err
	}
	invoices := sheetFor(l, invoicesFile)
	for _, row := range invoices.rows {
		lot, err := lots.find(l, row.row.Lot)
		if err != nil {
			return err
		}
		if !row.bad && lot != nil && lot.Parent != "" {
			invoices.refuse(l, row, "lot", "%s is an offcut: the invoice is for the lot it was cut from, %s", lot.Lot, lot.Parent)
		}
	}
	return nil
}

// deepestCut bounds how many times over a piece may be cut.
const deepestCut = 100

func (l *loading) checkAncestry(lots *sheetOf[LotRow], row *line[LotRow]) error {
	at := &row.row
	for depth := 0; at != nil && at.Parent != ""; depth++ {
		if depth == deepestCut || depth > 0 && at.Lot == row.row.Lot {
			lots.refuse(l, row, "parent", "leads back to %s itself, or through more than %d cuts: correct it", row.row.Lot, deepestCut)
			return nil
		}
		var err error
		if at, err = lots.find(l, at.Parent); err != nil {
			return err
		}
	}
	return nil
}

// checkHeirs: a lot that changes must still suit the offcuts cut from it.
func (l *loading) checkHeirs(lots *sheetOf[LotRow]) error {
	for part := range slices.Chunk(slices.Sorted(maps.Keys(lots.given)), 500) {
		pieces, err := lots.where(l.ctx, l.tx, "parent IN ?", part)
		if err != nil {
			return err
		}
		for i := range pieces {
			piece := &pieces[i]
			given := lots.given[piece.Parent]
			if given == nil || given.bad || lots.given[piece.Lot] != nil {
				continue
			}
			switch {
			case given.row.Item != piece.Item:
				lots.refuse(l, given, "item", "its offcut %s is of %s: correct that first", piece.Lot, piece.Item)
			case given.row.Received > piece.Received:
				lots.refuse(l, given, "received", "is after its offcut %s was cut, at %s: correct it", piece.Lot, piece.Received)
			}
		}
	}
	return nil
}

// checkLanded: a landed cost can be shared over the lots of its delivery.
func (l *loading) checkLanded() error {
	landed, lots, items := sheetFor(l, landedFile), sheetFor(l, lotsFile), sheetFor(l, itemsFile)
	deliveries := map[string]bool{}
	for _, row := range landed.rows {
		deliveries[row.row.Delivery] = true
	}
	for _, row := range lots.rows {
		deliveries[row.row.Delivery] = true
	}
	for part := range slices.Chunk(slices.Sorted(maps.Keys(items.given)), 500) {
		var of []string
		err := l.tx.DB.WithContext(l.ctx).Table(lotsFile.stem).Distinct().Where("delivery <> '' AND item IN ?", part).Pluck("delivery", &of).Error
		if err != nil {
			return err
		}
		for _, d := range of {
			deliveries[d] = true
		}
	}
	delete(deliveries, "")
	for part := range slices.Chunk(slices.Sorted(maps.Keys(deliveries)), 500) {
		if err := l.checkLandedOf(part); err != nil {
			return err
		}
	}
	return nil
}

func (l *loading) checkLandedOf(deliveries []string) error {
	landed, lots := sheetFor(l, landedFile), sheetFor(l, lotsFile)
	costs, err := landed.where(l.ctx, l.tx, "delivery IN ?", deliveries)
	if err != nil {
		return err
	}
	stored, err := lots.where(l.ctx, l.tx, "delivery IN ?", deliveries)
	if err != nil {
		return err
	}
	of := map[string][]*LotRow{}
	for i := range stored {
		if r := &stored[i]; lots.given[r.Lot] == nil {
			of[r.Delivery] = append(of[r.Delivery], r)
		}
	}
	for _, row := range lots.rows {
		if r := &row.row; !row.bad && r.Delivery != "" {
			of[r.Delivery] = append(of[r.Delivery], r)
		}
	}
	for _, row := range landed.rows {
		if row.bad || !slices.Contains(deliveries, row.row.Delivery) {
			continue
		}
		reason, err := l.unshared(&row.row, of[row.row.Delivery])
		if err != nil {
			return err
		}
		if reason != "" {
			landed.refuse(l, row, "share_by", "%s", reason)
		}
	}
	for i := range costs {
		if landed.given[landed.rowKey(&costs[i])] != nil {
			continue
		}
		if err := l.checkStoredLanded(&costs[i], of[costs[i].Delivery]); err != nil {
			return err
		}
	}
	return nil
}

// checkStoredLanded blames what is given now for a cost that was shared before.
func (l *loading) checkStoredLanded(c *LandedRow, lots []*LotRow) error {
	reason, err := l.unshared(c, lots)
	if err == nil && reason != "" {
		l.problems.add(lotsFile.name(), 0, "delivery", "%s of delivery %s could no longer be shared: %s", c.What, c.Delivery, reason)
	}
	return err
}

// unshared says why a landed cost cannot be shared over lots.
func (l *loading) unshared(c *LandedRow, lots []*LotRow) (string, error) {
	var value costing.Price
	for _, lot := range lots {
		value += lot.Price
		if c.ShareBy != ShareByMass {
			continue
		}
		it, err := sheetFor(l, itemsFile).find(l, lot.Item)
		if err != nil {
			return "", err
		}
		if it != nil && it.engine().Mass() == 0 {
			return "item " + it.Item + " has no kg_per_unit: give it, or share by value", nil
		}
	}
	if c.ShareBy == ShareByValue && len(lots) > 0 && value == 0 {
		return "the lots of the delivery have no price: share by mass", nil
	}
	return "", nil
}

// checkPayments: a lot is paid in the currency it was bought in.
func (l *loading) checkPayments() error {
	s := sheetFor(l, paymentsFile)
	for _, row := range s.rows {
		if row.bad || row.row.Lot == "" {
			continue
		}
		lot, err := sheetFor(l, lotsFile).find(l, row.row.Lot)
		if err != nil {
			return err
		}
		if lot != nil && l.currencyOf(lot.Currency) != l.currencyOf(row.row.Currency) {
			s.refuse(l, row, "currency", "is not that of lot %s, which was bought in %s: give the amount in that", lot.Lot, l.currencyOf(lot.Currency))
		}
	}
	return nil
}

func (l *loading) currencyOf(code string) string {
	if code == "" {
		return l.base.Code
	}
	return code
}
