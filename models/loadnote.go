package models

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// note writes a load that changed something in the logbook: which files, and
// how much of each. The history has every row, and the entry its digest.
func (l *loading) note(report *LoadReport) error {
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(report.Files)) {
		if n := report.Files[name]; n.Added+n.Changed > 0 {
			parts = append(parts, fmt.Sprintf("%s %d new %d changed", name, n.Added, n.Changed))
		}
	}
	if report.Issued > 0 {
		parts = append(parts, fmt.Sprintf("%d codes issued", report.Issued))
	}
	if parts == nil {
		return nil
	}
	if l.opts.Why != "" {
		parts = append(parts, "because: "+l.opts.Why)
	}
	by := Deed{Who: l.opts.Who, Source: cmp.Or(l.opts.Source, "yard files"), At: l.opts.Now}
	return noteRows(l.tx.DB, by, cmp.Or(l.opts.Did, "loaded"), l.opts.Subject, strings.Join(parts, ", "), l.historyFrom)
}
