package drill

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

func typed(t testing.TB, rack string, step charleston.Step) Position {
	t.Helper()
	r, err := tile.Parse(rack, tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	p, err := TypedPosition(r, step, false)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// To pass three of one kind and keep three strangers is worse than the other way round, on any card with multiples: the key of a typed
// rack says so, the teacher's words stand in place of the program's, and the file keeps both.
func TestOwnDrillFromARack(t *testing.T) {
	m := maker(t)
	p := typed(t, "2222b 3333b F N 9c 1d R", charleston.FirstAcross)
	words := NewWords(" What goes  to the seat across? ", []string{"", "Four of a kind are half a hand."})
	d, err := m.Own(context.Background(), p, []string{"9c 1d R", "2b 3b F"}, words, 5)
	if err != nil {
		t.Fatal(err)
	}
	if d.Ask() != AskPass || !d.Key.Answers[0].Right || d.Key.Answers[1].Right || d.Key.Answers[1].Cost.Low <= 0 {
		t.Errorf("asks %s, key %+v", d.Ask(), d.Key.Answers)
	}
	reasons, err := d.Reasons(card.Practice())
	if err != nil || reasons[0].Words != "" || reasons[1].Words != words.Reasons[1] {
		t.Errorf("reasons %+v, %v", reasons, err)
	}
	var b bytes.Buffer
	if err := Write(&b, card.Practice(), []*Drill{d}); err != nil {
		t.Fatal(err)
	}
	_, back, err := ReadFile(&b)
	if err != nil || len(back) != 1 || back[0].Words.Question != "What goes to the seat across?" || back[0].Ask() != AskPass || !slices.Equal(back[0].Choices, d.Choices) {
		t.Errorf("read back as %+v, %v", back, err)
	}
}

// A drill whose words of its own stand for every answer is told by them; one that teaches nothing is not offered whatever they say.
func TestTeachersWordsAreNotLookedInto(t *testing.T) {
	d := Drill{Kind: Own, Position: typed(t, "2222b 3333b F N 9c 1d R", charleston.FirstAcross), Words: Words{Reasons: []string{"Yes.", "No."}}}
	d.Choices, _ = d.Position.read(nil, []string{"2b 3b F", "9c 1d R"}) // the order is the wrong way round for what can be seen
	d.Key = Key{Answers: made(4000, 0.02, 0.5, 0.4).answers()}
	if told, err := d.Told(card.Practice()); !told || err != nil {
		t.Errorf("told %v, %v", told, err)
	}
	d.Words = Words{}
	if told, _ := d.Told(card.Practice()); told {
		t.Error("reasons that speak for the wrong answer tell it")
	}
	d.Words = Words{Reasons: []string{"Yes.", "No."}}
	d.Key = Key{Answers: made(4000, 0.02, 0.5, 0.5).answers()}
	if told, _ := d.Told(card.Practice()); told {
		t.Error("all answers are right and it is offered")
	}
}

// Moments of a recorded game, by its lines.
func TestMomentsOfARecord(t *testing.T) {
	m := maker(t)
	claim := claimPosition(t, m)
	text := claim.Position.Record
	state, err := claim.Position.Table(m.counsel.Game)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(text), "\n")
	last := len(lines)
	seat := claim.Position.Seat
	whole := text + claim.Choices[0].String() + "\n"
	if claim.Choices[0].Play.Kind == table.Decline {
		whole = text + claim.Choices[1].String() + "\n"
	}
	for _, c := range []struct {
		text string
		line int
		seat *charleston.Seat
		who  charleston.Seat
		ask  Ask
	}{
		{text, 0, &seat, seat, AskClaim},
		{text, last, &seat, seat, AskClaim},
		{whole, last + 1, nil, seat, AskClaim}, // what was claimed, asked before it was
		{text, last, nil, state.Turn(), AskTurn},
	} {
		p, err := PositionAtLine(card.Practice(), c.text, c.line, c.seat)
		if err != nil {
			t.Errorf("line %d, seat %v: %v", c.line, c.seat, err)
			continue
		}
		b, err := m.bench()
		if err != nil {
			t.Fatal(err)
		}
		answers, err := b.answersTo(&p)
		if err != nil {
			t.Fatal(err)
		}
		d := Drill{Kind: Own, Position: p, Choices: answers}
		if p.Seat != c.who || d.Ask() != c.ask {
			t.Errorf("line %d: %s is asked %s, wanted %s, %s", c.line, p.Seat, d.Ask(), c.who, c.ask)
		}
		if err := d.Check(m.counsel.Game); err != nil {
			t.Error(err)
		}
	}
	other := seat
	for other == seat || other == state.Turn() {
		other = (other + 1) % charleston.Seats
	}
	for _, c := range []struct {
		line int
		seat *charleston.Seat
		want string
	}{
		{1, nil, "no decision"}, {last + 9, nil, "the record has"}, {0, nil, "which seat"}, {-3, nil, "the record has"},
	} {
		if _, err := PositionAtLine(card.Practice(), text, c.line, c.seat); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("line %d: %v, wanted %q", c.line, err, c.want)
		}
	}
	foreign := strings.Replace(text, "card     Lantern", "card     Other", 1)
	if _, err := PositionAtLine(card.Practice(), foreign, 0, &seat); err == nil || !strings.Contains(err.Error(), `"Other"`) {
		t.Errorf("a record of another card: %v", err)
	}
	more := strings.Replace(text, "8 jokers", "10 jokers", 1)
	if _, err := PositionAtLine(card.Practice(), more, 0, &seat); err == nil || !strings.Contains(err.Error(), "8 flowers, 10 jokers, and all drills are played with 8 flowers, 8 jokers, so that") {
		t.Errorf("a record with more jokers: %v\n%s", err, text[:200])
	}
}

// Answers in the fewest words, and what is refused.
func TestOwnAnswersAsTyped(t *testing.T) {
	m := maker(t)
	p := typed(t, "2222b 3333b F N 9c 1d R", charleston.SecondLeft)
	if c, err := p.read(m.counsel.Game, []string{"9c  1d R", "N 9c + 1 blind"}); err != nil || c[1].Action.Count != 1 {
		t.Errorf("%v, %v", c, err)
	}
	for text, list := range map[string][]string{
		"one":   {"9c 1d R"},
		"twice": {"9c 1d R", "9c R 1d"},
		"what":  {"9c 1d R", "what"},
		"many":  {"2b", "2b", "2b", "2b", "2b", "2b", "2b", "2b", "2b"},
	} {
		if c, err := p.read(m.counsel.Game, list); err == nil {
			t.Errorf("%s: %v", text, c)
		}
	}
	if _, err := m.Own(context.Background(), p, []string{"9c 1d R", "4b 4b 4b"}, Words{}, 1); err == nil {
		t.Error("tiles that are not there are passed")
	}
	offer := typed(t, "2222b 3333b F N 9c 1d R", charleston.Courtesy)
	if c, err := offer.read(m.counsel.Game, []string{"0", "offer 3"}); err != nil || c[0].Action.Count != 0 || c[1].Action.Count != 3 {
		t.Errorf("%v, %v", c, err)
	}
	claim := claimPosition(t, m)
	for i, c := range claim.Choices {
		short := "let it go"
		if c.Play.Kind != table.Decline {
			_, short, _ = strings.Cut(c.String(), ": ")
		}
		if got := claim.Position.inFull(short, c.Play.Tile, true); got != c.String() {
			t.Errorf("answer %d: %q is read as %q, wanted %q", i, short, got, c)
		}
	}
	if p, err := TypedPosition(p.View.Rack, charleston.FirstRight, true); err == nil {
		t.Errorf("a vote at the first right: %+v", p)
	}
}

func TestWordsAreBounded(t *testing.T) {
	d := Drill{Choices: make([]Choice, 2)}
	for name, w := range map[string]Words{
		"long question": {Question: strings.Repeat("é", MostQuestion+1)},
		"long reason":   {Reasons: []string{strings.Repeat("x", MostReason+1)}},
		"three reasons": {Reasons: []string{"a", "b", "c"}},
		"control":       {Question: "a\x07b"},
	} {
		if d.Say(w) == nil {
			t.Error(name)
		}
	}
	if w := NewWords("  ", []string{"", " "}); !w.Empty() {
		t.Errorf("%+v is not empty", w)
	}
}
