package table

import (
	"strings"

	"secondpass/rules/charleston"
)

// ParseAction reads a line that [Action.String] writes, as in "E discards 4c" or "S claims 4c: 444c J". Whether
// the action is possible is for a [State] to say.
func ParseAction(line string) (Action, error) {
	who, rest, _ := strings.Cut(strings.Join(strings.Fields(line), " "), " ")
	verb, what, _ := strings.Cut(rest, " ")
	seat, err := charleston.ParseSeat(who)
	if err != nil {
		return Action{}, err
	}
	switch verb {
	case "declines":
		if what == "" {
			return Action{Seat: seat, Kind: Decline}, nil
		}
	case "claims":
		return ParseClaim(seat, what)
	case "discards", "exchanges", "declares":
		return parseTurn(who, verb, what)
	}
	return Action{}, &unknownAction{line}
}

// ParseClaim reads what a seat claims, as in "4c: 444c J" or "4c: mahjong".
func ParseClaim(seat charleston.Seat, text string) (Action, error) {
	name, group, _ := strings.Cut(text, ":")
	discard, err := parseTile(name)
	if err != nil {
		return Action{}, err
	}
	if group = strings.TrimSpace(group); group == "mahjong" {
		return Claim{Mahjong: true}.By(seat, discard), nil
	}
	return parseExposure(seat, discard, group)
}

type unknownAction struct{ line string }

func (e *unknownAction) Error() string {
	return `"` + e.line + `" is no action: a seat discards, claims, exchanges, declares or declines`
}
