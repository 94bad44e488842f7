package labels

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"github.com/go-fonts/dejavu/dejavusans"
	"github.com/go-fonts/dejavu/dejavusansbold"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/font/opentype/tables"
)

// Fonts finds a font for any script: the built-in one first, then those of the
// yard's folders. It may be shared between goroutines.
type Fonts struct {
	mu    sync.Mutex
	files []fontFile
	found map[rune][2]*font.Font // by rune: regular, bold; nil for none
}

// fontFile is a font of a folder; it is opened when a character is missing.
type fontFile struct {
	path  string
	score int
	tried bool
	cmaps []font.Cmap
	fonts []*font.Font
}

var baseFonts = sync.OnceValue(func() [2]*font.Font {
	var base [2]*font.Font
	for i, data := range [][]byte{dejavusans.TTF, dejavusansbold.TTF} {
		face, err := font.ParseTTF(bytes.NewReader(data))
		if err != nil {
			panic("labels: the built-in font is damaged: " + err.Error())
		}
		base[i] = face.Font
	}
	return base
})

// LoadFonts lists the fonts of folders (TTF, OTF, TTC; subfolders too). They
// are opened only when a name needs them. Without folders it gives the
// built-in font: Latin, Greek, Cyrillic, Arabic, Hebrew, Armenian, Georgian.
func LoadFonts(folders ...string) (*Fonts, error) {
	f := &Fonts{found: map[rune][2]*font.Font{}}
	for _, folder := range folders {
		err := filepath.WalkDir(folder, func(path string, e fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			switch strings.ToLower(filepath.Ext(path)) {
			case ".ttf", ".otf", ".ttc", ".otc":
				f.files = append(f.files, fontFile{path: path, score: plainness(filepath.Base(path))})
			}
			return nil
		})
		if err != nil {
			return nil, fmt.Errorf("the fonts folder %s: %w", folder, err)
		}
	}
	slices.SortStableFunc(f.files, func(a, b fontFile) int {
		if a.score != b.score {
			return a.score - b.score
		}
		return strings.Compare(a.path, b.path)
	})
	return f, nil
}

// plainness puts upright sans-serif fonts before the rest, so that a name is
// set in the plainest face that has it.
func plainness(name string) int {
	score := 0
	if !strings.Contains(name, "Sans") {
		score++
	}
	for _, odd := range []string{"Italic", "Oblique", "Mono", "Condensed", "Light", "Thin", "Serif", "Looped", "Kufi", "Display", "Black", "Rashi", "Nastaliq"} {
		if strings.Contains(name, odd) {
			score += 2
		}
	}
	return score
}

// face is the font that holds r, or nil.
func (f *Fonts) face(r rune, bold bool) *font.Font {
	base := baseFonts()
	weight := 0
	if bold {
		weight = 1
	}
	if _, ok := base[weight].NominalGlyph(r); ok {
		return base[weight]
	}
	if f == nil {
		return nil
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	pair, ok := f.found[r]
	if !ok {
		pair = [2]*font.Font{f.search(r, false), f.search(r, true)}
		if pair[1] == nil {
			pair[1] = pair[0]
		}
		f.found[r] = pair
	}
	return pair[weight]
}

func (f *Fonts) search(r rune, bold bool) *font.Font {
	for i := range f.files {
		file := &f.files[i]
		if strings.Contains(file.path, "Bold") != bold {
			continue
		}
		if ft := file.search(r); ft != nil {
			return ft
		}
	}
	return nil
}

// search gives the file's font that holds r. The parser panics on some damaged
// files: those are passed over from then on.
func (file *fontFile) search(r rune) (found *font.Font) {
	defer func() {
		if recover() != nil {
			file.cmaps, found = nil, nil
		}
	}()
	if !file.tried {
		file.tried = true
		file.cmaps = readCmaps(file.path)
	}
	for n, cmap := range file.cmaps {
		if cmap == nil {
			continue
		}
		if glyph, ok := cmap.Lookup(r); ok && glyph != 0 {
			if ft := file.open(n); ft != nil && drawable(ft, glyph) {
				return ft
			}
		}
	}
	return nil
}

// drawable refuses fonts of colour bitmaps: they have no outlines to draw.
func drawable(ft *font.Font, glyph font.GID) bool {
	_, ok := font.NewFace(ft).GlyphDataOutline(glyph)
	return ok
}

// readCmaps reads which characters the fonts of a file hold; a file that is no
// font has none.
func readCmaps(path string) []font.Cmap {
	data, err := os.Open(path)
	if err != nil {
		return nil
	}
	defer data.Close()
	loaders, err := opentype.NewLoaders(data)
	if err != nil {
		return nil
	}
	cmaps := make([]font.Cmap, len(loaders))
	for i, ld := range loaders {
		raw, err := ld.RawTable(opentype.MustNewTag("cmap"))
		if err != nil {
			continue
		}
		table, _, err := tables.ParseCmap(raw)
		if err != nil {
			continue
		}
		if cmaps[i], _, err = font.ProcessCmap(table, tables.FPNone); err != nil {
			cmaps[i] = nil
		}
	}
	return cmaps
}

func (file *fontFile) open(n int) *font.Font {
	if file.fonts == nil {
		file.fonts = make([]*font.Font, len(file.cmaps))
		data, err := os.ReadFile(file.path)
		if err != nil {
			return nil
		}
		faces, err := font.ParseTTC(bytes.NewReader(data))
		if err != nil {
			return nil
		}
		for i := range min(len(faces), len(file.fonts)) {
			file.fonts[i] = faces[i].Font
		}
	}
	return file.fonts[n]
}
