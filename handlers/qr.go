package handlers

import (
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"

	"hulltally/labels"
)

// qrPicture draws a QR symbol as a picture for an img element: the policy of
// our pages lets no style or script into the page for it.
func qrPicture(payload string) (template.URL, error) {
	symbol, err := labels.NewSymbol(labels.QR, payload)
	if err != nil {
		return "", err
	}
	quiet := symbol.Quiet()
	var path strings.Builder
	for y := range symbol.Height {
		for x := range symbol.Width {
			if symbol.Dark(x, y) {
				fmt.Fprintf(&path, "M%d %dh1v1h-1z", x+quiet, y+quiet)
			}
		}
	}
	svg := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" shape-rendering="crispEdges"><path fill="#fff" d="M0 0h%[1]dv%[2]dH0z"/><path d="%s"/></svg>`,
		symbol.Width+2*quiet, symbol.Height+2*quiet, path.String())
	return template.URL("data:image/svg+xml;base64," + base64.StdEncoding.EncodeToString([]byte(svg))), nil
}
