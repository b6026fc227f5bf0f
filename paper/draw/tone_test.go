package draw

import (
	"math"
	"testing"
)

// luminance is the relative luminance of a colour. Source: WCAG 2.2, "relative luminance".
func luminance(rgb uint32) float64 {
	sum := 0.
	for i, weight := range []float64{.2126, .7152, .0722} {
		c := float64(rgb>>(16-8*i)&255) / 255
		if c <= .04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

// contrast is the contrast ratio of two colours. Source: WCAG 2.2, "contrast ratio".
func contrast(a, b uint32) float64 {
	la, lb := luminance(a), luminance(b)
	return (max(la, lb) + .05) / (min(la, lb) + .05)
}

// TestContrast checks the tones against the ratios of the design's table of tokens, given there to one
// decimal, and against WCAG 2.2: 4.5 for text (1.4.3), 3 for edges (1.4.11).
func TestContrast(t *testing.T) {
	if got := contrast(0, 0xFFFFFF); math.Abs(got-21) > 1e-9 {
		t.Fatalf("black on white is %v, by the standard 21", got)
	}
	for _, c := range []struct {
		name            string
		tone, ground    Tone
		light, dark     float64
		atLeast         bool
		leastByStandard float64
	}{
		{"ink", Ink, Paper, 16.1, 14.2, false, 4.5}, {"captions", Ink2, Paper, 8.0, 8.8, false, 4.5}, {"line", Line, Paper, 4.1, 4.7, false, 3},
		{"a", RouteA, Paper, 8.0, 8.3, false, 4.5}, {"b", RouteB, Paper, 6.6, 8.2, false, 4.5}, {"c", RouteC, Paper, 6.3, 9.1, false, 4.5},
		{"bam", Bam, TileFace, 7.2, 8.0, false, 4.5}, {"crak", Crak, TileFace, 7.4, 7.2, false, 4.5}, {"dot", Dot, TileFace, 8.3, 7.6, false, 4.5}, {"flower", FlowerTone, TileFace, 7.9, 7.6, false, 4.5},
		{"bam on mark", Bam, Mark, 6.3, 5.1, true, 4.5}, {"crak on mark", Crak, Mark, 6.3, 5.1, true, 4.5}, {"dot on mark", Dot, Mark, 6.3, 5.1, true, 4.5}, {"flower on mark", FlowerTone, Mark, 6.3, 5.1, true, 4.5},
		{"bam on sunk", Bam, Sunk, 6.0, 8.8, true, 4.5}, {"crak on sunk", Crak, Sunk, 6.0, 8.8, true, 4.5}, {"dot on sunk", Dot, Sunk, 6.0, 8.8, true, 4.5}, {"flower on sunk", FlowerTone, Sunk, 6.0, 8.8, true, 4.5},
	} {
		for theme, want := range map[*Theme]float64{&Light: c.light, &Dark: c.dark} {
			got := contrast(theme[c.tone], theme[c.ground])
			if got < c.leastByStandard || got < want-.051 || !c.atLeast && got > want+.051 {
				t.Errorf("%s: contrast %.2f, the table says %.1f", c.name, got, want)
			}
		}
	}
}

// TestFiguresInCellsAreReadable checks every tone of a heat grid against the figure written on it.
func TestFiguresInCellsAreReadable(t *testing.T) {
	for _, theme := range []*Theme{&Light, &Dark, &Print} {
		for tint := 0.; tint <= darkest; tint += .01 {
			c := theme.rgb(Ink, tint)
			ground := uint32(c.R)<<16 | uint32(c.G)<<8 | uint32(c.B)
			if got := contrast(theme[Ink], ground); got < 4.5 {
				t.Errorf("a figure on tint %.2f has contrast %.2f", tint, got)
			}
		}
	}
}
