package wording

import (
	"fmt"
	"strings"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/teach/drill"
)

// DrillKind is a kind of drill in a few words. It gives the answer away.
func DrillKind(k drill.Kind) string {
	return map[drill.Kind]string{
		drill.Plans:     "two plans nearly equal",
		drill.Tempting:  "a tempting wrong pass",
		drill.Breaking:  "a multiple worth breaking",
		drill.Blind:     "blind or not",
		drill.Courtesy:  "courtesy 0 or 3",
		drill.Stopping:  "stop or go on",
		drill.Refusing:  "a claim to refuse",
		drill.Taking:    "a claim to take",
		drill.Switching: "a hand to switch",
		drill.Own:       "the teacher's own",
	}[k]
}

// DrillQuestion is what a drill asks, in one sentence that gives nothing away: the teacher's own where there is one.
func DrillQuestion(d *drill.Drill) string {
	if d.Words.Question != "" {
		return d.Words.Question
	}
	step := d.Position.Step()
	switch d.Ask() {
	case drill.AskSection:
		return fmt.Sprintf("Before the %s: which section do you steer for?", step)
	case drill.AskBlind:
		return fmt.Sprintf("The %s: how many tiles do you pass blind?", step)
	case drill.AskStop:
		return "After the first left: do you stop or go on?"
	case drill.AskOffer:
		return "The courtesy: do you offer no tile or three?"
	case drill.AskClaim:
		return "The last discard: do you claim it?"
	case drill.AskTurn:
		return "Your turn: which of these do you do?"
	}
	return fmt.Sprintf("The %s: which of these do you pass?", step)
}

// DrillLacks says why a drill is not offered to students, or teaches nothing, in a sentence; "" where neither is so.
func DrillLacks(d *drill.Drill, c *card.Card) (string, error) {
	if err := d.Key.Check(); err != nil {
		return "This drill teaches nothing: " + err.Error() + ".", nil
	}
	told, err := d.Told(c)
	if err != nil || told {
		return "", err
	}
	return "This drill is not offered to students: what can be seen does not tell its right answers from the others. Give reasons of your own, and it is.", nil
}

// DrillChoice is a choice in a few words.
func DrillChoice(c drill.Choice) string {
	switch {
	case c.Section != "":
		return c.Section
	case c.Play.Kind == table.Decline:
		return "let it go"
	case c.Play.Kind == table.Discard:
		return "discard " + c.Play.Tile.String()
	case c.Play.Kind == table.Mahjong:
		return "claim it for mahjong"
	case c.Play.Kind == table.Declare:
		return "declare mahjong"
	case c.Play.Kind == table.Exchange:
		return fmt.Sprintf("exchange %s for a joker of %s", c.Play.Tile, c.Play.From.Name())
	case c.Play.Kind != 0:
		return fmt.Sprintf("claim it and lay open %s", table.Exposure{Tile: c.Play.Tile, Size: c.Play.Size, Jokers: c.Play.Jokers})
	case c.Action.Kind == charleston.Pass && c.Action.Count == charleston.PassTiles:
		return "three blind"
	}
	return Action(c.Action)
}

// PointsCaution stands wherever points are paid, won or lost.
const PointsCaution = "Points compare hands and players here. They are no money, and no forecast of what a real table brings."

// DrillChance is what the chances of a drill's answers are: of whole games, or of an old key estimated at the end of the passing.
func DrillChance(d *drill.Drill) string {
	if d.Key.WholeGames(d.Ask()) > 0 {
		return "chance to win"
	}
	return "estimated chance to win"
}

// DrillGames is by how many games: "512 whole games of each answer", or "256 whole games of the best answer and the cheapest wrong
// one, differences by 1024 short ones of each".
func DrillGames(d *drill.Drill) string {
	switch {
	case d.Ask().Whole():
		return Plural(d.Key.Games, "whole game") + " of each answer"
	case d.Key.Whole > 0:
		return fmt.Sprintf("%s of the best answer and the cheapest wrong one, differences by %d short ones of each", Plural(d.Key.Whole, "whole game"), d.Key.Games)
	}
	return Plural(d.Key.Games, "short game") + " of each answer"
}

// Cost is a chance to win thrown away, in percentage points with its interval: "7.5 (5.5 to 9.5) percentage points".
func Cost(i stat.Interval[unit.ChanceDifference]) string {
	return fmt.Sprintf("%.1f (%.1f to %.1f) percentage points", 100*i.Value, 100*i.Low, 100*i.High)
}

// Change says in a few words what a student's change is, in figures of percent: less is whether less is better.
func Change[U unit.Chance | unit.ChanceDifference](c *drill.Change[U], lessIsBetter bool) string {
	switch {
	case c.Used == 0:
		return "too few yet to look for a change"
	case !c.Shown():
		return fmt.Sprintf("no change shown yet (%s)", ChancePoints(c.Difference))
	case c.Difference.Value < 0 == lessIsBetter:
		return fmt.Sprintf("better: %s percentage points", ChancePoints(c.Difference))
	}
	return fmt.Sprintf("worse: %s percentage points", ChancePoints(c.Difference))
}

// Strength is a student's rating as a person reads it, with two deviations to either side: "answers a middle drill right 5
// times in 10 (2 to 8)".
func Strength(r drill.Rating) string {
	return "answers a middle drill right " + timesInTen(r, func(r drill.Rating) float64 { return r.Against(drill.NewRating) })
}

// Difficulty is a drill's rating likewise: "a middle student answers it right 5 times in 10 (2 to 8)".
func Difficulty(r drill.Rating) string {
	return "a middle student answers it right " + timesInTen(r, drill.NewRating.Against)
}

// timesInTen is a chance and those at both ends of a rating, the smaller one first.
func timesInTen(r drill.Rating, chance func(drill.Rating) float64) string {
	at := func(deviations float64) float64 {
		return 10 * chance(drill.Rating{Value: r.Value + deviations*r.Deviation})
	}
	low, high := min(at(-2), at(2)), max(at(-2), at(2))
	return fmt.Sprintf("%.0f times in 10 (%.0f to %.0f)", at(0), low, high)
}

// Theme is what racks are about in a few words.
func Theme(t drill.Theme) string {
	if text, ok := map[drill.Theme]string{drill.Flowers: "two flowers or more", drill.Jokers: "a joker or more", drill.Multiples: "three multiples or more",
		drill.OneSuit: "seven tiles of a suit or more", drill.TwoSections: "two sections equally near"}[t]; ok {
		return text
	}
	return "nearest in the " + string(t)
}

// Weakness is what a student is best to practise next, in a sentence.
func Weakness(w *drill.Weakness) string {
	what := "racks with " + Theme(w.Theme)
	switch {
	case w.Kind != "":
		what = DrillKind(w.Kind)
	case w.Theme == drill.TwoSections:
		what = "racks with two sections equally near"
	case strings.HasPrefix(string(w.Theme), "section "):
		what = "racks whose nearest hand is in the " + string(w.Theme)
	}
	return fmt.Sprintf("%s: right in %s of %s, which is less than in all together.", Capital(what), Share(w.Right), Plural(w.Tries, "answer"))
}

// UnknownAnswers says that some answers are to drills of no lesson here, to go on after a sentence; "" for none.
func UnknownAnswers(n int) string {
	switch n {
	case 0:
		return ""
	case 1:
		return "; 1 more is to a drill that no lesson here holds"
	}
	return fmt.Sprintf("; %d more are to drills that no lesson here holds", n)
}
