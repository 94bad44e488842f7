package handlers

import (
	"net/url"
	"strconv"

	"hulltally/models"
)

// changesPageRows is how many changes one page shows.
const changesPageRows = 100

// changesData is what the page of changes shows.
type changesData struct {
	Words, File string
	Entry       int64
	Files       []string
	Rows        []models.Change
	Older       string // the address of the page after this one
}

// changesPage shows what was changed of the yard's own data, cell by cell, the
// newest first. Rates and prices are among it, so it is for owners alone.
func (s *Server) changesPage(v *Visit) error {
	data := changesData{Words: v.Query("words"), File: v.Query("file"), Files: models.YardFileNames()}
	for _, text := range []string{data.Words, data.File} {
		if err := readable(text); err != nil {
			return err
		}
	}
	before, err := strconv.ParseInt(v.DefaultQuery("before", "0"), 10, 64)
	if err != nil || before < 0 {
		return models.Errorf(models.Invalid, "before: is not the number of a change")
	}
	if entry := v.Query("entry"); entry != "" {
		if data.Entry, err = strconv.ParseInt(entry, 10, 64); err != nil || data.Entry <= 0 {
			return models.Errorf(models.Invalid, "entry: is not the number of an entry of the logbook")
		}
	}
	data.Rows, err = s.store.Changes(v.Request.Context(), models.ChangesAsk{
		Words: data.Words, File: data.File, Entry: data.Entry, Before: before, Limit: changesPageRows + 1,
	})
	if err != nil {
		return err
	}
	if len(data.Rows) > changesPageRows {
		data.Rows = data.Rows[:changesPageRows]
		older := url.Values{"before": {strconv.FormatInt(data.Rows[changesPageRows-1].Seq, 10)}}
		for name, value := range map[string]string{"words": data.Words, "file": data.File, "entry": v.Query("entry")} {
			if value != "" {
				older.Set(name, value)
			}
		}
		data.Older = "/logbook/changes?" + older.Encode()
	}
	return v.Page("changes.html", "Changes", data)
}
