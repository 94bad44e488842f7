package handlers

import (
	"fmt"
	"strconv"

	"hulltally/costing/revise"
)

func sprintf(format string, args ...any) string { return fmt.Sprintf(format, args...) }

// mappedColumn is a column of a list, with what it is.
type mappedColumn struct {
	N                     int
	Heading, Field, First string
}

// mappingPage asks what the columns are.
func (u *uploaded) mappingPage(wrong string) *ownedPage {
	d := u.data()
	d["Wrong"], d["Map"] = wrong, u.columns()
	return &ownedPage{"estimate-upload.html", "What the columns are", d}
}

func (u *uploaded) columns() []mappedColumn {
	var list []mappedColumn
	for i, h := range u.Rows[u.Head] {
		c := mappedColumn{N: i, Heading: h, Field: u.Mapping[i]}
		for _, row := range u.Rows[u.Head+1:] {
			if i < len(row) && row[i] != "" {
				c.First = row[i]
				break
			}
		}
		list = append(list, c)
	}
	return list
}

func (u *uploaded) data() map[string]any {
	return map[string]any{
		"Hull": u.Hull, "Text": u.text(), "Of": u.Sheet, "Fields": estimateFields, "Labels": fieldLabels, "Columns": u.columns(),
	}
}

// previewPage shows what the lines would come to, or what is wrong with them.
func (u *uploaded) previewPage(g *ground, r *revise.Revision) (*ownedPage, error) {
	d := u.data()
	d["Faults"], d["More"] = u.Wrong, len(u.Wrong) == mostWrong
	if len(u.Wrong) == 0 {
		p, err := revise.Price(g.yard, r)
		if err != nil {
			return nil, err
		}
		t := g.linesTable(p)
		d["Lines"], d["Estimate"], d["Count"] = t, g.cash(p.Estimate), strconv.Itoa(len(u.Lines))
	}
	return &ownedPage{"estimate-upload.html", "What the list would come to", d}, nil
}
