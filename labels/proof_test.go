package labels

import (
	"bytes"
	"fmt"
	"image"
	"maps"
	"path/filepath"
	"slices"
	"sync"
	"testing"
)

// Goal: every symbol of every sheet, rendered at its printer's resolution, is
// decoded by two decoders that are not ours, as printed and harmed in ways that
// printers and the floor harm it. Method: poppler renders, each symbol is cut
// out with 2 mm of what surrounds its quiet zone, gozxing and zbar decode; zbar
// has no Data Matrix, so there libdmtx is the second.

var harms = []struct {
	name string
	do   func(*image.Gray) *image.Gray
	// least is the share of symbols that each decoder must read.
	least float64
}{
	{"as printed", func(g *image.Gray) *image.Gray { return g }, 1},
	{"1 dot blur", blurred, 1},
	{"contrast lost", faded, 1},
	{"1 degree", func(g *image.Gray) *image.Gray { return rotated(g, 1) }, 1},
	{"2 degrees", func(g *image.Gray) *image.Gray { return rotated(g, -2) }, 1},
	{"3 degrees", func(g *image.Gray) *image.Gray { return rotated(g, 3) }, 1},
}

// printed is a sheet with where its symbols stand and its rendered pages.
type printed struct {
	sheet   Sheet
	symbols []placement
	pages   []*image.Gray
	dpi     float64
}

func printSheet(tb testing.TB, s Sheet) printed {
	tb.Helper()
	p := printed{sheet: s, dpi: realDPI(s.Options.DPI)}
	s.Options.placed = func(at placement) { p.symbols = append(p.symbols, at) }
	var b bytes.Buffer
	pages, err := s.Write(&b)
	if err != nil {
		tb.Fatal(err)
	}
	p.pages = render(tb, b.Bytes(), p.dpi)
	if len(p.pages) != pages {
		tb.Fatalf("%d pages were promised, %d rendered", pages, len(p.pages))
	}
	return p
}

var printedOnce struct {
	sync.Once
	all map[string]printed
}

func printedSheets(tb testing.TB) map[string]printed {
	printedOnce.Do(func() {
		printedOnce.all = map[string]printed{}
		for name, s := range sampleSheets(tb) {
			printedOnce.all[name] = printSheet(tb, s)
		}
	})
	return printedOnce.all
}

type tally struct{ read, of int }

func (t *tally) add(ok bool) {
	t.of++
	if ok {
		t.read++
	}
}

func TestEverySymbolIsReadByTwoDecoders(t *testing.T) {
	dir := t.TempDir()
	rates := map[string]*tally{}
	note := func(key string, ok bool) {
		if rates[key] == nil {
			rates[key] = &tally{}
		}
		rates[key].add(ok)
	}
	key := func(dpi int, kind Symbology, decoder string, harm int) string {
		return fmt.Sprintf("%d dpi %-11s %-7s %d %s", dpi, kind, decoder, harm, harms[harm].name)
	}
	type wanted struct {
		key, payload string
		harm         int
	}
	files := map[string]wanted{}
	for _, name := range slices.Sorted(maps.Keys(printedSheets(t))) {
		p := printedSheets(t)[name]
		if len(p.symbols) == 0 {
			t.Errorf("%s has no symbols", name)
		}
		for i, s := range p.symbols {
			cut := crop(p.pages[s.page-1], s.area, p.dpi, 2)
			for h := range harms {
				img := harms[h].do(cut)
				got, err := zxing(img, s.symbol.Symbology)
				ok := err == nil && got == s.symbol.Payload
				note(key(p.sheet.Options.DPI, s.symbol.Symbology, "gozxing", h), ok)
				if !ok {
					t.Logf("gozxing on %s, symbol %d (%s), %s: %q %v", name, i, s.symbol.Symbology, harms[h].name, got, err)
				}
				file := filepath.Join(dir, fmt.Sprintf("%s-%d-%d.pgm", name, i, h))
				writePGM(t, file, img)
				if s.symbol.Symbology == DataMatrix {
					got := dmtx(t, file)
					note(key(p.sheet.Options.DPI, DataMatrix, "libdmtx", h), got == s.symbol.Payload)
					if got != s.symbol.Payload {
						t.Logf("libdmtx on %s, %s: %q, want %s", name, harms[h].name, got, s.symbol.Payload)
					}
					continue
				}
				files[file] = wanted{key(p.sheet.Options.DPI, s.symbol.Symbology, "zbar", h), s.symbol.Payload, h}
			}
		}
	}
	found := zbar(t, slices.Sorted(maps.Keys(files)))
	for file, w := range files {
		ok := slices.Equal(found[file], []string{w.payload})
		note(w.key, ok)
		if !ok {
			t.Logf("zbar on %s: %q, want %s", filepath.Base(file), found[file], w.payload)
		}
	}
	for _, k := range slices.Sorted(maps.Keys(rates)) {
		t.Logf("%s: %d of %d", k, rates[k].read, rates[k].of)
		for h := range harms {
			if harm := harms[h]; k[len(k)-len(harm.name):] == harm.name && float64(rates[k].read) < harm.least*float64(rates[k].of) {
				t.Errorf("%s: %d of %d", k, rates[k].read, rates[k].of)
			}
		}
	}
}

// A whole page held before a reader shows each of its codes, and nothing else.
func TestWholePagesShowTheirCodes(t *testing.T) {
	dir := t.TempDir()
	want := map[string][]string{}
	for name, p := range printedSheets(t) {
		if p.sheet.Options.DPI == DPI600 {
			continue // 35 million dots a page
		}
		for n, page := range p.pages {
			file := filepath.Join(dir, fmt.Sprintf("%s-%d.pgm", name, n))
			writePGM(t, file, page)
			want[file] = nil
			for _, s := range p.symbols {
				if s.page == n+1 && s.symbol.Symbology != DataMatrix {
					want[file] = append(want[file], s.symbol.Payload)
				}
			}
		}
	}
	found := zbar(t, slices.Sorted(maps.Keys(want)))
	for file, codes := range want {
		slices.Sort(codes)
		slices.Sort(found[file])
		if !slices.Equal(codes, found[file]) {
			t.Errorf("%s: found %q, want %q", filepath.Base(file), found[file], codes)
		}
	}
	t.Logf("%d pages", len(want))
}
