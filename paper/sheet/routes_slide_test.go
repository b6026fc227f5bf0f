package sheet

import (
	"image"
	"image/color"
	"slices"
	"strings"
	"testing"

	"secondpass/exercise"
	"secondpass/paper/draw"
)

// many is figures of so many routes, the first one's repeated.
func many(figures []Figure, routes int) []Figure {
	out := slices.Clone(figures)
	for i := range out {
		for len(out[i].Words) < routes {
			out[i].Words, out[i].Spans = append(slices.Clip(out[i].Words), out[i].Words[0]), append(slices.Clip(out[i].Spans), out[i].Spans[0])
		}
	}
	return out
}

// longestRun is the longest horizontal run of a colour: no letter or line of a slide has one as long as the face of a joker, which is filled.
func longestRun(img image.Image, rgb uint32) int {
	longest, want := 0, color.Color(color.NRGBA{R: uint8(rgb >> 16), G: uint8(rgb >> 8), B: uint8(rgb), A: 255})
	for y := range img.Bounds().Dy() {
		run := 0
		for x := range img.Bounds().Dx() {
			if color.NRGBAModel.Convert(img.At(x, y)) != want {
				run = 0
				continue
			}
			run++
			longest = max(longest, run)
		}
	}
	return longest
}

// A slide of more than three routes has tiles of 40 px and more, names every route and what it leaves out, and shows the step at which each
// parts and the rack at its end.
func TestSlideOfManyRoutes(t *testing.T) {
	e, columns := walked(t, "", "", "", "", "", "")
	for n := mostWhole + 1; n <= MostRoutes; n++ {
		for _, figures := range [][]Figure{nil, many(sampleFigures, n)} {
			s := Routes(e, columns[:n], figures, Widescreen)
			if s.Width != 1920 || s.Height != 1080 {
				t.Errorf("%d routes: %.0f by %.0f", n, s.Width, s.Height)
			}
			if got := longestRun(raster(t, s, 1920), draw.Light[draw.Ink]); got < 40 {
				t.Errorf("%d routes, %d figures: the face of a joker is %d px wide, wanted 40", n, len(figures), got)
			}
			all := texts(t, s)
			if !strings.Contains(all, "are left out") {
				t.Errorf("%d routes: the slide does not say what it leaves out", n)
			}
			for i := range columns[:n] {
				if aim := exercise.AimText(columns[i].Route.Aim()); !strings.Contains(all, aim) {
					t.Errorf("%d routes: nothing of the route to %s", n, aim)
				}
			}
		}
	}
}
