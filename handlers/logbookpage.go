package handlers

import (
	"net/url"
	"strconv"

	"hulltally/models"
)

// logbookPageRows is how many entries one page of the logbook shows.
const logbookPageRows = 100

// logbookData is what the logbook's page shows.
type logbookData struct {
	Words   string
	Rows    []models.LogbookRow
	Older   string // the address of the page after this one
	Checked bool
	Wrong   string
	Seal    models.Seal
}

// logbookPage shows who did what, the newest first, and can check the seals.
func (s *Server) logbookPage(v *Visit) error {
	ctx := v.Request.Context()
	data := logbookData{Words: v.Query("words")}
	if err := readable(data.Words); err != nil {
		return err
	}
	before, err := strconv.ParseInt(v.DefaultQuery("before", "0"), 10, 64)
	if err != nil || before < 0 {
		return models.Errorf(models.Invalid, "before: is not the number of an entry")
	}
	rows, err := s.store.Logbook(ctx, models.LogbookAsk{Words: data.Words, Before: before, Limit: logbookPageRows + 1})
	if err != nil {
		return err
	}
	if len(rows) > logbookPageRows {
		rows = rows[:logbookPageRows]
		data.Older = "/logbook?" + url.Values{
			"words": {data.Words}, "before": {strconv.FormatInt(rows[len(rows)-1].Seq, 10)},
		}.Encode()
	}
	data.Rows = rows
	if v.Query("check") != "" {
		data.Checked = true
		data.Seal, err = s.store.VerifyLogbook(ctx, models.Seal{})
		if err != nil {
			if data.Wrong, err = formFault(err); err != nil {
				return err
			}
		}
	}
	return v.Page("logbook.html", "Logbook", data)
}
