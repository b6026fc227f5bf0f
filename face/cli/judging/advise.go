// Package judging is the commands that ask what a decision is worth: advice before it, the review after. The games are
// played below; face/cli calls this, and the walk by hand, which prints as it does.
package judging

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// Advise is the command advise.
type Advise struct {
	Exercise string         `arg:"" optional:"" help:"A saved exercise, whose next decision is judged, in the passing or in play; without it --rack and --step say what to judge."`
	Route    string         `placeholder:"NAME" help:"The route of the exercise; without it the last one."`
	Rack     string         `placeholder:"TILES" help:"The rack: 13 tiles, 14 for the dealer."`
	Step     string         `placeholder:"STEP" help:"first-right, first-across, first-left, second-left, second-across, last-right or courtesy."`
	Dealer   bool           `help:"East, with 14 tiles."`
	Vote     bool           `help:"After the first left: stop or go on, instead of the pass."`
	Give     int            `placeholder:"N" help:"At the courtesy: which N tiles to hand over, instead of the number to name."`
	Pass     []string       `sep:"none" placeholder:"TILES" help:"A pass that is judged to the end whatever becomes of it; may be given several times."`
	Players  string         `placeholder:"NAME" help:"Who sits at the other seats: a player of secondpass match (strong, or the exercise's own)."`
	Games    *int           `placeholder:"N" help:"Games to play, short ones for a pass, whole ones with --plans and in play; the same number gives the same advice. Every option gets two at least, every finalist 128."`
	Budget   *time.Duration `placeholder:"TIME" help:"Play for so long, as in 5s, in place of a number of games. Without either it is 8000 games, as in the browser; 5s with --plans."`
	Plans    bool           `help:"Which section to steer for, by whole games, instead of what to pass."`
	Top      int            `default:"8" placeholder:"N" help:"So many passes are printed for people."`
	command.HouseFlags
}

// Help adds examples to the help page.
func (Advise) Help() string {
	return `Examples:
  secondpass advise --rack '3445b 17c 46689d FF J' --step first-right --dealer
  secondpass advise --rack '3445b 17c 4668d FF J' --step first-left --pass '17c 4d' --games 20000
  secondpass advise "Monday lesson" --route B`
}

func (c *Advise) Run(g *command.Globals) error {
	if c.Top < 1 {
		return fmt.Errorf("--top %d: a positive number is right", c.Top)
	}
	usual := advice.Budget{Games: desk.AdviceGames}
	if c.Plans {
		usual = advice.Budget{Time: plansBudget}
	}
	budget, err := command.BudgetOf(c.Games, c.Budget, usual)
	if err != nil {
		return err
	}
	var counsel *advice.Counsel
	var v charleston.View
	var game *exercise.Game
	if c.Exercise != "" {
		counsel, v, game, err = c.saved(g)
	} else {
		counsel, v, err = c.prepare(g)
	}
	if err != nil {
		return err
	}
	if game != nil {
		return c.play(g, counsel, game, budget)
	}
	return c.passing(g, counsel, v, budget)
}

// plansBudget is how long plans are judged where nothing is said: whole games are for their time.
const plansBudget = 5 * time.Second

// saved is the decision that a route of a saved exercise waits for; game is nil during the passing.
func (c *Advise) saved(g *command.Globals) (*advice.Counsel, charleston.View, *exercise.Game, error) {
	var v charleston.View
	if c.Rack != "" || c.Step != "" || c.Vote || c.Give != 0 || c.Dealer || c.Given() || g.Card != card.Practice().Name {
		return nil, v, nil, fmt.Errorf("a saved exercise and --rack, --step, --dealer, --vote, --give, --card or house rules: the exercise has its own; leave out one of the two")
	}
	x, err := g.LoadExercise(c.Exercise)
	if err != nil {
		return nil, v, nil, err
	}
	r := x.Routes[len(x.Routes)-1]
	if c.Route != "" {
		if r, err = x.Exercise.Route(c.Route); err != nil {
			return nil, v, nil, err
		}
	}
	t, err := x.Replay(r)
	if err != nil {
		return nil, v, nil, err
	}
	counsel, err := g.Counsel(x.Exercise, c.Players)
	return counsel, t.Now.View(), t.Game, err
}

// play judges the decision in play that a game waits for.
func (c *Advise) play(g *command.Globals, counsel *advice.Counsel, game *exercise.Game, budget advice.Budget) error {
	if len(c.Pass) > 0 || c.Plans {
		return fmt.Errorf("--pass and --plans belong to the passing, which is over")
	}
	if game.Over() {
		return fmt.Errorf("the game is over; there is nothing to decide")
	}
	state := game.State()
	verdict, err := counsel.AdvisePlay(g.Context, &state, game.View().Seat(), budget, nil)
	if err == nil {
		err = toldSomething(verdict.Stopped, verdict.Games)
	}
	if err != nil {
		return err
	}
	if g.JSON {
		return command.WriteJSON(g.Stdout, verdictJSON(&verdict, BasisOf(counsel)))
	}
	PrintVerdict(g.Stdout, &verdict, BasisOf(counsel))
	return nil
}

// toldSomething says that games were stopped before there were any.
func toldSomething(stopped advice.StopReason, games int) error {
	if stopped == advice.Interrupted && games == 0 {
		return command.Failed(errors.New("stopped before the first games were played"))
	}
	return nil
}

// passing judges a decision of the passing.
func (c *Advise) passing(g *command.Globals, counsel *advice.Counsel, v charleston.View, budget advice.Budget) error {
	named, err := c.Named(&v, counsel.Game.Set())
	if err != nil {
		return err
	}
	if c.Plans && len(c.Pass) > 0 {
		return fmt.Errorf("--plans and --pass: plans are judged, not passes; leave out one of the two")
	}
	if c.Plans {
		return c.plans(g, counsel, v, budget)
	}
	first := true
	watch := func(a advice.Advice) {
		if first && !g.JSON && command.IsTerminal(g.Stderr) {
			g.Remark("at a first look: %s; playing on ...", wording.Candidate(&a.Candidates[0]))
		}
		first = false
	}
	advice, err := counsel.Advise(g.Context, v, named, budget, watch)
	if err == nil {
		err = toldSomething(advice.Stopped, advice.Games)
	}
	if err != nil {
		return err
	}
	if g.JSON {
		return command.WriteJSON(g.Stdout, adviceJSON(counsel.Game.Card(), &advice, BasisOf(counsel)))
	}
	PrintAdvice(g.Stdout, counsel.Game.Card(), &v, &advice, c.Top, BasisOf(counsel))
	return nil
}

// prepare makes the counsel and the view from the arguments.
func (c *Advise) prepare(g *command.Globals) (*advice.Counsel, charleston.View, error) {
	var v charleston.View
	rules, set, err := c.House()
	if err != nil {
		return nil, v, err
	}
	crd, err := g.LoadHands(set)
	if err != nil {
		return nil, v, err
	}
	if c.Rack == "" || c.Step == "" {
		return nil, v, fmt.Errorf("--rack and --step are needed, or the name of a saved exercise")
	}
	if c.Route != "" {
		return nil, v, fmt.Errorf("--route %s: routes belong to a saved exercise", c.Route)
	}
	if v.Rack, err = command.ParseRack(c.Rack, set); err != nil {
		return nil, v, err
	}
	v.Seat = charleston.South
	if v.Rack.Size() == charleston.East.DealtTiles() {
		v.Seat = charleston.East
	} else if c.Dealer {
		return nil, v, fmt.Errorf("rack %q has 13 tiles; the dealer has 14", c.Rack)
	}
	if v.Step, err = charleston.ParseStep(c.Step); err != nil {
		return nil, v, err
	}
	v.Rules, v.Phase = rules.Passing, charleston.Passing
	if err := c.phase(&v); err != nil {
		return nil, v, err
	}
	if c.Players == "" {
		c.Players = exercise.DefaultPlayers
	}
	counsel, err := g.CardCounsel(crd, rules, c.Players)
	return counsel, v, err
}

// phase says which decision of the step is meant.
func (c *Advise) phase(v *charleston.View) error {
	switch {
	case c.Vote && c.Give != 0:
		return fmt.Errorf("--vote and --give: only one decision is judged at a time")
	case c.Vote && v.Step != charleston.FirstLeft:
		return fmt.Errorf("--vote at the %s: the vote is after the first left", v.Step)
	case c.Vote:
		v.Phase = charleston.Voting
	case c.Give != 0 && v.Step != charleston.Courtesy:
		return fmt.Errorf("--give at the %s: tiles are handed over at the courtesy", v.Step)
	case c.Give < 0 || c.Give > charleston.PassTiles:
		return fmt.Errorf("--give %d: 1 to %d is right", c.Give, charleston.PassTiles)
	case c.Give > 0:
		v.Phase, v.Exchange = charleston.Giving, c.Give
		v.Blind[charleston.Courtesy] = c.Give
	case v.Step == charleston.Courtesy:
		v.Phase = charleston.Naming
	}
	return nil
}

// Named reads the passes that the user asks about.
func (c *Advise) Named(v *charleston.View, set tile.Set) ([]charleston.Action, error) {
	var actions []charleston.Action
	for _, text := range c.Pass {
		own, err := exercise.ParseParcel(text, set)
		if err != nil {
			return nil, fmt.Errorf("--pass %q: %w", text, err)
		}
		a := charleston.Action{Seat: v.Seat, Own: own}
		switch v.Phase {
		case charleston.Passing:
			a.Kind, a.Count = charleston.Pass, charleston.PassTiles-own.Len()
		case charleston.Giving:
			a.Kind = charleston.Give
		default:
			return nil, fmt.Errorf("--pass %q: no tiles are passed with this decision", text)
		}
		actions = append(actions, a)
	}
	return actions, nil
}

// basis is what a judgement rests on, beside the card: the seed and the house rules.
type basis struct {
	seed  uint64
	house house.House
}

func BasisOf(c *advice.Counsel) basis { return basis{c.Seed, c.Game.House()} }

// PrintAdvice prints the top options of a decision in the passing.
func PrintAdvice(w io.Writer, c *card.Card, v *charleston.View, a *advice.Advice, top int, on basis) {
	fmt.Fprintf(w, "Rack %s, %s\n", v.Rack, wording.Step(v.Step))
	fmt.Fprintf(w, "%s\n\n", command.Wrap(w, fmt.Sprintf("%d decisions, %d short games, %d whole games of each finalist, seed %d, 95 %% intervals; %s.%s",
		len(a.Candidates), a.Games, a.Whole, on.seed, a.Stopped, wording.ByHouse(on.house)), 2))
	printEven(w, a.Top)
	for i := range a.Candidates {
		if o := &a.Candidates[i]; i < top || o.Named || o.Even && o.Final {
			printCandidate(w, c, o, i)
		}
	}
	if a.Whole > 0 {
		text := fmt.Sprintf("Check: for the first, the estimate by short games was %s percentage points from %s%s", wording.ChancePoints(a.Bias), wording.Plural(a.Whole, "whole game"), wording.Shown(a.Bias))
		if a.Level > 0 {
			text += fmt.Sprintf("; the chances above are set to the level of the whole games (times %.2f)", a.Level)
		}
		fmt.Fprintf(w, "%s\n", command.Wrap(w, text+".", 2))
	}
}

// printEven says how many candidates are marked as not told apart.
func printEven(w io.Writer, n int) {
	if n > 1 {
		fmt.Fprintf(w, "%s are marked =: these games do not show which of them is best.\n\n", strings.ToUpper(wording.Numeral(n)[:1])+wording.Numeral(n)[1:])
	}
}

func printCandidate(w io.Writer, c *card.Card, o *advice.Candidate, place int) {
	text := wording.Candidate(o)
	if o.Named {
		text += " (yours)"
	}
	figure := "chance " + wording.Share(o.Chance)
	if !o.Final {
		figure = earlyFigure(o.Chance, o.Fell, 1)
	}
	fmt.Fprintf(w, "%s%3d  %-22s %s\n", command.Mark(o.Even), place+1, text, figure)
	line := func(text string) { fmt.Fprintf(w, "      %s\n", command.Wrap(w, text, 6)) }
	if o.Behind.N > 0 {
		line(fmt.Sprintf("%s percentage points behind the first%s", wording.ChancePoints(o.Behind), wording.Shown(o.Behind)))
	}
	if o.Won.N > 0 {
		line(fmt.Sprintf("whole games: won %s, points %s a game", wording.Share(o.Won), wording.Points(o.Points)))
	}
	line(wording.Why(c, o))
}

// earlyFigure is the chance of a candidate that fell out after a round, or that none had come to when the games were stopped.
func earlyFigure(chance stat.Interval[unit.Chance], fell, places int) string {
	switch {
	case chance.N == 0:
		return "no games yet"
	case fell == 0:
		return fmt.Sprintf("about %.*f %% (%s)", places, 100*chance.Value, wording.Plural(chance.N, "game"))
	}
	return fmt.Sprintf("about %.*f %% (%s, fell out)", places, 100*chance.Value, wording.Plural(chance.N, "game"))
}

type adviceAnswer struct {
	Top     []string                              `json:"top"`
	Passes  []adviceCandidate                     `json:"passes"`
	Stopped string                                `json:"stopped"`
	Seed    uint64                                `json:"seed"`
	House   house.House                           `json:"house"`
	Games   int                                   `json:"games"`
	Whole   int                                   `json:"whole_games"`
	Bias    *stat.Interval[unit.ChanceDifference] `json:"bias,omitempty"`
	Level   float64                               `json:"level,omitempty"`
}

type adviceCandidate struct {
	Pass   string                                `json:"pass"`
	Blind  int                                   `json:"blind,omitempty"`
	Chance stat.Interval[unit.Chance]            `json:"chance"`
	Points *stat.Interval[unit.NetPoints]        `json:"points,omitempty"`
	Won    *stat.Interval[unit.Chance]           `json:"won,omitempty"`
	Behind *stat.Interval[unit.ChanceDifference] `json:"behind,omitempty"`
	Final  bool                                  `json:"final"`
	Fell   int                                   `json:"fell_out,omitempty"`
	Named  bool                                  `json:"named,omitempty"`
	Why    string                                `json:"why"`
}

func adviceJSON(c *card.Card, a *advice.Advice, on basis) adviceAnswer {
	j := adviceAnswer{Top: []string{}, Stopped: string(a.Stopped), Seed: on.seed, House: on.house, Games: a.Games, Whole: a.Whole, Bias: given(a.Bias), Level: a.Level}
	for i := range a.Candidates {
		o := &a.Candidates[i]
		if o.Even {
			j.Top = append(j.Top, wording.Candidate(o))
		}
		blind := 0
		if o.Kind == charleston.Pass {
			blind = o.Count
		}
		j.Passes = append(j.Passes, adviceCandidate{Pass: wording.Candidate(o), Blind: blind, Chance: o.Chance, Points: given(o.Points), Won: given(o.Won),
			Behind: given(o.Behind), Final: o.Final, Fell: o.Fell, Named: o.Named, Why: wording.Why(c, o)})
	}
	return j
}

// given leaves out an interval without games.
func given[U unit.Unit](i stat.Interval[U]) *stat.Interval[U] {
	if i.N == 0 {
		return nil
	}
	return &i
}
