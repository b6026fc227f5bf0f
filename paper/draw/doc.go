// Package draw draws in general: shapes and texts, charts, and documents of several pages, as SVG, PNG and PDF. It
// knows no tile and no exercise; package sheet draws those with it.
//
// Whatever is drawn is first a Scene, a list of shapes and texts whose colours are tones (ink, paper,
// the colour of a suit ...). The same scene is then written as SVG, PNG or PDF, so that it looks
// the same on a page, in a picture and on paper. The same scene and theme give the same bytes.
//
// DotPlot, BarChart, HistogramChart, LineChart, HeatGrid and Waterfall are charts; their Scene may go into a page by
// InlineSVG, into a Document by Drawing, or into a file by SVG, PNG or PDF. Padded leaves a margin for files.
//
// The package formats what it is given and computes nothing but where things stand.
//
// # Why there are back ends of our own
//
// The canvases of gonum.org/v1/plot/vg were tried first. They know no line ends and no line joins: the
// strokes of a numeral come out with flat ends everywhere, round corners in PNG and mitred ones in SVG
// and PDF, so that one 4 was three different pictures. Nor do they write titles for screen readers or
// colours as classes of a page. A list of paths with two thin writers over git.sr.ht/~sbinet/gg (PNG,
// which vg uses as well) and codeberg.org/go-pdf/fpdf (PDF, likewise) draws the same in all three.
package draw
