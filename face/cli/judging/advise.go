// Package judging is the commands that ask what a decision is worth: advice before it, the review after. The games are
// played below; face/cli calls this, and the walk by hand, which prints as it does.
package judging

import (
	"cmp"
	"errors"
	"fmt"
	"io"
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
	Games    *int           `placeholder:"N" help:"Games to play, short ones for a pass, whole ones with --plans and in play; the same number gives the same advice. Every option gets two at least, each that is played to the end 128."`
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
	usual := advice.Budget{Games: desk.AdviceGames, Kept: c.Exercise != ""}
	if c.Plans {
		usual = advice.Budget{Time: plansBudget}
	}
	budget, err := command.BudgetOf(c.Games, c.Budget, usual)
	if err != nil {
		return err
	}
	var q desk.Question
	if c.Exercise != "" {
		q, err = c.saved(g)
	} else {
		q, err = c.typed(g)
	}
	if err != nil {
		return err
	}
	q.Budget, q.Plans = budget, c.Plans
	if err := c.check(&q); err != nil {
		return err
	}
	answer, err := g.Desk().Advise(g.Context, q, c.firstLook(g))
	if err == nil {
		err = toldSomething(&answer)
	}
	if err != nil {
		return command.DiskError(err)
	}
	return c.print(g, &q, &answer)
}

// toldSomething says that games were stopped before there were any.
func toldSomething(a *desk.Answer) error {
	if a.Advice != nil && a.Advice.Stopped == advice.Interrupted && a.Advice.Games+a.Advice.Whole == 0 ||
		a.Verdict != nil && a.Verdict.Stopped == advice.Interrupted && a.Verdict.Games+a.Verdict.Each == 0 {
		return command.Failed(errors.New("stopped before the first games were played"))
	}
	return nil
}

// plansBudget is how long plans are judged where nothing is said: whole games are for their time.
const plansBudget = 5 * time.Second

// saved is the decision that a route of a saved exercise waits for.
func (c *Advise) saved(g *command.Globals) (q desk.Question, err error) {
	if err := g.OfExercise("step", "vote", "give"); err != nil {
		return q, err
	}
	x, r, err := g.LoadRoute(c.Exercise, c.Route)
	if err != nil {
		return q, err
	}
	t, err := x.Replay(r)
	if err != nil {
		return q, err
	}
	if t.Game == nil && t.Now.Phase() == charleston.Over {
		return q, fmt.Errorf("route %s: there is nothing to decide, the passing is over; name another route, or fork it in secondpass walk", r.Name)
	}
	return desk.Question{Exercise: x.Exercise, Card: x.Exercise.Card, House: x.House, View: t.Now.View(), Game: t.Game, By: g.Judge(c.Players)}, nil
}

// check refuses what cannot be judged of a question, and fills in the passes asked about.
func (c *Advise) check(q *desk.Question) (err error) {
	switch {
	case q.Game != nil && (len(c.Pass) > 0 || c.Plans):
		return fmt.Errorf("--pass and --plans belong to the passing, which is over")
	case q.Game != nil && q.Game.Over():
		return fmt.Errorf("the game is over; there is nothing to decide")
	case q.Game != nil:
		return nil
	}
	if q.Named, err = Named(c.Pass, &q.View, q.Card.Set); err == nil && c.Plans && len(c.Pass) > 0 {
		err = fmt.Errorf("--plans and --pass: plans are judged, not passes; leave out one of the two")
	}
	return err
}

// firstLook tells whoever waits how a pass looks before it was played on from.
func (c *Advise) firstLook(g *command.Globals) func(desk.Answer) {
	if g.JSON || !command.IsTerminal(g.Stderr) {
		return nil
	}
	first := true
	return func(a desk.Answer) {
		if first && a.Advice != nil {
			g.Remark("at a first look: %s; playing on ...", wording.Candidate(&a.Advice.Candidates[0]))
		}
		first = false
	}
}

// print prints an answer.
func (c *Advise) print(g *command.Globals, q *desk.Question, a *desk.Answer) error {
	switch {
	case a.Verdict == nil && g.JSON:
		return g.Answer(adviceJSON(a.Advice, a.Basis))
	case a.Verdict == nil:
		PrintAdvice(g.Stdout, q.Card, &q.View, a.Advice, c.Top, a.Basis)
		return nil
	case g.JSON:
		return g.Answer(verdictJSON(a.Verdict, a.Basis))
	case q.Plans:
		fmt.Fprintf(g.Stdout, "Rack %s, %s: which section to steer for\n", q.View.Rack, wording.Step(q.View.Step))
	}
	PrintVerdict(g.Stdout, a.Verdict, a.Basis)
	return nil
}

// typed is the decision that the arguments say.
func (c *Advise) typed(g *command.Globals) (q desk.Question, err error) {
	rules, set, err := c.House()
	if err != nil {
		return q, err
	}
	crd, err := g.LoadHands(set)
	if err != nil {
		return q, err
	}
	if c.Rack == "" || c.Step == "" {
		return q, fmt.Errorf("what is to be judged: --rack and --step are right, or the name of a saved exercise")
	}
	if c.Route != "" {
		return q, fmt.Errorf("--route %s: routes belong to a saved exercise", c.Route)
	}
	q = desk.Question{Card: crd, House: rules, By: g.JudgeBySeed(cmp.Or(c.Players, exercise.DefaultPlayers))}
	v := &q.View
	if v.Rack, err = command.ParseRack(c.Rack, set); err != nil {
		return q, err
	}
	v.Seat = charleston.South
	if v.Rack.Size() == charleston.East.DealtTiles() {
		v.Seat = charleston.East
	} else if c.Dealer {
		return q, fmt.Errorf("rack %q has 13 tiles; the dealer has 14", c.Rack)
	}
	if v.Step, err = charleston.ParseStep(c.Step); err != nil {
		return q, err
	}
	v.Rules, v.Phase = rules.Passing, charleston.Passing
	return q, c.phase(g, v)
}

// phase says which decision of the step is meant.
func (c *Advise) phase(g *command.Globals, v *charleston.View) error {
	second := v.Step == charleston.SecondLeft || v.Step == charleston.SecondAcross || v.Step == charleston.LastRight
	if err := command.First(g.Together("vote", "give", "only one decision is judged at a time"), g.Together("vote", "plans", "plans are judged before a pass")); err != nil {
		return err
	}
	switch {
	case !v.Rules.SecondCharleston && (second || c.Vote):
		return fmt.Errorf("--no-second-charleston: there is no vote and no second Charleston then; another step is right, or leave the rule out")
	case !v.Rules.Courtesy && v.Step == charleston.Courtesy:
		return fmt.Errorf("--no-courtesy and --step courtesy: there is no courtesy then; leave out one of the two")
	case c.Vote && v.Step != charleston.FirstLeft:
		return fmt.Errorf("--vote at the %s: the vote is after the first left", v.Step)
	case c.Vote:
		v.Phase = charleston.Voting
	case c.Give != 0 && v.Step != charleston.Courtesy:
		return fmt.Errorf("--give at the %s: tiles are handed over at the courtesy", v.Step)
	case g.Given("give") && (c.Give < 1 || c.Give > charleston.PassTiles):
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
func Named(passes []string, v *charleston.View, set tile.Set) ([]charleston.Action, error) {
	var actions []charleston.Action
	for _, text := range passes {
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

// PrintAdvice prints the top options of a decision in the passing.
func PrintAdvice(w io.Writer, c *card.Card, v *charleston.View, a *advice.Advice, top int, on desk.Basis) {
	fmt.Fprintf(w, "Rack %s, %s\n", v.Rack, wording.Step(v.Step))
	fmt.Fprintf(w, "%s\n\n", command.Wrap(w, fmt.Sprintf("%s. Seed %d, 95 %% intervals; %s.%s",
		wording.AdvicePlayed(a), on.Seed, a.Stopped, wording.ByHouse(on.House)), 2))
	printEven(w, wording.Passed(a), wording.Standings(a))
	t := newStandings(22)
	for i := range a.Candidates {
		if o := &a.Candidates[i]; i < top || o.Named || o.Final {
			addCandidate(t, a, i)
		}
	}
	t.Print(w)
}

// printEven says how many candidates are marked as not told apart.
func printEven(w io.Writer, noun wording.Noun, all []*advice.Standing) {
	if text := wording.EvenText(noun, all); text != "" {
		fmt.Fprintf(w, "%s\n\n", command.Wrap(w, text, 0))
	}
}

// standingIndent is where what is told of a candidate begins.
const standingIndent = 6

// newStandings is candidates with their places and figures; wide is what the names get.
func newStandings(wide int) *command.Table { return command.NewTable(standingIndent, wide+1) }

func addCandidate(t *command.Table, a *advice.Advice, i int) {
	o := &a.Candidates[i]
	text := wording.Candidate(o)
	if o.Named {
		text += " (yours)"
	}
	addStanding(t, i, text, &o.Standing)
	if o.Final {
		t.Line(standingIndent, "won %s of whole games, net points %s a game", wording.Share(o.Value.Won()), wording.Points(o.Value.Net()))
	}
	if why := wording.Why(a, i); why != nil {
		t.Line(standingIndent, "%s", why)
	}
}

// addStanding adds a candidate, and how far it is behind the first.
func addStanding(t *command.Table, place int, text string, s *advice.Standing) {
	figure := wording.Early(s)
	if s.Final {
		figure = "chance " + wording.Share(s.Chance)
	}
	t.Row(fmt.Sprintf("%s%3d", command.Mark(s.Even), place+1), command.Clip(text, 32), figure)
	if s.Behind.N > 0 {
		t.Line(standingIndent, "%s", wording.Behind(s.Behind))
	}
}

type adviceAnswer struct {
	Top     []string          `json:"top"`
	Passes  []adviceCandidate `json:"passes"`
	Stopped string            `json:"stopped"`
	Seed    uint64            `json:"seed"`
	House   house.House       `json:"house"`
	Games   int               `json:"games"`
	Whole   int               `json:"whole_games"`
}

// standingJSON is a candidate's figures: the chance is null for one that was not played to the end, of which the round is
// told that it reached; n of an interval counts whole games, short the games by which the final ones were picked.
type standingJSON struct {
	Chance *stat.Interval[unit.Chance]           `json:"chance"`
	Points *stat.Interval[unit.NetPoints]        `json:"points,omitempty"`
	Won    *stat.Interval[unit.Chance]           `json:"won,omitempty"`
	Behind *stat.Interval[unit.ChanceDifference] `json:"behind,omitempty"`
	Final  bool                                  `json:"final"`
	Even   bool                                  `json:"even"`
	Short  int                                   `json:"short"`
	Round  int                                   `json:"round,omitempty"`
	Fell   bool                                  `json:"fell_out,omitempty"`
}

func standingOf(s *advice.Standing) standingJSON {
	j := standingJSON{Behind: given(s.Behind), Final: s.Final, Even: s.Even, Short: s.Short, Round: s.Round, Fell: s.Fell}
	if s.Final {
		net, won := s.Value.Net(), s.Value.Won()
		j.Chance, j.Points, j.Won = &s.Chance, &net, &won
	}
	return j
}

type adviceCandidate struct {
	Pass  string `json:"pass"`
	Blind int    `json:"blind,omitempty"`
	standingJSON
	Named bool   `json:"named,omitempty"`
	Why   string `json:"why"`
}

func adviceJSON(a *advice.Advice, on desk.Basis) adviceAnswer {
	j := adviceAnswer{Top: []string{}, Stopped: string(a.Stopped), Seed: on.Seed, House: on.House, Games: a.Games, Whole: a.Whole}
	for i := range a.Candidates {
		o := &a.Candidates[i]
		if o.Even {
			j.Top = append(j.Top, wording.Candidate(o))
		}
		blind := 0
		if o.Kind == charleston.Pass {
			blind = o.Count
		}
		j.Passes = append(j.Passes, adviceCandidate{wording.Candidate(o), blind, standingOf(&o.Standing), o.Named, wording.Why(a, i).String()})
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
