package workbook

import (
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// styles are a workbook's looks, made as they are asked for.
type styles struct {
	file                 *excelize.File
	caption, left, right int
	made                 map[look]int
}

type look struct {
	format string
	bold   bool
}

func newStyles(f *excelize.File) (*styles, error) {
	s := &styles{file: f, made: map[look]int{}}
	var err error
	if s.caption, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true, Size: 14}}); err != nil {
		return nil, err
	}
	line := []excelize.Border{{Type: "bottom", Style: 1, Color: "1B2A33"}}
	fill := excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"E6EDF0"}}
	wrap := func(side string) *excelize.Alignment {
		return &excelize.Alignment{Horizontal: side, Vertical: "bottom", WrapText: true}
	}
	if s.left, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Border: line, Fill: fill, Alignment: wrap("left")}); err != nil {
		return nil, err
	}
	s.right, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Border: line, Fill: fill, Alignment: wrap("right")})
	return s, err
}

func (s *styles) head(k Kind) int {
	if k == Number || k == Share || k == Hours {
		return s.right
	}
	return s.left
}

func (s *styles) of(format string, bold bool) int {
	k := look{format, bold}
	if id, ok := s.made[k]; ok {
		return id
	}
	style := &excelize.Style{CustomNumFmt: &format}
	if bold {
		style.Font = &excelize.Font{Bold: true}
		style.Border = []excelize.Border{{Type: "top", Style: 1, Color: "1B2A33"}}
	}
	id, err := s.file.NewStyle(style)
	if err != nil {
		id = 0 // without a look rather than without the figures
	}
	s.made[k] = id
	return id
}

func (s *styles) cell(c Column, v string, bold bool) excelize.Cell {
	places := ""
	if c.Places > 0 {
		places = "." + strings.Repeat("0", c.Places)
	}
	if v == "" {
		return excelize.Cell{StyleID: s.of("@", bold)}
	}
	switch c.Kind {
	case Number:
		if n, err := strconv.ParseFloat(v, 64); err == nil && digits(v) <= exactDigits {
			return excelize.Cell{StyleID: s.of("#,##0"+places, bold), Value: n}
		}
	case Share:
		if n, err := strconv.ParseFloat(v, 64); err == nil && digits(v) <= exactDigits {
			return excelize.Cell{StyleID: s.of("0"+places+"%", bold), Value: n}
		}
	case Day:
		if d, err := time.Parse(time.DateOnly, v); err == nil {
			return excelize.Cell{StyleID: s.of("yyyy-mm-dd", bold), Value: d}
		}
	case Hours:
		if n, err := strconv.ParseInt(v, 10, 64); err == nil && digits(v) <= exactDigits {
			return excelize.Cell{StyleID: s.of("#,##0.00", bold), Value: float64(n) / 3600}
		}
	case Text:
	}
	return excelize.Cell{StyleID: s.of("@", bold), Value: v}
}
