package compose

import (
	"errors"
	"testing"

	"secondpass/cardmaking/plain"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// Cards of a character can be read, are what they are said to be, have no plain hand, and are the same for a seed.
func TestDrawCharacter(t *testing.T) {
	for of, hands := range map[Character]int{Clumsy: 60, Orderly: 40} {
		text, err := DrawCharacter(3, of, "")
		if err != nil {
			t.Fatal(err)
		}
		if again, _ := DrawCharacter(3, of, ""); again != text {
			t.Errorf("%s: the same seed drew another card", of)
		}
		if other, _ := DrawCharacter(4, of, ""); other == text {
			t.Errorf("%s: another seed drew the same card", of)
		}
		c, problems, err := card.Read("drawn", []byte(text), tile.Usual)
		if err != nil {
			t.Fatal(of, err, problems)
		}
		sliding, closed := 0, 0
		for i := range c.Hands {
			if why := plain.Hand(c, i); why != "" {
				t.Errorf("%s: %s: %s", of, c.Hands[i].Pattern, why)
			}
			if c.Hands[i].Options != "" && c.Hands[i].Jokers {
				sliding++
			}
			if c.Hands[i].Concealed {
				closed++
			}
		}
		if len(c.Hands) != hands || (sliding == hands) != (of == Orderly) || (closed > hands/3) != (of == Clumsy) {
			t.Errorf("%s: %d hands, %d slide, %d concealed", of, len(c.Hands), sliding, closed)
		}
	}
	for _, err := range []error{second(DrawCharacter(1, "odd", "")), second(DrawCharacter(1, Clumsy, "a#b"))} {
		if !errors.Is(err, ErrWish) {
			t.Errorf("error %v", err)
		}
	}
}

func second(_ string, err error) error { return err }
