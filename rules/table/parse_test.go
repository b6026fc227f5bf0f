package table

import (
	"strings"
	"testing"
)

// What an action is written as is read back as the same action.
func TestParseAction(t *testing.T) {
	for _, line := range []string{
		"E discards 4c", "S claims 4c: 444c J", "W claims 0: mahjong", "N exchanges 5b for a joker of E",
		"W declares mahjong", "S declines",
	} {
		if a, err := ParseAction(line); err != nil || a.String() != line {
			t.Errorf("%q is read as %q, %v", line, a, err)
		}
	}
	for _, tt := range []struct{ line, want string }{
		{"", "is no seat"},
		{"Q discards 4c", "is no seat"},
		{"E eats 4c", "is no action"},
		{"E declines 4c", "is no action"},
		{"E discards 44c", "is not one tile"},
		{"E claims 4c: 445c", "holds 4c and jokers, not 5c"},
		{"E claims 4c: 4444444c", "a group of 7 is never claimed"},
		{"E exchanges 4c", "is no exchange"},
		{"E declares", "is nothing to declare"},
	} {
		if a, err := ParseAction(tt.line); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%q: %v, %v; want %q", tt.line, a, err, tt.want)
		}
	}
}
