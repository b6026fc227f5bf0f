package liveclass

import (
	"fmt"
	"html/template"
	"strings"

	qrcode "github.com/skip2/go-qrcode"
)

// qrQuiet is the white margin around a QR code, in modules (ISO/IEC 18004 asks for 4).
const qrQuiet = 4

// qrMatrix is the modules of the QR code of a text, without the margin: rows of true for dark.
func qrMatrix(text string) ([][]bool, error) {
	q, err := qrcode.New(text, qrcode.Medium)
	if err != nil {
		return nil, fmt.Errorf("no QR code of %q: %w", text, err)
	}
	q.DisableBorder = true
	return q.Bitmap(), nil
}

// qrSVG draws the QR code of a text, dark on light whatever the page's colours: phones expect that.
func qrSVG(text string) (template.HTML, error) {
	m, err := qrMatrix(text)
	if err != nil {
		return "", err
	}
	size := len(m) + 2*qrQuiet
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="qr" viewBox="0 0 %d %d" role="img" aria-label="QR code of %s" shape-rendering="crispEdges"><rect width="%d" height="%d" fill="#fff"/><path fill="#000" d="`,
		size, size, template.HTMLEscapeString(text), size, size)
	for y, row := range m {
		for x := 0; x < len(row); x++ {
			from := x
			for x < len(row) && row[x] {
				x++
			}
			if x > from {
				fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", from+qrQuiet, y+qrQuiet, x-from, x-from)
			}
		}
	}
	b.WriteString(`"/></svg>`)
	return template.HTML(b.String()), nil
}
