package cardreport

import (
	"context"
	"encoding/json"
	"testing"

	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// read reads a card from its hand lines.
func read(t testing.TB, lines string) *card.Card {
	t.Helper()
	c, _, err := card.Read("test.card", []byte("card Test\n"+lines), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// small is a card on which something is won quickly, with a concealed hand and one without jokers.
const small = `
section Blocks
25 exposed FFFF 111x 22222x 44x
25 concealed 111x 222y 444z 888x 55y
section Others
30 exposed NNN EEE WWW SSSSS
25 exposed 246x 248y 2688z FFFF
40 exposed 111x 222x 444x 555x DDx ; slide ; no jokers
`

func settings(c *card.Card) Settings {
	tuning, _ := player.TuningFor(c)
	return Settings{Card: c, Tuning: tuning, House: house.Usual, Seed: 7}
}

func survey(t testing.TB, s Settings) *Survey {
	t.Helper()
	v, err := New(s)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// whole runs a survey to its end.
func whole(t testing.TB, s *Survey) *Tally {
	t.Helper()
	tally := &Tally{}
	if err := s.Run(context.Background(), tally, nil); err != nil {
		t.Fatal(err)
	}
	return tally
}

func text(t testing.TB, v any) string {
	t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
