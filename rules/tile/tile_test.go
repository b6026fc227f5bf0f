package tile

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func ExampleParse() {
	rack, err := Parse("3457 9b 44b 17c 46689d", Usual)
	fmt.Println(rack, err)
	_, err = Parse("20b", Usual)
	fmt.Println(err)
	// Output:
	// 3444579b 17c 46689d <nil>
	// position 1: rank 2 has no suit; write b, c or d after it
}

func TestParse(t *testing.T) {
	tests := []struct{ name, text, want, err string }{
		{"notation's first example", "3457 9b 44b", "3444579b", ""},
		{"notation's second example", "NEWS R G 0 FF J", "NEWS R G 0 FF J", ""},
		{"canonical suits", "3445579b 46689d 17c", "3445579b 17c 46689d", ""},
		{"canonical honours", "j ffg0 swEn gR", "NEWS R GG 0 FF J", ""},
		{"no blanks", "12b3c0FJ", "12b 3c 0 F J", ""},
		{"tab inside a cluster", "1\t2b", "12b", ""},
		{"upper-case suit letters", "1B2C3D", "1b 2c 3d", ""},
		{"byte order mark", "\uFEFF1b", "1b", ""},
		{"empty", "", "", ""},
		{"zero ends a cluster", "20b", "", "position 1: rank 2 has no suit"},
		{"zero then suit letter", "2b 0b", "", "position 5: suit letter 'b' has no rank"},
		{"wind ends a cluster", "1b 34 N", "", "position 4: rank 3 has no suit"},
		{"digits at the end", "1b 7", "", "position 4: rank 7 has no suit"},
		{"suit letter alone", "c", "", "position 1: suit letter 'c' has no rank"},
		{"other character", "1b x", "", "position 4: 'x' is no tile"},
		{"byte order mark is not counted", "\uFEFF1b x", "", "position 4: 'x' is no tile"},
		{"characters, not bytes", "1b é", "", "position 4: 'é' is no tile"},
		{"second byte order mark", "1b\uFEFF", "", "position 3:"},
		{"no UTF-8", "1b\xff", "", "position 3: a byte that is no UTF-8"},
		{"line end", "1b\n2b", "", "position 3:"},
		{"five of a kind", "55555c", "", "5 of 5c (5 crak), but the set holds 4"},
		{"nine jokers", "JJJJJJJJJ", "", "9 of J (joker), but the set holds 8"},
		{"more than 255", strings.Repeat("1", 260) + "b", "", "260 tiles, but the set holds 152"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r, err := Parse(tt.text, Usual)
			if tt.err == "" {
				if err != nil || r.String() != tt.want {
					t.Errorf("Parse(%q) = %q, %v; want %q", tt.text, r, err, tt.want)
				}
				return
			}
			if err == nil || !strings.Contains(err.Error(), tt.err) {
				t.Errorf("Parse(%q) error = %v; want %q", tt.text, err, tt.err)
			}
		})
	}
}

// A multiple is a kind of which two or more are held, jokers aside (docs/measures.md).
func TestMultiples(t *testing.T) {
	for text, want := range map[string]string{"": "", "22b 88b FFF JJ": "2288b FFF", "123b NEWS J": "", "2222b 4c 0 00": "2222b 000"} {
		r := MustParse(text)
		if got := r.Only(r.Multiples()).String(); got != want {
			t.Errorf("multiples of %q: %q, want %q", text, got, want)
		}
	}
}

// The numbers of tiles are those of docs/rules.md 1.1: 108 + 16 + 12 + 8 + 8.
func TestUsualSet(t *testing.T) {
	if n := Usual.Size(); n != 152 {
		t.Errorf("the usual set has %d tiles, want 152", n)
	}
	for k, want := range map[Kind]string{0: "1b", 8: "9b", 9: "1c", 17: "9c", 18: "1d", 26: "9d",
		27: "N", 28: "E", 29: "W", 30: "S", 31: "R", 32: "G", 33: "0", 34: "F", 35: "J"} {
		if k.String() != want {
			t.Errorf("kind %d is %s, want %s", k, k, want)
		}
	}
}

func TestHouseSet(t *testing.T) {
	s, err := NewSet(6, 10)
	if err != nil || s.Size() != 152 || s[Flower] != 6 || s[Joker] != 10 {
		t.Errorf("NewSet(6, 10) = %v, %v", s, err)
	}
	for _, bad := range [][2]int{{-1, 8}, {8, -1}, {25, 8}, {8, 11}} {
		if _, err := NewSet(bad[0], bad[1]); err == nil {
			t.Errorf("NewSet(%d, %d): no error", bad[0], bad[1])
		}
	}
}

// drawRack draws a rack that the usual set can supply.
func drawRack(t *rapid.T) Rack {
	tiles := rapid.Permutation(Usual.Tiles()).Draw(t, "tiles")
	return RackOf(tiles[:rapid.IntRange(0, 20).Draw(t, "size")]...)
}

func TestTextRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRack(t)
		for _, o := range []Order{SuitOrder, RankOrder} {
			back, err := Parse(r.Text(o), Usual)
			if err != nil || back != r {
				t.Fatalf("%q read back as %q, %v", r.Text(o), back, err)
			}
		}
	})
}

func TestPlusMinus(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawRack(t), drawRack(t)
		if a.Plus(b).Minus(b) != a {
			t.Fatalf("%q plus and minus %q", a, b)
		}
		if !a.Plus(b).Contains(a) {
			t.Fatalf("%q plus %q does not contain the first", a, b)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"3457 9b 44b", "NEWS R G 0 FF J", "20b", "\uFEFF1b", "1b\xff", "c", "55555c", "1\t2b"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := Parse(text, Usual)
		if err != nil {
			var at *ParseError
			if errors.As(err, &at) && (at.Pos < 1 || at.Pos > len([]rune(text))+1) {
				t.Fatalf("%q: position %d is outside the text", text, at.Pos)
			}
			return
		}
		again, err := Parse(r.String(), Usual)
		if err != nil || again != r {
			t.Fatalf("%q reads as %q, which reads back as %q, %v", text, r, again, err)
		}
	})
}
