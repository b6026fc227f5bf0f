package page

import (
	"bytes"
	"encoding/json"
	"net/http"

	"secondpass/paper/draw"
	"secondpass/paper/findings"
	"secondpass/paper/sheet"
)

// widest is the width in pixels of a picture that has no size of its own.
const widest = 2400

// PictureWish is how a picture is wanted.
type PictureWish struct {
	Shape       sheet.Shape
	theme       *draw.Theme
	format      string
	transparent bool
}

// WishOf is how a request wants a picture.
func WishOf(r *http.Request) (PictureWish, error) {
	w := PictureWish{format: r.FormValue("format"), transparent: r.FormValue("background") == "none", theme: &draw.Light}
	if r.FormValue("theme") == "dark" {
		w.theme = &draw.Dark
	}
	switch size := r.FormValue("size"); size {
	case "", "natural":
	case "wide":
		w.Shape = sheet.Widescreen
	case "square":
		w.Shape = sheet.Square
	default:
		return w, Refused("A picture of size %q: natural, wide (1920 by 1080) or square (1080 by 1080) is right.", size)
	}
	switch w.format {
	case "", "png":
		w.format = "png"
	case "svg", "pdf":
	default:
		return w, Refused("A picture as %q: png, svg or pdf is right.", w.format)
	}
	return w, nil
}

// PictureWidth is the width in pixels of a picture as PNG: that of its shape, or twice what it is drawn with.
func PictureWidth(scene *draw.Scene) int {
	for _, shape := range []int{1920, 1080} {
		if int(scene.Width) == shape && int(scene.Height) == 1080 {
			return shape
		}
	}
	return min(2*int(scene.Width), widest)
}

// SendPicture answers with a scene as a file.
func SendPicture(w http.ResponseWriter, scene *draw.Scene, wish PictureWish, name string) error {
	if wish.transparent {
		scene.Background = draw.None
	}
	var data []byte
	var err error
	kind := map[string]string{"png": "image/png", "svg": "image/svg+xml", "pdf": "application/pdf"}[wish.format]
	switch wish.format {
	case "svg":
		data = scene.SVG(wish.theme)
	case "pdf":
		data, err = scene.PDF(wish.theme)
	default:
		data, err = scene.PNG(wish.theme, PictureWidth(scene))
	}
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Disposition", Attachment(name, "."+wish.format))
	_, err = w.Write(data)
	return err
}

// PaperOf is the paper asked for.
func PaperOf(r *http.Request) (draw.PaperSize, error) {
	switch paper := r.FormValue("paper"); paper {
	case "", "letter":
		return draw.Letter, nil
	case "a4":
		return draw.A4, nil
	default:
		return 0, Refused("Paper %q: letter or a4 is right.", paper)
	}
}

// SendPaper answers with a document; colour=no prints in black.
func SendPaper(w http.ResponseWriter, r *http.Request, d *draw.Document, name string) error {
	theme := &draw.Light
	if r.FormValue("colour") == "no" {
		theme = &draw.Print
	}
	data, err := d.PDF(theme)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", Attachment(name, ".pdf"))
	_, err = w.Write(data)
	return err
}

func WriteIndented(b *bytes.Buffer, v any) error {
	enc := json.NewEncoder(b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// plotMargin is left round a chart that is a file of its own.
const plotMargin = 24

// SendPlot answers with a chart as a file.
func SendPlot(w http.ResponseWriter, r *http.Request, plots []findings.Plot, name string) error {
	wish, err := WishOf(r)
	if err != nil {
		return err
	}
	p := findings.FindPlot(plots, r.FormValue("of"))
	if p == nil {
		var keys []string
		for _, p := range plots {
			keys = append(keys, p.Key)
		}
		return NotFound("There is no plot %q here; there are %q.", r.FormValue("of"), keys)
	}
	return SendPicture(w, p.Draw(0).Padded(plotMargin), wish, name+" "+p.Key)
}
