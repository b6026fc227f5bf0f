package tile

import (
	"testing"

	"pgregory.net/rapid"
)

// What looks at eight kinds at once does what its definition says kind by kind, also with more tiles than any set has.
func TestRacksByWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) (r Rack) {
			counts := rapid.OneOf(rapid.Uint8Range(0, 2), rapid.Uint8()) // mostly as they are, now and then any
			for k := range r {
				r[k] = counts.Draw(t, name)
			}
			return r
		}
		a, b := draw("a"), draw("b")
		sum, rest, held, differs := a.Plus(b), a.Minus(b), a.Held(), a.Differs(&b)
		for k := range a {
			if want := a[k] + b[k]; sum[k] != want {
				t.Errorf("%d and %d of kind %d make %d", a[k], b[k], k, sum[k])
			}
			if want := a[k] - min(a[k], b[k]); rest[k] != want {
				t.Errorf("%d less %d of kind %d leave %d", a[k], b[k], k, rest[k])
			}
			if want := a[k] > 0; held>>k&1 == 1 != want {
				t.Errorf("%d of kind %d: held %t", a[k], k, !want)
			}
			if want := a[k] != b[k]; differs>>k&1 == 1 != want {
				t.Errorf("%d and %d of kind %d: differ %t", a[k], b[k], k, !want)
			}
		}
		if held>>Kinds != 0 || differs>>Kinds != 0 {
			t.Error("bits of kinds that there are not")
		}
	})
}
