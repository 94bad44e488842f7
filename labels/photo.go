package labels

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	_ "image/png" // photos come as JPEG or PNG
)

// A photo is cut to 3:4 and brought to this size: 20 × 27 mm at 300 dpi.
const (
	photoWidth  = 240
	photoHeight = 320
	photoLimit  = 60_000_000 // pixels; beyond it a small file could fill the memory
)

// portrait cuts a photo's middle to 3:4 and gives it as a small JPEG.
func portrait(data []byte) ([]byte, error) {
	conf, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, errors.New("the photo is neither JPEG nor PNG")
	}
	if conf.Width < 1 || conf.Height < 1 || conf.Width*conf.Height > photoLimit {
		return nil, fmt.Errorf("the photo of %d × %d pixels is too large", conf.Width, conf.Height)
	}
	src, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("the photo is damaged: %w", err)
	}
	in := src.Bounds()
	cut := in
	if w := in.Dy() * photoWidth / photoHeight; w < in.Dx() {
		cut.Min.X += (in.Dx() - w) / 2
		cut.Max.X = cut.Min.X + max(w, 1)
	} else {
		h := max(in.Dx()*photoHeight/photoWidth, 1)
		cut.Min.Y += (in.Dy() - h) / 2
		cut.Max.Y = cut.Min.Y + h
	}
	out := image.NewRGBA(image.Rect(0, 0, photoWidth, photoHeight))
	for y := range photoHeight {
		for x := range photoWidth {
			out.SetRGBA(x, y, mean(src, cut, x, y))
		}
	}
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, out, &jpeg.Options{Quality: 88}); err != nil {
		return nil, err
	}
	return buf.Bytes(), nil
}

// mean is the average of the pixels that fall on one of the small picture, on
// white where they are transparent.
func mean(src image.Image, cut image.Rectangle, x, y int) color.RGBA {
	x0, x1 := cut.Min.X+x*cut.Dx()/photoWidth, cut.Min.X+(x+1)*cut.Dx()/photoWidth
	y0, y1 := cut.Min.Y+y*cut.Dy()/photoHeight, cut.Min.Y+(y+1)*cut.Dy()/photoHeight
	x1, y1 = max(x1, x0+1), max(y1, y0+1)
	var sum [3]uint64
	n := uint64(0)
	for py := y0; py < y1; py++ {
		for px := x0; px < x1; px++ {
			r, g, b, a := src.At(px, py).RGBA()
			back := uint64(0xffff - a)
			sum[0] += uint64(r) + back
			sum[1] += uint64(g) + back
			sum[2] += uint64(b) + back
			n++
		}
	}
	return color.RGBA{uint8(sum[0] / n >> 8), uint8(sum[1] / n >> 8), uint8(sum[2] / n >> 8), 255}
}
