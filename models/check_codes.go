package models

import "hulltally/labels"

// checkCodes looks at given codes: each must be of the right kind, name
// something there is, and clash with no other code.
func (l *loading) checkCodes() error {
	s := sheetFor(l, codesFile)
	if len(s.rows) == 0 {
		return nil
	}
	stored, err := s.storedRows(l)
	if err != nil {
		return err
	}
	inForce := map[[2]string]string{} // payload by kind and key
	for payload, c := range stored {
		if given := s.given[payload]; c.RevokedMs == nil && (given == nil || given.row.RevokedMs == nil) {
			inForce[[2]string{c.Kind, c.Key}] = payload
		}
	}
	for _, row := range s.rows {
		if row.bad {
			continue
		}
		if err := l.checkCode(s, row); err != nil {
			return err
		}
		c := &row.row
		if before := stored[c.Payload]; before != nil {
			if before.Kind != c.Kind || before.Key != c.Key {
				s.refuse(l, row, "payload", "%s is printed already, as %s %s: take the row away", c.Payload, before.Kind, before.Key)
				continue
			}
			c.IssuedMs = before.IssuedMs
			if before.RevokedMs != nil { // what is revoked stays so
				c.RevokedMs = before.RevokedMs
			}
		} else if c.IssuedMs == 0 {
			c.IssuedMs = l.now()
		}
		row.cells = s.cellsOf(c)
		if c.RevokedMs != nil {
			continue
		}
		thing := [2]string{c.Kind, c.Key}
		if other, twice := inForce[thing]; twice && other != c.Payload {
			s.refuse(l, row, "payload", "%s %s has the code %s already: revoke one of the two", c.Kind, c.Key, other)
			continue
		}
		inForce[thing] = c.Payload
	}
	return nil
}

// codeOwners are the files whose rows have codes, by kind.
var codeOwners = map[string]yardFile{
	"worker": workersFile, "crew": crewsFile, "job": jobsFile, "lot": lotsFile, "indirect": indirectsFile,
}

func (l *loading) checkCode(s *sheetOf[CodeRow], row *line[CodeRow]) error {
	c := &row.row
	if labels.Kind(c.Payload[0]) != letterOf(c.Kind) {
		s.refuse(l, row, "payload", "%s is the code of a %s, not of a %s: correct one of them",
			c.Payload, labels.Kind(c.Payload[0]), c.Kind)
		return nil
	}
	owner, has := codeOwners[c.Kind]
	if !has {
		if !isWallCard(c.Kind, c.Key) {
			s.refuse(l, row, "key", "there is no %s card %q: progress cards have the keys 25, 50 and 75, the others none", c.Kind, c.Key)
		}
		return nil
	}
	known, err := l.sheets[stemOf(owner)].hasFirst(l, c.Key)
	if err == nil && !known {
		s.refuse(l, row, "key", "there is no %s %s: add it to %s or correct the cell", c.Kind, c.Key, owner.name())
	}
	return err
}

func isWallCard(kind, key string) bool {
	for _, card := range wallCards {
		if card.kind == kind && card.key == key {
			return true
		}
	}
	return false
}
