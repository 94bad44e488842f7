package models

// Edit is one row that a load added or changed.
type Edit[R any] struct {
	Key    string
	Before *R // nil where the row is new
	After  *R
}

// ChangeSet is what a load added and changed, by file.
type ChangeSet struct {
	// First says that nothing was loaded before.
	First bool
	edits map[string]any // []Edit[R] by file name
}

// EditsOf lists what the load added and changed of one kind of row, such as
// EditsOf[LotRow](changes).
func EditsOf[R any](ch *ChangeSet) []Edit[R] {
	for _, edits := range ch.edits {
		if e, ok := edits.([]Edit[R]); ok {
			return e
		}
	}
	return nil
}
