package judging

import (
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
	"secondpass/rules/house"
)

// Review is the command review.
type Review struct {
	command.ExerciseArg
	Route   string         `placeholder:"NAME" help:"The route to review; without it the last one."`
	Players string         `placeholder:"NAME" help:"Who sits at the other seats; without it the exercise's own players, or strong ones."`
	Games   *int           `placeholder:"N" help:"Short games for each decision; the same number gives the same review."`
	Budget  *time.Duration `placeholder:"TIME" help:"Time for each decision, as in 2s, in place of a number of games. Without either it is 1000 games, as in the browser."`
}

// Help says what the figures mean.
func (Review) Help() string {
	return "Values are chances to win. Cost is what a decision fell short of the best one found, swing what came with luck; each decision begins with the value where the one before ended, from the deal to the end (docs/judgement.md). Stopped by Ctrl-C, it tells of the decisions judged by then."
}

func (c *Review) Run(g *command.Globals) error {
	if err := g.OfExercise(); err != nil {
		return err
	}
	budget, err := command.BudgetOf(c.Games, c.Budget, advice.Budget{Games: desk.ReviewGames, Kept: true})
	if err != nil {
		return err
	}
	x, r, err := g.LoadRoute(c.ExerciseArg.Exercise, c.Route)
	if err != nil {
		return err
	}
	progress, done := g.Progress(r.Len(), "decisions")
	rev, err := g.Desk().Review(g.Context, x.Exercise, r, g.Judge(c.Players), budget, func(n, _ int) {
		if progress != nil {
			progress(n)
		}
	})
	done()
	if rev.Review == nil { // stopped or not
		return stopped(g, err)
	}
	if g.JSON {
		if err := g.Answer(reviewJSON(&rev, r.Name)); err != nil {
			return err
		}
	} else {
		PrintReview(g.Stdout, &rev, x.Exercise, r)
	}
	return stopped(g, err)
}

// stopped marks the error of a review that Ctrl-C cut short as one of the work.
func stopped(g *command.Globals, err error) error {
	if err != nil && g.Context.Err() != nil {
		return command.Failed(err)
	}
	return command.DiskError(err)
}

// PrintReview prints what the decisions of a route cost.
func PrintReview(w io.Writer, rev *desk.Reviewed, e *exercise.Exercise, r *exercise.Route) {
	fmt.Fprintf(w, "Exercise %s, route %s. Values are chances to win, in per cent;\ncosts and swings are in percentage points. Seed %d, 95 %% intervals in brackets.\n", e.Name, r.Name, rev.Seed)
	if rules := wording.HouseRules(rev.House); rules != "" {
		fmt.Fprintln(w, command.Wrap(w, rules, 0))
	}
	trail, _ := e.Replay(r) // what was judged can be replayed
	f := falling{w: w, wide: min(barWide, command.Columns(w)/3)}
	f.most = max(rev.Start.Value, rev.End.Value)
	for _, worth := range rev.Worths() {
		f.most = max(f.most, worth.Before.Value, worth.Taken.Value)
	}
	fmt.Fprintln(w)
	f.value("the deal", rev.Start)
	for i := range rev.Entries {
		en := &rev.Entries[i]
		fmt.Fprintf(w, "\n%s: %s (%s)\n", wording.Step(en.Decision.Step), wording.Decision(en.Decision), wording.Plural(en.Taken.N, "game"))
		f.worth(&en.Worth, wording.Action(en.Best), wording.EntryWhy(e, &trail, rev.Review, i))
	}
	for i := range rev.Play {
		en := &rev.Play[i]
		fmt.Fprintf(w, "\ndecision %d: %s (%s)\n", en.Number+1, en.Action, wording.Plural(en.Taken.N, "game"))
		why, _ := wording.PlayWhy(e, r, en) // what was judged can be replayed
		f.worth(&en.Worth, en.Best.String(), why)
	}
	fmt.Fprintln(w)
	f.value("the end", rev.End)
	costs, swings := rev.Sums()
	fmt.Fprintf(w, "\n%.1f at the deal, %s costs, %s swings = %.1f at the end\n",
		100*rev.Start.Value, wording.Plus(-100*costs, 1), wording.Plus(100*swings, 1), 100*rev.End.Value)
	if others, draws := rev.Parts(); others != 0 || draws != 0 {
		fmt.Fprintf(w, "of the swings in play %s by what the others did, %s by the tiles drawn\n", wording.Plus(100*others, 1), wording.Plus(100*draws, 1))
	}
	fmt.Fprintf(w, "%s\n", command.Wrap(w, costliestText(rev.Review, e), 2))
}

// falling prints a ledger as a waterfall lying down: each bar runs from the value where the one above ended to the next.
type falling struct {
	w    io.Writer
	most unit.Chance // the greatest value
	wide int         // how many columns the bars have
}

// barWide is how many columns the bars have at most.
const barWide = 24

func (f *falling) at(v unit.Chance) int {
	return min(f.wide-1, int(float64(v)/max(float64(f.most), 0.01)*float64(f.wide-1)+0.5))
}

// bar runs from one value to the next: "-" down, "+" up, and "|" where it ends.
func (f *falling) bar(from, to unit.Chance) string {
	cells := []rune(strings.Repeat(" ", f.wide))
	a, b := f.at(from), f.at(to)
	fill := '+'
	if b < a {
		fill = '-'
	}
	for i := min(a, b); i <= max(a, b); i++ {
		cells[i] = fill
	}
	cells[b] = '|'
	return strings.TrimRight(string(cells), " ")
}

// line is a bar with what it stands for and its figure.
func (f *falling) line(name string, from, to unit.Chance, figure string) {
	fmt.Fprintf(f.w, "%-8s %-*s %s\n", name, f.wide, f.bar(from, to), command.Wrap(f.w, figure, f.wide+10))
}

func (f *falling) value(name string, v stat.Interval[unit.Chance]) {
	text := fmt.Sprintf("%.1f %%", 100*v.Value)
	if v.High > v.Low {
		text = wording.Share(v)
	}
	f.line(name, v.Value, v.Value, text)
}

func (f *falling) worth(worth *advice.Worth, best string, why wording.Phrase) {
	cost := "none: the best found"
	if worth.Cost.High > worth.Cost.Low {
		cost = wording.ChancePoints(worth.Cost.Negated())
		if worth.Cost.Low <= 0 {
			cost += ", no cost shown"
		}
	}
	f.line("  cost", worth.Before.Value, worth.Taken.Value, cost)
	if worth.Cost.High > worth.Cost.Low {
		fmt.Fprintf(f.w, "         best found: %s\n", command.Wrap(f.w, best, 9))
	}
	if why != nil {
		fmt.Fprintf(f.w, "         %s\n", command.Wrap(f.w, why.String(), 9))
	}
	f.line("  swing", worth.Taken.Value, worth.After.Value, wording.ChancePoints(worth.Swing)+wording.Doubted(worth.Swing))
	if parts := wording.Parts(worth); parts != "" {
		fmt.Fprintf(f.w, "         %s\n", command.Wrap(f.w, parts, 9))
	}
}

// costliestText names the costliest decision and how to walk on from there.
func costliestText(rev *advice.Review, e *exercise.Exercise) string {
	at := rev.Costliest
	if at < 0 {
		return "No decision is shown to have cost anything."
	}
	what, fork := "", ""
	if at < len(rev.Entries) {
		d := rev.Entries[at].Decision
		what, fork = fmt.Sprintf("%s at the %s", wording.Decision(d), d.Step), d.Step.Key()
	} else {
		p := &rev.Play[at-len(rev.Entries)]
		what, fork = p.Action.String(), fmt.Sprint(p.Number)
	}
	return fmt.Sprintf("The costliest decision: %s. Walk on from there with secondpass walk %q and: fork at %s", what, e.Name, fork)
}

type reviewAnswer struct {
	Route     string                     `json:"route"`
	Seed      uint64                     `json:"seed"`
	House     house.House                `json:"house"`
	Start     stat.Interval[unit.Chance] `json:"start"`
	End       stat.Interval[unit.Chance] `json:"end"`
	Balance   unit.ChanceDifference      `json:"balance"`
	Costliest int                        `json:"costliest"`
	Entries   []reviewEntry              `json:"entries"`
}

type reviewEntry struct {
	Step     string                               `json:"step"`
	Decision string                               `json:"decision"`
	Best     string                               `json:"best"`
	Before   stat.Interval[unit.Chance]           `json:"before"`
	Cost     stat.Interval[unit.ChanceDifference] `json:"cost"`
	Taken    stat.Interval[unit.Chance]           `json:"taken"`
	Swing    stat.Interval[unit.ChanceDifference] `json:"swing"`
	After    stat.Interval[unit.Chance]           `json:"after"`
	// Others and Draw are the parts of Swing that what the others did and the tile then drawn have brought; left out where none was drawn.
	Others *stat.Interval[unit.ChanceDifference] `json:"others,omitempty"`
	Draw   *stat.Interval[unit.ChanceDifference] `json:"draw,omitempty"`
}

func reviewJSON(rev *desk.Reviewed, route string) reviewAnswer {
	j := reviewAnswer{Route: route, Seed: rev.Seed, House: rev.House, Start: rev.Start, End: rev.End, Balance: rev.Balance(), Costliest: rev.Costliest}
	for i := range rev.Entries {
		en := &rev.Entries[i]
		j.Entries = append(j.Entries, worthJSON(&en.Worth, en.Decision.Step.Key(), wording.Decision(en.Decision), wording.Action(en.Best)))
	}
	for i := range rev.Play {
		en := &rev.Play[i]
		j.Entries = append(j.Entries, worthJSON(&en.Worth, "play", en.Action.String(), en.Best.String()))
	}
	return j
}

func worthJSON(w *advice.Worth, step, decision, best string) reviewEntry {
	e := reviewEntry{Step: step, Decision: decision, Best: best, Before: w.Before, Cost: w.Cost, Taken: w.Taken, Swing: w.Swing, After: w.After}
	if w.Split {
		e.Others, e.Draw = &w.Others, &w.Draw
	}
	return e
}
