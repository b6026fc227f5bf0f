package draw

// Sizes of type in units.
const (
	CaptionSize = 16
	BodySize    = 19
	HeadSize    = 23
	TitleSize   = 30
	LargeSize   = 40
)

// LineHeight is the distance between lines, in sizes of type.
const LineHeight = 1.35

// Paragraph writes text in lines no wider than width, the first line's top at y, and returns where the
// next thing may begin.
func (s *Scene) Paragraph(x, y, width float64, text string, font Font, size float64, tone Tone) float64 {
	for _, line := range Wrap(text, font, size, width) {
		s.Write(Text{X: x, Y: y + size, Text: line, Font: font, Size: size, Tone: tone})
		y += size * LineHeight
	}
	return y
}
