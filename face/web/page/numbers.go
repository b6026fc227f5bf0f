package page

import (
	"fmt"
	"math/rand/v2"
	"net/url"
	"strconv"
	"strings"

	"secondpass/paper/wording"
)

// SeedOf reads a seed; an empty one is any.
func SeedOf(text string) (uint64, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return rand.Uint64N(1_000_000), nil
	}
	seed, err := strconv.ParseUint(text, 10, 64)
	if err != nil {
		return 0, fmt.Errorf("the seed %q: a whole number is right, as in 1", text)
	}
	return seed, nil
}

// NumberOf reads a number of a form with its bounds; an empty field is the default.
func NumberOf(f url.Values, field, what string, otherwise, low, high int) (int, error) {
	text := strings.TrimSpace(f.Get(field))
	if text == "" {
		return otherwise, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < low || n > high {
		return 0, Refused("%s %q: a number from %d to %d is right.", wording.Capital(what), text, low, high)
	}
	return n, nil
}
