package drill

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

const (
	// MostChoices is the most answers of a teacher's own drill, proposed how many are chosen where the teacher names none.
	MostChoices = 8
	proposed    = 4
	// ownLeast is the number of games from which a key of a teacher's own drill that will hardly become clear is left as it is.
	ownLeast = 1024
)

// asks is what a teacher's own drill with such choices asks for at the position.
func (p *Position) asks(choices []string) Ask {
	switch {
	case p.InPlay() && endsInDiscard(p.Record):
		return AskClaim
	case p.InPlay():
		return AskTurn
	case p.View.Phase == charleston.Voting:
		return AskStop
	case p.View.Phase == charleston.Naming:
		return AskOffer
	case slices.ContainsFunc(choices, func(text string) bool { return strings.HasPrefix(text, "section ") }):
		return AskSection
	case slices.ContainsFunc(choices, func(text string) bool { return strings.HasSuffix(text, " blind") }):
		return AskBlind
	}
	return AskPass
}

// endsInDiscard says whether a record ends with a discard that waits for answers.
func endsInDiscard(record string) bool {
	text := strings.TrimRight(record, "\n")
	a, err := table.ParseAction(text[strings.LastIndexByte(text, '\n')+1:])
	return err == nil && a.Kind == table.Discard
}

// answers says whether an action answers a discard.
func answers(a table.Action) bool {
	return a.Kind == table.Decline || a.Kind == table.Expose || a.Kind == table.Mahjong
}

// TypedPosition is a moment of the passing of which the rack alone is known, by the usual house rules: the decision of a step, or the
// vote after the first left. East is who has 14 tiles, else it is South.
func TypedPosition(rack tile.Rack, step charleston.Step, vote bool) (Position, error) {
	v := charleston.View{Seat: charleston.South, Step: step, Phase: charleston.Passing, Rules: house.Usual.Passing, Rack: rack}
	switch n := rack.Size(); n {
	case charleston.East.DealtTiles():
		v.Seat = charleston.East
	case charleston.South.DealtTiles():
	default:
		return Position{}, fmt.Errorf("a rack of %d tiles; 13 are right, 14 for the dealer", n)
	}
	switch {
	case vote && step != charleston.FirstLeft:
		return Position{}, fmt.Errorf("a vote at the %s; it is after the first left", step)
	case vote:
		v.Phase = charleston.Voting
	case step == charleston.Courtesy:
		v.Phase = charleston.Naming
	}
	return PositionInPassing(v)
}

// CheckTiles says why no drill is played with a set of tiles, or nil. All drills of a card stand in one list with what their answers cost,
// and the same rack is worth something else with more jokers.
func CheckTiles(t house.Tiles) error {
	if t == house.Usual.Tiles {
		return nil
	}
	return fmt.Errorf("%s, and all drills are played with %s, so that what they cost can be compared", t.Text(), house.Usual.Tiles.Text())
}

// PositionInPassing is a moment of the passing as a seat sees it.
func PositionInPassing(v charleston.View) (Position, error) {
	if _, asked := phases[v.Phase]; !asked {
		return Position{}, errors.New("no drill asks which tiles are handed over at the courtesy; a pass, the vote, or how many are offered is right")
	}
	return Position{Seat: v.Seat, View: v}, nil
}

// PositionInPlay is the moment of a game up to which it is recorded, where a seat is to decide. Answers to the last discard that came
// before the seat's are left out: nobody knows them yet.
func PositionInPlay(rec *table.Record, seat charleston.Seat) (Position, error) {
	state, err := rec.Replay()
	if err != nil {
		return Position{}, err
	}
	cut := *rec
	for n := len(cut.Actions); state.Phase() == table.Claiming && n > 0 && answers(cut.Actions[n-1]); n-- {
		cut.Actions = cut.Actions[:n-1]
	}
	if state, err = cut.Replay(); err != nil {
		return Position{}, err
	}
	if !state.Waits(seat) || len(state.Legal(seat)) < 2 {
		return Position{}, fmt.Errorf("%s has nothing to decide there", seat.Name())
	}
	text, err := cut.Text()
	return Position{Seat: seat, Record: text}, err
}

// PositionAtLine is the moment of a recorded game of a card at which what a line of it tells was decided, counted from 1; 0 is
// the end of the record. With another seat than the one that discards there, that seat is asked to answer the discard; nil is the
// seat of the line.
func PositionAtLine(c *card.Card, text string, line int, seat *charleston.Seat) (Position, error) {
	lines := strings.Split(text, "\n")
	upto := len(lines)
	if line != 0 {
		n, who, err := moment(lines, line, seat)
		if err != nil {
			return Position{}, err
		}
		upto, seat = n, &who
	}
	game := prepared.Of(c).Game(house.Usual)
	rec, err := table.ReadRecord(strings.Join(lines[:upto], "\n"), func(h table.Head) (*table.Game, error) {
		if h.Card != c.Name {
			return nil, fmt.Errorf("the record is of a game with the card %q, not %q", h.Card, c.Name)
		}
		if err := CheckTiles(h.Tiles); err != nil {
			return nil, fmt.Errorf("the record is of a game with %w; type the rack where those hold it", err)
		}
		return game.With(house.House{Tiles: h.Tiles, Passing: game.House().Passing, Play: h.Play}), nil
	})
	if err != nil {
		return Position{}, err
	}
	if seat == nil {
		state, err := rec.Replay()
		if err != nil {
			return Position{}, err
		}
		if state.Phase() != table.Discarding {
			return Position{}, errors.New("the record ends with a discard; say which seat is to answer it")
		}
		turn := state.Turn()
		seat = &turn
	}
	return PositionInPlay(rec, *seat)
}

// moment is the number of lines before a decision that a line of a record tells, and who decides.
func moment(lines []string, line int, seat *charleston.Seat) (upto int, who charleston.Seat, err error) {
	if line < 1 || line > len(lines) {
		return 0, 0, fmt.Errorf("line %d: the record has %d", line, len(lines))
	}
	a, err := table.ParseAction(strings.TrimSpace(lines[line-1]))
	switch {
	case err != nil:
		return 0, 0, fmt.Errorf("line %d, %q, is no decision of a seat; the line of a discard, a claim, an exchange or a declared mahjong is right", line, strings.TrimSpace(lines[line-1]))
	case seat != nil && *seat != a.Seat && a.Kind == table.Discard:
		return line, *seat, nil
	case seat != nil && *seat != a.Seat:
		return 0, 0, fmt.Errorf("line %d is what %s decided, not %s", line, a.Seat.Name(), seat.Name())
	case !answers(a):
		return line - 1, a.Seat, nil
	}
	for at := line - 1; at > 0; at-- {
		if before, err := table.ParseAction(strings.TrimSpace(lines[at-1])); err == nil && before.Kind == table.Discard {
			return at, a.Seat, nil
		}
	}
	return 0, 0, fmt.Errorf("line %d answers no discard", line)
}

// Own makes a teacher's own drill: the answers that are asked about, or those that the players at hand would give where none are
// named, played on from until right and wrong stand apart, or until more games will hardly make them so. It need not teach as a
// drill that was found does; [Key.Check] and [Drill.Told] say what it lacks. What cannot be asked is a CannotAsk.
func (m *Maker) Own(ctx context.Context, p Position, choices []string, w Words, seed uint64) (*Drill, error) {
	b, err := m.bench()
	if err != nil {
		return nil, err
	}
	return b.make(ctx, p, choices, w, seed)
}

// CannotAsk is why a teacher's own drill cannot be, in a sentence that the teacher can do something about.
type CannotAsk struct{ error }

// CheckOwn says what of a teacher's own drill of a card cannot be, before games are played, or nil.
func CheckOwn(c *card.Card, p Position, choices []string, w Words) error {
	_, err := draft(prepared.Of(c).Game(house.Usual), p, choices, w)
	return err
}

// draft is a teacher's own drill without a key; without choices it has none yet.
func draft(game *table.Game, p Position, choices []string, w Words) (*Drill, error) {
	d := &Drill{Kind: Own, Position: p}
	var err error
	if len(choices) > 0 {
		d.Choices, err = p.read(game, choices)
	}
	if err == nil {
		err = d.Check(game)
	}
	if err == nil && len(choices) > 0 {
		err = d.Say(w)
	}
	if err != nil {
		return nil, CannotAsk{err}
	}
	return d, nil
}

// make is [Maker.Own].
func (b *bench) make(ctx context.Context, p Position, choices []string, w Words, seed uint64) (*Drill, error) {
	d, err := draft(b.m.counsel.Game, p, choices, w)
	if err != nil {
		return nil, err
	}
	d.Origin = Origin{Seed: seed}
	if len(choices) == 0 {
		if d.Choices, err = b.answersTo(&p); err == nil {
			err = d.Say(w)
		}
		if err != nil {
			return nil, CannotAsk{err}
		}
	}
	if d.Key, err = b.ownKey(ctx, d, seed); err != nil {
		return nil, err
	}
	switch ok, err := b.level(ctx, d, &d.Key); {
	case err != nil:
		return nil, err
	case !ok:
		return nil, CannotAsk{errors.New("short games and whole games say the opposite of these answers, so that no key can be made; ask about others")}
	case len(d.Key.Right()) == len(d.Choices):
		return nil, CannotAsk{fmt.Errorf("all these answers are right: none costs more than %.0f percentage point; ask about others", 100*Margin)}
	}
	d.NearestErrs, err = b.nearestErrs(d)
	d.Rating = Estimate(&d.Key, d.NearestErrs)
	return d, err
}

// read reads answers as they were typed.
func (p *Position) read(game *table.Game, texts []string) ([]Choice, error) {
	if len(texts) < 2 || len(texts) > MostChoices {
		return nil, fmt.Errorf("%d answers; 2 to %d are right", len(texts), MostChoices)
	}
	var discard table.Discarded
	claiming := false
	if p.InPlay() {
		state, err := p.Table(game)
		if err != nil {
			return nil, err
		}
		discard, claiming = state.View(p.Seat).Claimable()
	}
	full := make([]string, len(texts))
	for i, text := range texts {
		full[i] = p.inFull(strings.Join(strings.Fields(text), " "), discard.Tile, claiming)
	}
	ask := p.asks(full)
	var choices []Choice
	for _, text := range full {
		c, err := ParseChoice(ask, p.Seat, text)
		if err != nil {
			return nil, fmt.Errorf("answer %w", err)
		}
		if slices.Contains(choices, c) {
			return nil, fmt.Errorf("the answer %s stands twice", c)
		}
		choices = append(choices, c)
	}
	return choices, nil
}

// renewOwn is a teacher's own drill with the same answers judged for the card of the bench; nil where they cannot be given there, or
// teach nothing.
func (b *bench) renewOwn(ctx context.Context, old *Drill, seed uint64) *Drill {
	p := old.Position
	if p.InPlay() {
		p.Record = retitled(p.Record, b.m.counsel.Game.Card().Name)
	}
	d, err := b.make(ctx, p, old.texts(), old.Words, seed)
	if err != nil || d.Key.Check() != nil {
		return nil
	}
	return d
}

// inFull is an answer as ParseChoice reads it, of one in the fewest words: "4c" or "discard 4c", "444c J" or "claim 444c J", "let it
// go", "mahjong", "3" at the courtesy. discard is what waits for an answer in play, if claiming.
func (p *Position) inFull(text string, discard tile.Kind, claiming bool) string {
	if !p.InPlay() {
		if p.View.Phase == charleston.Naming && len(text) == 1 {
			return "offer " + text
		}
		return text
	}
	who := p.Seat.String() + " "
	text = strings.TrimPrefix(text, who)
	if _, err := table.ParseAction(who + text); err == nil {
		return who + text
	}
	verb, rest, _ := strings.Cut(text, " ")
	switch {
	case text == "let it go", text == "decline":
		return who + "declines"
	case claiming:
		return fmt.Sprintf("%sclaims %s: %s", who, discard, strings.TrimPrefix(text, "claim "))
	case text == "mahjong":
		return who + "declares mahjong"
	case verb == "discard", verb == "exchange", verb == "declare":
		return who + verb + "s " + rest
	}
	return who + "discards " + text
}

// ownKey is key for a drill that is kept although it may not become clear.
func (b *bench) ownKey(ctx context.Context, d *Drill, seed uint64) (Key, error) {
	s, err := b.scorer(d, keySeed(seed, d.Origin))
	if err != nil {
		return Key{}, err
	}
	looks := shortLooks
	if d.Ask().Whole() {
		looks = wholeLooks[:len(wholeLooks)-1]
	}
	t := newTally(len(d.Choices))
	for _, to := range looks {
		if err := t.play(ctx, s, to); err != nil {
			return Key{}, err
		}
		if c := t.clearness(looks[len(looks)-1]); c == clear || c == hopeless && to >= ownLeast {
			break
		}
	}
	return b.m.keyOf(t, seed), nil
}

// nearestErrs says whether what the greedy player decides there is a wrong answer.
func (b *bench) nearestErrs(d *Drill) (bool, error) {
	if d.Ask() == AskSection {
		return false, nil
	}
	nearest, err := b.answerOf(b.nearest, &d.Position)
	i := slices.Index(d.Choices, nearest)
	return i >= 0 && !d.Key.Answers[i].Right, err
}
