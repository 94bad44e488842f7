package labels

import (
	"fmt"
	"image"
	"io"
	"maps"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Check symbols of the published examples, two of which begin in code set A.
// The library begins in B, one value higher: the sum grows by one with it.
func TestCode128CheckSymbols(t *testing.T) {
	const a, b = 103, 104
	for _, v := range []struct {
		text      string
		values    []int // after the start character
		start     int   // of the published example
		published int
	}{
		{"HI345678", []int{40, 41, 99, 34, 56, 78}, a, 67},
		{"PJJ123C", []int{48, 42, 42, 17, 18, 19, 35}, a, 54},
		{"AIM1234", []int{33, 41, 45, 99, 12, 34}, b, 87},
	} {
		sum := 0
		for i, value := range v.values {
			sum += (i + 1) * value
		}
		if got := (v.start + sum) % 103; got != v.published {
			t.Errorf("%s: %d by the rule, %d published", v.text, got, v.published)
		}
		s, err := NewSymbol(Code128, v.text)
		if err != nil || s.CheckSum != (b+sum)%103 {
			t.Errorf("%s: check symbol %d, %v, want %d", v.text, s.CheckSum, err, (b+sum)%103)
		}
	}
	s, _ := NewSymbol(Code128, "JB0C0D0E")
	if s.Width != 11*8+35 {
		t.Errorf("eight characters take %d modules", s.Width)
	}
	random := chance(2)
	for range 3000 {
		_, p, _ := RandomSerial(Lot, random)
		if s, _ := NewSymbol(Code128, p); s.Width+20 > plannedModules {
			t.Fatalf("%s is wider than planned", p)
		}
	}
}

func TestSymbolsRefuseWhatTheyCannotHold(t *testing.T) {
	for text, want := range map[string]string{"": "at least one", "Peñón": "character 3", "ż": "printable ASCII", "a\x1db": "character 2"} {
		for _, kind := range []Symbology{Code128, QR, DataMatrix} {
			if _, err := NewSymbol(kind, text); err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%s of %q: %v", kind, text, err)
			}
		}
	}
	if _, err := NewSymbol(Code128, strings.Repeat("A", 81)); err == nil {
		t.Error("81 characters passed")
	}
}

// raster draws a symbol with its quiet zone, so many dots to a module. It is
// ours, from the matrix alone.
func (s *Symbol) raster(dots int) *image.Gray {
	quiet, high := s.Symbology.Quiet(), s.Height
	above := quiet
	if s.Symbology == Code128 {
		high, above = 30, 0
	}
	img := image.NewGray(image.Rect(0, 0, (s.Width+2*quiet)*dots, (high+2*above)*dots))
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			mx, my := x/dots-quiet, y/dots-above
			if s.Symbology == Code128 {
				my = 0
			}
			v := uint8(255)
			if mx >= 0 && mx < s.Width && my >= 0 && my < s.Height && s.Dark(mx, my) {
				v = 0
			}
			img.Pix[y*img.Stride+x] = v
		}
	}
	return img
}

// chance is the same in every run.
func chance(seed byte) io.Reader { return rand.NewChaCha8([32]byte{seed}) }

// Property: encode, draw, rasterise, decode gives the payload back. gozxing
// takes the data of about one QR code in two thousand for a finder pattern; a
// code that one decoder misses must be read by the other.
func TestRandomCodesComeBack(t *testing.T) {
	dir, random := t.TempDir(), chance(1)
	kinds := []Kind{Person, Crew, Job, Lot, Indirect, Wall}
	want := map[string]string{}
	read := map[string]int{}
	const each = 2000
	for _, sym := range []Symbology{Code128, QR, DataMatrix} {
		for i := range each {
			_, payload, err := RandomSerial(kinds[i%len(kinds)], random)
			if err != nil {
				t.Fatal(err)
			}
			s, err := NewSymbol(sym, payload)
			if err != nil {
				t.Fatal(err)
			}
			dots := 2 + i%3
			if sym == DataMatrix {
				dots += 2 // as on labels: half a millimetre
			}
			img := s.raster(dots)
			got, err := zxing(img, sym)
			ok := err == nil && got == payload
			if ok {
				read[sym.String()]++
			} else {
				t.Logf("gozxing: %s of %s at %d dots: %q %v", sym, payload, dots, got, err)
			}
			if sym != DataMatrix && (i%4 == 0 || !ok) {
				file := filepath.Join(dir, fmt.Sprintf("%d-%d.pgm", sym, i))
				writePGM(t, file, img)
				want[file] = payload
			}
		}
		if n := read[sym.String()]; n < each*998/1000 || sym != QR && n < each {
			t.Errorf("gozxing read %d of %d %s", n, each, sym)
		}
	}
	files := slices.Sorted(maps.Keys(want))
	found, ok := zbar(t, files), 0
	for f, payload := range want {
		if slices.Equal(found[f], []string{payload}) {
			ok++
		} else {
			t.Errorf("zbar: %s: %q, want %s", filepath.Base(f), found[f], payload)
		}
	}
	t.Logf("gozxing read %v of %d each, zbar %d of %d", read, each, ok, len(want))
}
