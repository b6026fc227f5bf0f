package draw

// Scene is a picture as a list of shapes and texts, later ones over earlier ones. Its unit is the CSS
// pixel, 1/96 inch, with x to the right and y down.
type Scene struct {
	Width, Height float64
	// Title says in words what is to be seen, for those who cannot see it.
	Title string
	// Background is the tone behind everything, None for a transparent picture.
	Background Tone
	items      []item
}

// item is one thing in a scene: a shape, a text, or the beginning or end of a titled group.
type item struct {
	kind  itemKind
	path  Path
	style Style
	text  Text
}

type itemKind uint8

const (
	shapeItem itemKind = iota
	textItem
	openItem
	closeItem
)

// Style says how a shape is filled and outlined.
type Style struct {
	Fill Tone
	// Fade lets the fill fade into the paper: 0 is the full tone, 1 the paper.
	Fade   float64
	Stroke Tone
	// Width is that of the outline, Dash its pattern of lines and gaps.
	Width float64
	Dash  []float64
	// Round ends the lines round; corners are always round.
	Round bool
}

// Anchor says which end of a text stands at its place.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of text on its baseline.
type Text struct {
	X, Y   float64
	Text   string
	Font   Font
	Size   float64
	Anchor Anchor
	Tone   Tone
}

// left is where the text begins.
func (t *Text) left() float64 {
	switch width := Measure(t.Text, t.Font, t.Size); t.Anchor {
	case Middle:
		return t.X - width/2
	case End:
		return t.X - width
	}
	return t.X
}

// Draw adds a shape.
func (s *Scene) Draw(p Path, style Style) {
	s.items = append(s.items, item{kind: shapeItem, path: p, style: style})
}

// Write adds a text. An empty one adds nothing.
func (s *Scene) Write(t Text) {
	if t.Text == "" {
		return
	}
	if t.Tone == None {
		t.Tone = Ink
	}
	s.items = append(s.items, item{kind: textItem, text: t})
}

// Line adds a straight line with flat ends.
func (s *Scene) Line(x1, y1, x2, y2 float64, tone Tone, width float64, dash ...float64) {
	s.Draw(Polyline(x1, y1, x2, y2), Style{Stroke: tone, Width: width, Dash: dash})
}

// Open begins a group with a title, Close ends it. SVG gives the title to screen readers.
func (s *Scene) Open(title string) {
	s.items = append(s.items, item{kind: openItem, text: Text{Text: title}})
}

// Close ends a group.
func (s *Scene) Close() { s.items = append(s.items, item{kind: closeItem}) }

// Place adds all of another scene, scaled and moved. Its background is left out.
func (s *Scene) Place(other *Scene, x, y, scale float64) {
	for _, it := range other.items {
		if it.path != nil {
			it.path = it.path.Moved(scale, scale, x, y)
		}
		it.style.Width *= scale
		dash := make([]float64, len(it.style.Dash))
		for i, d := range it.style.Dash {
			dash[i] = d * scale
		}
		it.style.Dash = dash
		it.text.X, it.text.Y, it.text.Size = it.text.X*scale+x, it.text.Y*scale+y, it.text.Size*scale
		s.items = append(s.items, it)
	}
}

// Fit is a scene of the given size with this one in the middle, as large as margins of the given share
// of the shorter side allow, but no more than most times as large; most 0 sets no bound.
func (s *Scene) Fit(width, height, margin, most float64) *Scene {
	edge := min(width, height) * margin
	scale := min((width-2*edge)/s.Width, (height-2*edge)/s.Height)
	if most > 0 {
		scale = min(scale, most)
	}
	out := &Scene{Width: width, Height: height, Title: s.Title, Background: s.Background}
	out.Place(s, (width-s.Width*scale)/2, (height-s.Height*scale)/2, scale)
	return out
}

// Padded is the scene with a margin round it.
func (s *Scene) Padded(margin float64) *Scene {
	out := &Scene{Width: s.Width + 2*margin, Height: s.Height + 2*margin, Title: s.Title, Background: s.Background}
	out.Place(s, margin, margin, 1)
	return out
}
