package draw

import (
	"strings"
	"unicode"
)

// Font is one of the faces that texts are set in.
type Font uint8

// The faces: Atkinson Hyperlegible Next for all text, Source Serif 4 for headings and its italic for
// remarks. Both are under the SIL Open Font License, see fonts/.
const (
	Sans Font = iota
	Bold
	Serif
	Italic

	fonts
)

// face is a font: what its characters advance and, where there are files to read, how they look. It may be used by several
// goroutines.
type face struct {
	// files are looked through in turn for a character: Latin, then extended Latin.
	files [2]string
	// family and style are its name in a PDF, class that in a web page.
	family, style, class string
	read
}

var faces = [fonts]*face{
	Sans:   {files: [2]string{"AtkinsonHyperlegibleNext-Regular-Latin", "AtkinsonHyperlegibleNext-Regular-Ext"}, family: "sans", class: "sn"},
	Bold:   {files: [2]string{"AtkinsonHyperlegibleNext-Bold-Latin", "AtkinsonHyperlegibleNext-Bold-Ext"}, family: "sans", style: "B", class: "sb"},
	Serif:  {files: [2]string{"SourceSerif4-SemiBold-Latin", "SourceSerif4-SemiBold-Ext"}, family: "serif", style: "B", class: "sf"},
	Italic: {files: [2]string{"SourceSerif4-Italic-Latin", "SourceSerif4-Italic-Ext"}, family: "serif", style: "I", class: "si"},
}

// noBreak is a blank at which no line is broken.
const noBreak = '\u00a0'

// clean is a text in characters that the font has: composed, breaks and controls as blanks, invisible
// format characters left out, and whatever else is lacking visibly replaced.
func (f *face) clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == noBreak:
			return r
		case unicode.IsSpace(r) || unicode.IsControl(r):
			return ' '
		case unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Variation_Selector, r):
			return -1
		case !f.has(r):
			return unicode.ReplacementChar
		}
		return r
	}, composed(text))
}

// width is the width of a cleaned text at size 1. There is no kerning, here or in any back end, so that
// all draw the same.
func (f *face) width(text string) float64 {
	var sum float64
	for _, r := range text {
		sum += f.advance(r)
	}
	return sum
}

// Measure is the width of a text in a font and size.
func Measure(text string, font Font, size float64) float64 {
	f := faces[font]
	return f.width(f.clean(text)) * size
}

// Wrap breaks a text into lines no wider than width: at blanks (U+00A0 is none), and within a word only
// where it alone is too wide. An empty text has no lines.
func Wrap(text string, font Font, size, width float64) []string {
	f := faces[font]
	var lines []string
	line := ""
	for word := range strings.SplitSeq(f.clean(text), " ") {
		if word == "" {
			continue
		}
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if f.width(longer)*size <= width {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for f.width(word)*size > width {
			head := f.fitting(word, width/size)
			lines = append(lines, head)
			word = word[len(head):]
		}
		line = word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fitting is the longest beginning of a word within a width, one character at least.
func (f *face) fitting(word string, width float64) string {
	var sum float64
	for i, r := range word {
		sum += f.width(string(r))
		if i > 0 && sum > width {
			return word[:i]
		}
	}
	return word
}

// Clip shortens a text to a width with an ellipsis, where it is too wide.
func Clip(text string, font Font, size, width float64) string {
	f := faces[font]
	text = f.clean(text)
	if f.width(text)*size <= width {
		return text
	}
	return strings.TrimRight(f.fitting(text, width/size-f.width("…")), " ") + "…"
}
