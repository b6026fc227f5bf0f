package sheet

import (
	"fmt"
	"strings"
	"sync"

	"secondpass/paper/draw"
	"secondpass/rules/tile"
)

// TileID is the id of a kind's drawing in the sprite, as in "t-4c" or "t-N".
func TileID(k tile.Kind) string { return "t-" + k.String() }

// The ids of the drawings that stand for no kind, and of the marks, in the sprite.
const (
	UnseenID = "t-unseen"
	EmptyID  = "t-empty"

	CameID   = "m-came"
	RightID  = "m-right"
	LeftID   = "m-left"
	AcrossID = "m-across"
	SpareID  = "m-spare"
	ChosenID = "m-chosen"
)

// Sprite is every tile and mark as one hidden SVG element, to stand once in a web page. A tile is then
// shown by <svg viewBox="0 -11 60 102"><use href="#t-4c"/><use href="#m-spare"/></svg>. Its classes
// take their colours from the page's custom properties; states come from the classes passed, chosen and
// ghost on the svg. It carries no style of its own, so that a page may forbid inline styles.
func Sprite() string { return sprite() }

// sprite is made once: every page carries it.
var sprite = sync.OnceValue(func() string {
	var b strings.Builder
	b.WriteString(`<svg class="sprite" width="0" height="0" aria-hidden="true" focusable="false"><defs>`)
	for k := range tile.Kind(tile.Kinds) {
		face := "tf"
		if k == tile.Joker {
			face = "jf"
		}
		group(&b, TileID(k), face, drawingOf(k))
	}
	group(&b, UnseenID, "tf", unseenParts)
	fmt.Fprintf(&b, `<g id="%s" class="ghost">%s</g>`, EmptyID, faceRect("tf"))
	for _, m := range marks {
		group(&b, "m-"+m.name, "", m.parts)
	}
	writeLines(&b)
	b.WriteString(`</defs></svg>`)
	return b.String()
})

func group(b *strings.Builder, id, face string, parts []part) {
	fmt.Fprintf(b, `<g id="%s">`, id)
	if face != "" {
		b.WriteString(faceRect(face))
	}
	for _, p := range parts {
		b.WriteString(spritePart(p))
	}
	b.WriteString(`</g>`)
}

func faceRect(class string) string {
	return fmt.Sprintf(`<rect class="%s" x="1.5" y="1.5" width="57" height="77" rx="%d"/>`, class, faceRadius)
}

// strokeClasses are the classes that give a stroke its colour.
var strokeClasses = map[draw.Tone]string{draw.Bam: "b", draw.Crak: "c", draw.Dot: "d", draw.Ink: "h", draw.FlowerTone: "f", draw.TileFace: "x"}

func spritePart(p part) string {
	attributes := `class="` + map[penKind]string{numeralPen: "ts ", letterPen: "tl ", footPen: "tp "}[p.pen] + strokeClasses[p.tone] + `"`
	switch p.pen {
	case finePen:
		// No class sets the width of these, so that attributes may.
		attributes += ` fill="none" stroke-width="` + draw.Number(p.width) + `" stroke-linecap="round" stroke-linejoin="round" stroke-dasharray="none"`
	case solid:
		attributes = `class="mf"`
	}
	if p.data == "" {
		return fmt.Sprintf(`<circle %s cx="%s" cy="%s" r="%s"/>`, attributes, draw.Number(p.circle[0]), draw.Number(p.circle[1]), draw.Number(p.circle[2]))
	}
	if p.sx != 0 {
		attributes += fmt.Sprintf(` transform="translate(%s %s) scale(%s %s)"`, draw.Number(p.dx), draw.Number(p.dy), draw.Number(p.sx), draw.Number(p.sy))
	}
	return fmt.Sprintf(`<path %s d="%s"/>`, attributes, p.data)
}
