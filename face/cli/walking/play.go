package walking

import (
	"fmt"
	"strings"

	"secondpass/engine/player"
	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// playHelp is the part of the help about the play.
const playHelp = `After the passing, with --incoming table or play:
  play              go on against three simulated players; their tiles are
                    dealt in agreement with what you know
  discard 4c        end your turn
  claim 444c J      claim the last discard for this group, itself among it
  mahjong           claim the last discard to win, or declare on your turn
  decline, or Enter let the discard go
  exchange 5b E     put 5b in the place of a joker in East's open group
  declare           say that your hand is complete; East may at the deal
  record            the play so far, and all tiles once the game is over
`

// playCommand carries out a command of the play; known is false for other words.
func (w *walk) playCommand(word, rest string) (known bool, err error) {
	switch word {
	case "discard":
		return true, w.discard(rest)
	case "claim", "expose":
		return true, w.claim(rest)
	case "mahjong":
		return true, w.mahjong()
	case "decline":
		return true, w.act(table.Action{Kind: table.Decline})
	case "exchange":
		return true, w.exchange(rest)
	case "declare":
		return true, w.act(table.Action{Kind: table.Declare})
	case "play":
		return true, w.playOn()
	case "record":
		return true, w.record()
	}
	return false, nil
}

// game is the play of the route, or an error where it has not begun.
func (w *walk) game() (*exercise.Game, error) {
	_, t, err := w.trail()
	if err == nil && t.Game == nil {
		err = fmt.Errorf("the play has not begun: the passing comes first")
		if w.x.Incoming != exercise.TablePasses {
			err = fmt.Errorf("the play has not begun: once the passing is over, play begins it")
		}
	}
	return t.Game, err
}

// playOn begins the play of an exercise where nobody sat at the other seats.
func (w *walk) playOn() error {
	g, err := w.x.PlayOn(w.route)
	if err != nil {
		return err
	}
	if err := w.save(); err != nil {
		return err
	}
	w.print("%s\n", command.Wrap(w.g.Stdout, wording.PlayedOn, 2))
	if err := w.tell(g, 0); err != nil {
		return err
	}
	w.show()
	return nil
}

// act carries out an action, saves it and tells what happened since.
func (w *walk) act(a table.Action) error {
	_, t, err := w.trail()
	if err != nil {
		return err
	}
	told := 0
	if t.Game != nil {
		lines, err := t.Game.Lines()
		if err != nil {
			return err
		}
		told = len(lines)
	}
	g, err := w.x.Act(w.route, a)
	if err != nil {
		return err
	}
	if err := w.save(); err != nil {
		return err
	}
	if err := w.tell(g, told); err != nil {
		return err
	}
	w.show()
	return nil
}

// tell prints what happened from line number from on.
func (w *walk) tell(g *exercise.Game, from int) error {
	lines, err := g.Lines()
	if err != nil {
		return err
	}
	for _, line := range lines[from:] {
		w.print("%s\n", command.Wrap(w.g.Stdout, "  "+line, 4))
	}
	return nil
}

// oneTile reads a single tile.
func oneTile(text, example string) (tile.Kind, error) {
	tiles, err := tile.ParseList(text)
	if err != nil {
		return 0, err
	}
	if len(tiles) != 1 {
		return 0, fmt.Errorf("%q: one tile is right, as in %s", text, example)
	}
	return tiles[0], nil
}

func (w *walk) discard(rest string) error {
	k, err := oneTile(rest, "discard 4c")
	if err != nil {
		return err
	}
	return w.act(table.Action{Kind: table.Discard, Tile: k})
}

// claimable is the discard that waits for the player's answer.
func (w *walk) claimable() (tile.Kind, error) {
	g, err := w.game()
	if err != nil {
		return 0, err
	}
	d, ok := g.View().Claimable()
	if !ok {
		return 0, fmt.Errorf("no discard waits for an answer")
	}
	return d.Tile, nil
}

func (w *walk) claim(rest string) error {
	k, err := w.claimable()
	if err != nil {
		return err
	}
	if rest == "" {
		return fmt.Errorf("the tiles of the group are missing, as in claim 444c J")
	}
	a, err := table.ParseClaim(w.x.Seat, fmt.Sprintf("%s: %s", k, rest))
	if err != nil {
		return err
	}
	return w.act(a)
}

// mahjong claims the last discard, or declares on the own turn.
func (w *walk) mahjong() error {
	_, t, err := w.trail()
	if err != nil {
		return err
	}
	if t.Game != nil {
		if d, ok := t.Game.View().Claimable(); ok {
			return w.act(table.Action{Kind: table.Mahjong, Tile: d.Tile})
		}
	}
	return w.act(table.Action{Kind: table.Declare})
}

// exchange reads "TILE SEAT"; the seat may be left out where only one has a joker in such a group.
func (w *walk) exchange(rest string) error {
	g, err := w.game()
	if err != nil {
		return err
	}
	text, who, named := strings.Cut(rest, " ")
	k, err := oneTile(text, "exchange 5b E")
	if err != nil {
		return err
	}
	a := table.Action{Kind: table.Exchange, Tile: k}
	if named {
		if a.From, err = charleston.ParseSeat(strings.TrimSpace(who)); err != nil {
			return err
		}
		return w.act(a)
	}
	found := 0
	for _, legal := range g.View().Legal() {
		if legal.Kind == table.Exchange && legal.Tile == k {
			a, found = legal, found+1
		}
	}
	if found != 1 {
		return fmt.Errorf("exchange %s: say in whose open group the joker lies, as in exchange %s E", k, k)
	}
	return w.act(a)
}

// record prints the record of a finished game. Before its end the racks and the wall are nobody's to see.
func (w *walk) record() error {
	g, err := w.game()
	if err != nil {
		return err
	}
	if !g.Over() {
		w.print("The play so far; racks and wall are shown when the game is over.\n")
		return w.tell(g, 0)
	}
	text, err := g.Record().Text()
	w.print("%s", text)
	return err
}

// showPlay prints the table as the player sees it, and what is due.
func (w *walk) showPlay(r *exercise.Route, g *exercise.Game) {
	v := g.View()
	if g.Over() {
		w.print("\nRoute %s, the game is over, %s left in the wall\n", r.Name, wording.Plural(v.WallLeft(), "tile"))
	} else {
		w.print("\nRoute %s, the play, %s left in the wall\n", r.Name, wording.Plural(v.WallLeft(), "tile"))
	}
	w.print("  rack     %s\n", v.Rack())
	if near := w.nearPlay(nil, g, player.PlanHands); near != "" {
		w.print("  nearest  %s\n", command.Wrap(w.g.Stdout, near, 11))
	}
	if plan := w.nearPlay(r.Aim(), g, player.PlanHands); len(r.Aim()) > 0 {
		w.print("  plan     %s\n", command.Wrap(w.g.Stdout, wording.OrNone(plan), 11))
	}
	for seat := range charleston.Seat(charleston.Seats) {
		if text := command.OpenText(v, seat); text != "" {
			w.print("  open %s   %s\n", seat, command.Wrap(w.g.Stdout, text, 11))
		}
	}
	w.print("  discards %s\n", command.Wrap(w.g.Stdout, wording.OrNone(command.LyingDiscards(v).String()), 11))
	w.print("%s\n", command.Wrap(w.g.Stdout, w.playDue(g), 2))
}

// nearPlay is the hands of an aim, of the whole card for none, that are nearest and still possible, in words.
func (w *walk) nearPlay(aim []string, g *exercise.Game, n int) string {
	hands, err := exercise.Hands(w.x.Exercise.Card, aim)
	if err != nil {
		return "" // the names were checked when the aim was set
	}
	return nearList(g.Nearest(hands, n))
}

// playDue says what the player is to decide, or how the game ended.
func (w *walk) playDue(g *exercise.Game) string {
	v := g.View()
	if g.Over() {
		return wording.End(w.x.Exercise, g)
	}
	var may []string
	for _, a := range v.Legal() {
		switch a.Kind {
		case table.Exchange:
			may = append(may, fmt.Sprintf("exchange %s %s", a.Tile, a.From))
		case table.Expose:
			may = append(may, "claim "+table.Exposure{Tile: a.Tile, Size: a.Size, Jokers: a.Jokers}.String())
		case table.Mahjong:
			may = append(may, "mahjong")
		case table.Declare:
			may = append(may, "declare")
		}
	}
	text := "Your turn: discard"
	if d, ok := v.Claimable(); ok {
		text = fmt.Sprintf("%s discards %s: decline (Enter)", d.Seat.Name(), d.Tile)
	}
	if len(may) > 0 {
		text += ", or " + strings.Join(may, ", ")
	}
	return text + "."
}

// planPlay prints the nearest hands with what they lack.
func (w *walk) planPlay(r *exercise.Route, g *exercise.Game) error {
	c := w.x.Exercise.Card
	hands, err := exercise.Hands(c, r.Aim())
	if err != nil {
		return err
	}
	for _, n := range g.Nearest(hands, player.PlanHands) {
		w.print("%3d  %s: %s\n", n.Away, n.OnCard().Name, wording.Groups(n.Groups()))
		w.print("      needed %s\n", wording.Tiles(n.Missing))
	}
	return nil
}
