package experiments

import (
	"fmt"
	"io"
	"strings"
	"time"

	"secondpass/engine/player"
	"secondpass/engine/sim"
	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/work"
)

// Match is the command match.
type Match struct {
	Seats  string                `default:"strong,nearest,nearest,nearest" placeholder:"A,B,C,D" help:"The four players in the order of play."`
	Deals  int                   `default:"1000" placeholder:"N" help:"Deals; each is played four times, the players moving on a seat."`
	Test   bool                  `help:"Stop as soon as it is shown, or shown not, that the first player wins more often than the mean of the others."`
	Effect unit.ChanceDifference `default:"0.005" placeholder:"SHARE" help:"For --test: the smallest difference of win shares that matters."`
	command.HouseFlags
}

// Help adds the players and an example to the help page.
func (Match) Help() string {
	return "Players: " + strings.Join(append(player.Names(), work.Advised), ", ") + "; docs/players.md says how they play.\n\n" +
		"Example: secondpass match --seats strong+keep-flowers,strong,strong,strong --test --deals 20000\n\n" +
		"Rules a player can be held to: " + player.RuleWords + "."
}

func (c *Match) Run(g *command.Globals) error {
	m, err := c.match(g)
	if err != nil {
		return err
	}
	show, done := g.Progress(c.Deals, "deals")
	begin := time.Now()
	played, err := work.Run[*work.MatchResult](g.Context, work.New(m), command.Told(show))
	done()
	if err != nil {
		return command.Failed(err)
	}
	if played.Deals == 0 {
		return command.Failed(fmt.Errorf("stopped before the first deals were played"))
	}
	g.Remark("%.0f games a second", float64(played.Deals*sim.Rotations)/time.Since(begin).Seconds())
	r := matchResult{MatchResult: sim.MatchResult{Tally: played.Tally}, names: m.Seats[:], card: m.Card.Name, house: m.House, deals: played.Deals, seed: g.Seed, wanted: c.Deals, verdict: played.Verdict}
	if c.Test {
		r.effect, r.Watched = c.Effect, c.Deals
		r.llr, _ = played.Tally.Test(c.Effect)
	}
	if g.JSON {
		return g.Answer(r.json())
	}
	r.print(g.Stdout)
	return nil
}

// match reads the arguments.
func (c *Match) match(g *command.Globals) (*work.Match, error) {
	names := strings.Split(c.Seats, ",")
	switch {
	case g.Given("effect") && !c.Test:
		return nil, fmt.Errorf("--effect %v and no --test: only a test has an effect to look for; add --test, or leave it out", c.Effect)
	case len(names) != charleston.Seats:
		return nil, fmt.Errorf("--seats %q names %s; a table has four, as in strong,nearest,nearest,nearest", c.Seats, wording.Plural(len(names), "player"))
	case c.Deals < 1:
		return nil, fmt.Errorf("--deals %d: 1 or more is right", c.Deals)
	case !(c.Effect > 0 && c.Effect < 1):
		return nil, fmt.Errorf("--effect %v: a share above 0 and below 1 is right, as in 0.005", c.Effect)
	}
	rules, set, err := c.House()
	if err != nil {
		return nil, err
	}
	crd, err := g.LoadHands(set)
	if err != nil {
		return nil, err
	}
	tuning, err := g.Tuning(crd)
	if err != nil {
		return nil, err
	}
	m := &work.Match{Card: work.TextOf(crd), House: rules, Tuning: tuning, Seed: g.Seed, Deals: c.Deals}
	for i, name := range names {
		m.Seats[i] = strings.TrimSpace(name)
	}
	if c.Test {
		m.Effect = c.Effect
	}
	return m, m.Check()
}

// matchResult is a match to be told.
type matchResult struct {
	sim.MatchResult
	names         []string
	card          string
	house         house.House
	deals, wanted int
	seed          uint64
	// effect is 0 where nothing was tested.
	effect  unit.ChanceDifference
	llr     float64
	verdict stat.Verdict
}

// stopped says why the match ended.
func (r *matchResult) stopped() string {
	switch {
	case r.verdict != stat.NotShown:
		return "the test came to its verdict"
	case r.deals < r.wanted:
		return "interrupted"
	}
	return "all deals played"
}

type matchJSON struct {
	Deals   int                                  `json:"deals"`
	Games   int                                  `json:"games"`
	Seed    uint64                               `json:"seed"`
	Card    string                               `json:"card"`
	House   house.House                          `json:"house"`
	Players []standingJSON                       `json:"players"`
	Wall    stat.Interval[unit.Chance]           `json:"wall_games"`
	Ratio   *stat.Interval[unit.Ratio]           `json:"ratio,omitempty"`
	Lead    stat.Interval[unit.ChanceDifference] `json:"lead"`
	Points  stat.Interval[unit.NetPoints]        `json:"lead_points"`
	Test    *testJSON                            `json:"test,omitempty"`
	Stopped string                               `json:"stopped"`
}

type standingJSON struct {
	Player       string                                `json:"player"`
	WinShare     stat.Interval[unit.Chance]            `json:"win_share"`
	Points       stat.Interval[unit.NetPoints]         `json:"points"`
	WinShareLess *stat.Interval[unit.ChanceDifference] `json:"win_share_less_first,omitempty"`
	PointsLess   *stat.Interval[unit.NetPoints]        `json:"points_less_first,omitempty"`
}

type testJSON struct {
	Effect  unit.ChanceDifference `json:"effect"`
	LLR     float64               `json:"llr"`
	Verdict string                `json:"verdict"`
}

func (r *matchResult) json() matchJSON {
	j := matchJSON{Deals: r.deals, Games: r.deals * sim.Rotations, Seed: r.seed, Card: r.card, House: r.house, Wall: r.WallGames(),
		Lead: r.Lead(), Points: r.PointLead(), Stopped: r.stopped()}
	standings := r.Standings()
	for i := range standings {
		s := &standings[i]
		p := standingJSON{Player: r.names[i], WinShare: s.WinShare, Points: s.Points}
		if i > 0 {
			p.WinShareLess, p.PointsLess = &s.WinShareLess, &s.PointsLess
		}
		j.Players = append(j.Players, p)
	}
	if ratio, ok := r.Ratio(); ok && r.effect == 0 {
		j.Ratio = &ratio
	}
	if r.effect > 0 {
		j.Test = &testJSON{r.effect, r.llr, r.verdict.String()}
	}
	return j
}

// nameWidth is the columns that a player's description gets.
const nameWidth = 26

func (r *matchResult) print(w io.Writer) {
	fmt.Fprintf(w, "%s, each played four times: %s (%s)\n%s\n\n", wording.Plural(r.deals, "deal"), wording.Plural(r.deals*sim.Rotations, "game"), r.stopped(),
		command.Wrap(w, fmt.Sprintf("Card %s, seed %d, 95 %% intervals in brackets.%s", r.card, r.seed, wording.ByHouse(r.house)), 2))
	t := command.NewTable(nameWidth+1, 27)
	t.Row("Player", "wins", "net points")
	standings := r.Standings()
	for i, s := range standings {
		t.Row(command.Clip(r.names[i], nameWidth), wording.Share(s.WinShare), wording.Points(s.Points))
	}
	t.Row("nobody (wall game)", wording.Share(r.WallGames()))
	t.Print(w)
	fmt.Fprintf(w, "\n%s\n", command.Wrap(w, fmt.Sprintf("Less %s, on the same deals (wins in percentage points)", command.Clip(r.names[0], 40)), 2))
	t = command.NewTable(nameWidth+1, 27)
	for i, s := range standings[1:] {
		t.Row(command.Clip(r.names[i+1], nameWidth), wording.FineChancePoints(s.WinShareLess), wording.Points(s.PointsLess))
	}
	t.Print(w)
	fmt.Fprintf(w, "\n%s against the mean of the other three:\n", command.Clip(r.names[0], 40))
	lead := r.Lead()
	t = command.NewTable(nameWidth+1, 27)
	t.Row("  more", wording.FineChancePoints(lead), wording.Points(r.PointLead()))
	if lead.Holds(0) {
		t.Row("", "no difference shown")
	}
	t.Print(w)
	fmt.Fprintf(w, "\n%s\n", command.Wrap(w, wording.PointsCaution, 0))
	if r.effect > 0 {
		text := fmt.Sprintf("Test whether it wins more often by %.2f percentage points or not at all: %s (log-likelihood ratio %.2f; 2.94 or -2.94 decides; errors 5 %%).",
			100*r.effect, r.verdict, r.llr)
		fmt.Fprintln(w, command.Wrap(w, text, 0))
		return
	}
	if ratio, ok := r.Ratio(); ok {
		fmt.Fprintf(w, "  it wins %s times as often\n", wording.Mean(ratio))
	}
}
