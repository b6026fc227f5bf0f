package wording

import (
	"testing"

	"secondpass/teach/drill"
)

// On the scale of the paper 400 points are odds of ten to one, so that 240 points are odds of four to one.
func TestStrengthAndDifficulty(t *testing.T) {
	for _, tt := range []struct {
		rating               drill.Rating
		strength, difficulty string
	}{
		{drill.Rating{Value: 1500, Deviation: 120.4}, "answers a middle drill right 5 times in 10 (2 to 8)", "a middle student answers it right 5 times in 10 (2 to 8)"},
		{drill.Rating{Value: 1900}, "answers a middle drill right 9 times in 10 (9 to 9)", "a middle student answers it right 1 times in 10 (1 to 1)"},
		{drill.NewRating, "answers a middle drill right 5 times in 10 (0 to 10)", "a middle student answers it right 5 times in 10 (0 to 10)"},
	} {
		if got := Strength(tt.rating); got != tt.strength {
			t.Errorf("%+v: %q, want %q", tt.rating, got, tt.strength)
		}
		if got := Difficulty(tt.rating); got != tt.difficulty {
			t.Errorf("%+v: %q, want %q", tt.rating, got, tt.difficulty)
		}
	}
}
