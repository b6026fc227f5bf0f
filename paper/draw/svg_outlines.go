//go:build !js

package draw

import (
	"fmt"
	"sort"
)

// defined are the ids of the glyphs of a scene.
type defined struct{ ids map[glyphKey]string }

type glyphKey struct {
	font Font
	char rune
}

// glyphUnits is the size in which glyphs are defined, large enough for two decimals to be exact enough.
const glyphUnits = 100

// glyphs defines every glyph of the scene once.
func (w *svgWriter) glyphs() {
	w.ids = map[glyphKey]string{}
	var keys []glyphKey
	for _, it := range w.scene.items {
		if it.kind != textItem {
			continue
		}
		for _, r := range faces[it.text.Font].clean(it.text.Text) {
			key := glyphKey{it.text.Font, r}
			if _, seen := w.ids[key]; !seen && r != ' ' {
				w.ids[key] = fmt.Sprintf("%s%x", faces[key.font].class, r)
				keys = append(keys, key)
			}
		}
	}
	if len(keys) == 0 {
		return
	}
	sort.Slice(keys, func(i, j int) bool {
		if keys[i].font != keys[j].font {
			return keys[i].font < keys[j].font
		}
		return keys[i].char < keys[j].char
	})
	w.out.WriteString("<defs>")
	for _, key := range keys {
		fmt.Fprintf(&w.out, `<path id="%s" d="%s"/>`, w.ids[key], pathData(faces[key.font].glyph(key.char).outline.Moved(glyphUnits, glyphUnits, 0, 0)))
	}
	w.out.WriteString("</defs>")
}

// standing draws a text in a file that stands alone.
func (w *svgWriter) standing(t *Text, f *face) {
	fmt.Fprintf(&w.out, `<g transform="translate(%s %s) scale(%.4f)" fill="%s">`, Number(t.left()), Number(t.Y), t.Size/glyphUnits, hex(w.theme.rgb(t.Tone, 1)))
	var x float64
	for _, r := range f.clean(t.Text) {
		if id, drawn := w.ids[glyphKey{t.Font, r}]; drawn {
			fmt.Fprintf(&w.out, `<use href="#%s" x="%s"/>`, id, Number(x*glyphUnits))
		}
		x += f.glyph(r).advance
	}
	w.out.WriteString("</g>")
}
