package wording

import (
	"fmt"

	"secondpass/advice"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// Noun is what is to be decided, in the singular: "pass", "discard", "plan".
type Noun string

// Count is so many of them: "1 pass", "242 passes".
func (n Noun) Count(count int) string { return fmt.Sprintf("%d %s", count, n.of(count)) }

// Spelled is that with a small number as a word: "four passes".
func (n Noun) Spelled(count int) string { return Numeral(count) + " " + n.of(count) }

func (n Noun) of(count int) string {
	switch {
	case count == 1:
		return string(n)
	case n == "pass":
		return "passes"
	}
	return string(n) + "s"
}

// Passed is what an advice is about.
func Passed(a *advice.Advice) Noun {
	if len(a.Candidates) > 0 {
		switch a.Candidates[0].Kind {
		case charleston.Vote:
			return "answer"
		case charleston.Name:
			return "number"
		}
	}
	return "pass"
}

// Chosen is what a verdict is about: plans, discards, answers to a discard, or whatever a turn allows.
func Chosen(v *advice.Verdict) Noun {
	discards, answers := 0, 0
	for i := range v.Judged {
		switch v.Judged[i].Action.Kind {
		case 0:
			return "plan"
		case table.Discard:
			discards++
		case table.Decline, table.Expose, table.Mahjong:
			answers++
		}
	}
	switch len(v.Judged) {
	case discards:
		return "discard"
	case answers:
		return "answer"
	}
	return "decision"
}

// Standings are those of the candidates of an advice, StandingsOf of a verdict, in their order.
func Standings(a *advice.Advice) []*advice.Standing {
	var all []*advice.Standing
	for i := range a.Candidates {
		all = append(all, &a.Candidates[i].Standing)
	}
	return all
}

func StandingsOf(v *advice.Verdict) []*advice.Standing {
	var all []*advice.Standing
	for i := range v.Judged {
		all = append(all, &v.Judged[i].Standing)
	}
	return all
}

func finals(all []*advice.Standing) (n int) {
	for _, s := range all {
		if s.Final {
			n++
		}
	}
	return n
}

// FirstTime says what is waited for where a card and players are judged for the first time.
const FirstTime = "The card is judged with these players for the first time: games are played that show how it goes, for a few seconds."

// AdvicePlayed is what was played for an advice: "242 passes: 8000 short games, then 500 whole games of each of the best 4".
func AdvicePlayed(a *advice.Advice) string {
	return played(Passed(a), Standings(a), a.Unlisted, Plural(a.Games, "short game"), a.Games, a.Whole, "whole game")
}

// VerdictPlayed is that for a verdict: "14 discards: 200 whole games, then 50 fresh ones of each of the best 4".
func VerdictPlayed(v *advice.Verdict) string {
	fresh := "fresh one"
	if v.Games == 0 {
		fresh = "whole game"
	}
	return played(Chosen(v), StandingsOf(v), v.Unlisted, Plural(v.Games, "whole game"), v.Games, v.Each, fresh)
}

func played(noun Noun, all []*advice.Standing, unlisted int, picking string, games, each int, fresh string) string {
	text := noun.Count(len(all) + unlisted)
	switch final := finals(all); {
	case games > 0 && each > 0:
		return fmt.Sprintf("%s: %s, then %s of each of the best %d", text, picking, Plural(each, fresh), final)
	case games > 0:
		return fmt.Sprintf("%s: %s", text, picking)
	case each > 0:
		return fmt.Sprintf("%s: %s of each", text, Plural(each, fresh))
	}
	return text
}

// EvenText says how many are marked as not told apart; "" where there is nothing to say.
func EvenText(noun Noun, all []*advice.Standing) string {
	even, shown := 0, 0
	for _, s := range all {
		if s.Even {
			even++
			if s.Final {
				shown++
			}
		}
	}
	if even < 2 {
		return ""
	}
	text := fmt.Sprintf("%s are marked =: these games do not show which of them is best.", Capital(noun.Spelled(even)))
	if shown > 0 && shown < even {
		text += fmt.Sprintf(" The %s without a chance were looked at in few games.", Numeral(even-shown))
	}
	return text
}

// Early is how far a candidate came that was not played to the end.
func Early(s *advice.Standing) string {
	games := Plural(s.Short, "game")
	switch {
	case s.Short == 0:
		return "no games yet"
	case s.Fell:
		return fmt.Sprintf("fell out in round %d, after %s", s.Round, games)
	case s.Round > 0:
		return fmt.Sprintf("not told apart in %s (round %d)", games, s.Round)
	}
	return games + " so far"
}

// Behind is how far a candidate is behind the first; a difference that is not shown is not called one.
func Behind(i stat.Interval[unit.ChanceDifference]) string {
	if i.Holds(0) {
		return fmt.Sprintf("no difference from the first shown: %s percentage points", ChancePoints(i.Negated()))
	}
	return fmt.Sprintf("%s percentage points against the first", ChancePoints(i.Negated()))
}

// Doubted says of a swing whether its error exceeds what it says.
func Doubted(i stat.Interval[unit.ChanceDifference]) string {
	if i.Holds(0) {
		return ", within its error"
	}
	return ""
}

// Parts tells what the others did from the tile drawn in a swing: "the others -0.3 (-2.1 to +1.5), the tile drawn +1.5 (+0.2 to +2.8)";
// "" where no tile was drawn.
func Parts(w *advice.Worth) string {
	if !w.Split {
		return ""
	}
	return fmt.Sprintf("the others %s, the tile drawn %s", ChancePoints(w.Others), ChancePoints(w.Draw))
}
