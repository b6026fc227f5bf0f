package page

import (
	"fmt"
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

// QRCode is a QR code as its template draws it.
type QRCode struct {
	Text string
	Size int    // of the square with its margin, in modules
	Path string // of the dark modules, runs of a row together
}

// QROf is the QR code of a text.
func QROf(text string) (*QRCode, error) {
	m, err := qrMatrix(text)
	if err != nil {
		return nil, err
	}
	var path strings.Builder
	for y, row := range m {
		for x := 0; x < len(row); x++ {
			from := x
			for x < len(row) && row[x] {
				x++
			}
			if x > from {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", from+qrQuiet, y+qrQuiet, x-from, x-from)
			}
		}
	}
	return &QRCode{Text: text, Size: len(m) + 2*qrQuiet, Path: path.String()}, nil
}
