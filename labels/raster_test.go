package labels

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/datamatrix"
	"github.com/makiuchi-d/gozxing/oned"
	"github.com/makiuchi-d/gozxing/qrcode"
)

// realDPI is the resolution to render at: "203 dpi" printers have 8 dots a mm.
func realDPI(dpi int) float64 { return 25.4 / dotSize(dpi) }

// render turns a PDF into grey pages with poppler. A missing tool fails.
func render(tb testing.TB, pdf []byte, dpi float64) []*image.Gray {
	tb.Helper()
	dir := tb.TempDir()
	file := filepath.Join(dir, "sheet.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		tb.Fatal(err)
	}
	out, err := exec.Command("pdftoppm", "-r", strconv.FormatFloat(dpi, 'f', 3, 64), "-gray", file, filepath.Join(dir, "p")).CombinedOutput()
	if err != nil {
		tb.Fatalf("pdftoppm (poppler-utils): %v %s", err, out)
	}
	names, _ := filepath.Glob(filepath.Join(dir, "p*.pgm"))
	slices.Sort(names)
	var pages []*image.Gray
	for _, name := range names {
		pages = append(pages, readPGM(tb, name))
		_ = os.Remove(name)
	}
	return pages
}

func readPGM(tb testing.TB, name string) *image.Gray {
	tb.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		tb.Fatal(err)
	}
	var w, h, depth int
	if _, err := fmt.Sscanf(string(data[:min(len(data), 40)]), "P5\n%d %d\n%d\n", &w, &h, &depth); err != nil || depth != 255 {
		tb.Fatalf("%s is no PGM: %v", name, err)
	}
	return &image.Gray{Pix: data[len(data)-w*h:], Stride: w, Rect: image.Rect(0, 0, w, h)}
}

func writePGM(tb testing.TB, name string, img *image.Gray) {
	tb.Helper()
	b := bytes.NewBufferString(fmt.Sprintf("P5\n%d %d\n255\n", img.Rect.Dx(), img.Rect.Dy()))
	for y := img.Rect.Min.Y; y < img.Rect.Max.Y; y++ {
		i := img.PixOffset(img.Rect.Min.X, y)
		b.Write(img.Pix[i : i+img.Rect.Dx()])
	}
	if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
		tb.Fatal(err)
	}
}

// crop copies an area given in mm, with a rim around it.
func crop(page *image.Gray, area box, dpi, rim float64) *image.Gray {
	px := func(mm float64) int { return int(math.Round(mm * dpi / 25.4)) }
	r := image.Rect(px(area.x-rim), px(area.y-rim), px(area.x+area.w+rim), px(area.y+area.h+rim)).Intersect(page.Rect)
	out := image.NewGray(image.Rect(0, 0, r.Dx(), r.Dy()))
	for y := range r.Dy() {
		i := page.PixOffset(r.Min.X, r.Min.Y+y)
		copy(out.Pix[y*out.Stride:], page.Pix[i:i+r.Dx()])
	}
	return out
}

func mapped(img *image.Gray, f func(x, y int) float64) *image.Gray {
	out := image.NewGray(img.Rect)
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			out.Pix[y*out.Stride+x] = uint8(math.Round(math.Max(0, math.Min(255, f(x, y)))))
		}
	}
	return out
}

// at is a pixel, white beyond the edge.
func at(img *image.Gray, x, y int) float64 {
	if x < 0 || y < 0 || x >= img.Rect.Dx() || y >= img.Rect.Dy() {
		return 255
	}
	return float64(img.Pix[y*img.Stride+x])
}

// blurred is a Gaussian blur with a deviation of one dot.
func blurred(img *image.Gray) *image.Gray {
	once := smear(img.Pix, img.Rect.Dx(), img.Rect.Dy(), 1, img.Stride)
	return &image.Gray{Pix: smear(once, img.Rect.Dy(), img.Rect.Dx(), img.Stride, 1), Stride: img.Stride, Rect: img.Rect}
}

// smear blurs rows of n dots, step apart, lines of them, gap apart.
func smear(pix []byte, n, lines, step, gap int) []byte {
	out := make([]byte, len(pix))
	for l := range lines {
		row := l * gap
		dot := func(i int) int {
			if i < 0 || i >= n {
				return 255
			}
			return int(pix[row+i*step])
		}
		a, b, c, d := 255, 255, dot(0), dot(1)
		for i := range n {
			e := dot(i + 2)
			out[row+i*step] = byte((56*(a+e) + 250*(b+d) + 412*c + 512) / 1024)
			a, b, c, d = b, c, d, e
		}
	}
	return out
}

// faded loses a tenth of the contrast at both ends.
func faded(img *image.Gray) *image.Gray {
	out := image.NewGray(img.Rect)
	for i, v := range img.Pix {
		out.Pix[i] = byte(26 + int(v)*8/10)
	}
	return out
}

// rotated turns a picture about its middle, on a larger white field.
func rotated(img *image.Gray, degrees float64) *image.Gray {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	pad := int(math.Ceil(math.Abs(sin)*float64(max(w, h)))) + 2
	out := image.NewGray(image.Rect(0, 0, w+pad, h+pad))
	cx, cy := float64(w-1)/2, float64(h-1)/2
	ox, oy := float64(w+pad-1)/2, float64(h+pad-1)/2
	return mapped(out, func(x, y int) float64 {
		dx, dy := float64(x)-ox, float64(y)-oy
		sx, sy := cos*dx+sin*dy+cx, -sin*dx+cos*dy+cy
		x0, y0 := int(math.Floor(sx)), int(math.Floor(sy))
		fx, fy := sx-float64(x0), sy-float64(y0)
		return (at(img, x0, y0)*(1-fx)+at(img, x0+1, y0)*fx)*(1-fy) + (at(img, x0, y0+1)*(1-fx)+at(img, x0+1, y0+1)*fx)*fy
	})
}

// zxing decodes with gozxing.
func zxing(img *image.Gray, kind Symbology) (string, error) {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	source, err := gozxing.NewPlanarYUVLuminanceSource(img.Pix, w, h, 0, 0, w, h, false)
	if err != nil {
		return "", err
	}
	bitmap, err := gozxing.NewBinaryBitmap(gozxing.NewHybridBinarizer(source))
	if err != nil {
		return "", err
	}
	reader := map[Symbology]gozxing.Reader{Code128: oned.NewCode128Reader(), QR: qrcode.NewQRCodeReader(), DataMatrix: datamatrix.NewDataMatrixReader()}[kind]
	result, err := reader.Decode(bitmap, map[gozxing.DecodeHintType]interface{}{gozxing.DecodeHintType_TRY_HARDER: true})
	if err != nil {
		return "", err
	}
	return result.GetText(), nil
}

// zbar decodes files with zbarimg: for each, what was found. A missing tool fails.
func zbar(tb testing.TB, files []string) map[string][]string {
	tb.Helper()
	found := map[string][]string{}
	for chunk := range slices.Chunk(files, 200) {
		args := append([]string{"-q", "--xml", "-Sdisable", "-Scode128.enable", "-Sqrcode.enable"}, chunk...)
		out, err := exec.Command("zbarimg", args...).Output()
		var exit *exec.ExitError
		if err != nil && (!asExit(err, &exit) || exit.ExitCode() != 4) { // 4: some picture had no symbol
			tb.Fatalf("zbarimg (zbar-tools): %v", err)
		}
		var doc struct {
			Sources []struct {
				File string   `xml:"href,attr"`
				Data []string `xml:"index>symbol>data"`
			} `xml:"source"`
		}
		if err := xml.Unmarshal(out, &doc); err != nil {
			tb.Fatalf("zbarimg's answer: %v", err)
		}
		for _, s := range doc.Sources {
			for _, d := range s.Data {
				found[s.File] = append(found[s.File], strings.TrimSpace(d))
			}
		}
	}
	return found
}

// dmtx decodes a file with dmtxread; "" is nothing found. A missing tool fails.
func dmtx(tb testing.TB, file string) string {
	tb.Helper()
	out, err := exec.Command("dmtxread", "-N1", "-m5000", file).Output()
	var exit *exec.ExitError
	if err != nil && (!asExit(err, &exit) || exit.ExitCode() != 1) { // 1: no symbol
		tb.Fatalf("dmtxread (dmtx-utils): %v", err)
	}
	return string(out)
}

func asExit(err error, to **exec.ExitError) bool {
	e, ok := err.(*exec.ExitError)
	*to = e
	return ok
}
