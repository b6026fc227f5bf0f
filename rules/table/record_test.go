package table

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// find gives the games of the hand-written records.
func find(h Head) (*Game, error) {
	if h.Card != "Trial" {
		return nil, fmt.Errorf("no card %q is here", h.Card)
	}
	if !h.Points {
		return readGame("testdata/trial.card", house.House{Play: h.Play}), nil
	}
	return trial(), nil
}

func readFile(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name+".game"))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// plain is the lines of a record without remarks and with single blanks.
func plain(text string) string {
	var lines []string
	for line := range strings.Lines(text) {
		if line = strings.Join(strings.Fields(line), " "); line != "" && line[0] != '#' {
			lines = append(lines, line)
		}
	}
	return strings.Join(lines, "\n")
}

// The games in testdata were written by hand, each for the rule that its first lines name: who gets the
// tile, who draws, who is dead, who wins with what and who pays. They must replay line by line and be
// written again as they stand.
func TestGames(t *testing.T) {
	files, err := filepath.Glob("testdata/*.game")
	if err != nil || len(files) < 15 {
		t.Fatalf("%d games, %v", len(files), err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".game")
		t.Run(name, func(t *testing.T) {
			text := readFile(t, name)
			r, err := ReadRecord(text, find)
			if err != nil {
				t.Fatal(err)
			}
			s, err := r.Replay()
			if err != nil {
				t.Fatal(err)
			}
			if s.Phase() != Over {
				t.Error("the game does not come to an end")
			}
			written, err := r.Text()
			if err != nil {
				t.Fatal(err)
			}
			if plain(written) != plain(text) {
				t.Errorf("written again:\n%s\ninstead of:\n%s", plain(written), plain(text))
			}
		})
	}
}

// edit is a game with the first of a line and all after it replaced by others.
func edit(text, from, by string) string {
	before, _, found := strings.Cut(text, "\n"+from+"\n")
	if !found {
		panic("no line " + from)
	}
	return before + "\n" + by + "\n"
}

func TestReadRefuses(t *testing.T) {
	tests := []struct{ name, game, from, by, want string }{
		{"a discarded joker claimed", "joker-discarded", "S draws 1d", "S claims J: JJJ",
			"line 17: South: a discarded joker is dead and is never claimed"},
		{"mahjong on a discarded joker", "joker-discarded", "S draws 1d", "N claims J: mahjong", "a discarded joker is dead"},
		{"mahjong that completes nothing", "mahjong-before-exposure", "W claims 2c: mahjong", "N claims 2c: mahjong",
			"line 18: North: with 2c the tiles make no hand of the card"},
		{"the loser of a claim plays", "sooner-exposure", "N discards 9d", "E discards 5b", "it is North's turn, not East's"},
		{"a group the claimer has not the tiles for", "sooner-exposure", "N claims 2c: 222c J", "N claims 2c: 222c JJ",
			"the group needs 2 of J from the rack, which has 1"},
		{"a pair claimed", "sooner-exposure", "N claims 2c: 222c J", "N claims 2c: 22c", "a group of 2 is never claimed"},
		{"seven tiles claimed", "sooner-exposure", "N claims 2c: 222c J", "N claims 2c: 222c JJJJ", "a group of 7 is never claimed"},
		{"a run claimed", "sooner-exposure", "N claims 2c: 222c J", "N claims 2c: 234c", "holds 2c and jokers, not 3c"},
		{"another tile claimed", "sooner-exposure", "N claims 2c: 222c J", "N claims 9b: 99b J", "the last discard is 2c, not 9b"},
		{"two claims by one seat", "sooner-exposure", "E claims 2c: 22c JJ", "N claims 2c: mahjong", "North: with 2c the tiles make no hand"},
		{"two exposures by one seat", "sooner-exposure", "E claims 2c: 22c JJ", "N claims 2c: 222c J", "North has claimed already"},
		{"the own discard claimed", "sooner-exposure", "N claims 2c: 222c J", "W claims 2c: 222c", "nobody answers the own discard"},
		{"an earlier discard claimed", "sooner-exposure", "N claims 2c: 222c J", "S draws 1b\nN claims 2c: 222c J", "is not what comes about here"},
		{"a tile that was not drawn", "jokerless", "S draws 3d", "S draws 4d", `"S draws 4d" is not what comes about here, but "S draws 3d" is`},
		{"a tile told twice", "jokerless", "S draws 3d", "S draws 3d\nS draws 3d", `line 18: "S draws 3d" is not what comes about here`},
		{"an incomplete hand declared", "jokerless", "S declares mahjong", "S discards 3d\nW declares mahjong", "West: the fourteen tiles make no hand"},
		{"a dead hand claims", "concealed-exposed", "W declares mahjong", "W discards 3d\nS claims 3d: mahjong", "South: the hand is dead"},
		{"a dead hand discards", "dead-hand", "W draws 8c", "S discards 4c", "line 20: it is West's turn, not South's"},
		{"no joker to exchange", "exchange-wins", "E exchanges 2c for a joker of S", "E exchanges 2c for a joker of W",
			"East: West has no joker in an open group of 2c"},
		{"a joker for a joker", "own-joker", "N exchanges 2c for a joker of N", "N exchanges 2c for a joker of N\nN exchanges J for a joker of N",
			"North: only a natural tile takes the place of a joker"},
		{"a wrong payment", "jokerless", "payment E -100 S +300 W -100 N -100", "payment E -50 S +150 W -50 N -50", "is not what comes about here"},
		{"play after the end", "jokerless", "payment E -100 S +300 W -100 N -100", "W discards 9d", "the game is over"},
		{"a claim after the end", "wall", "nobody wins: the wall is empty", "nobody wins: the wall is empty\nN claims 3c: mahjong", "the game is over"},
		{"a discard before the draw is told", "jokerless", "S draws 3d", "S discards 2c", ""},
		{"no such verb", "jokerless", "S draws 3d", "S ponders 3d", "is no line of play"},
		{"no such seat", "jokerless", "S draws 3d", "Q discards 3d", `"Q" is no seat`},
		{"two tiles", "jokerless", "S draws 3d", "S discards 33d", `"33d" is not one tile`},
		{"half an exchange", "exchange-wins", "E exchanges 2c for a joker of S", "E exchanges 2c", "is no exchange"},
		{"something else declared", "jokerless", "S declares mahjong", "S declares victory", "is nothing to declare"},
		{"a head without play", "jokerless", "play", "# no play", `the line "play", which ends the head, is missing`},
		{"no head", "jokerless", "record   1", "play", "line 3: the head does not say: record"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			text := edit(readFile(t, tt.game), tt.from, tt.by)
			_, err := ReadRecord(text, find)
			if tt.want == "" && err != nil {
				t.Fatal(err)
			}
			if tt.want != "" && (err == nil || !strings.Contains(err.Error(), tt.want)) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
			if err != nil && !errors.As(err, new(*RecordError)) {
				t.Errorf("%v has no line", err)
			}
		})
	}
}

func TestReadHeadRefuses(t *testing.T) {
	text := readFile(t, "jokerless")
	tests := []struct{ name, old, new, want string }{
		{"another form", "record   1", "record   2", `line 3: records of form "2" are not known`},
		{"an unknown card", "card     Trial", "card     Torch", `line 4: no card "Torch" is here`},
		{"another set", "8 flowers", "6 flowers", `line 4: the record is of card "Trial", 6 flowers, 8 jokers, points on, not of card "Trial", 8 flowers`},
		{"no set", "8 flowers", "some flowers", "line 5: \"some flowers, 8 jokers\" is no set of tiles"},
		{"points", "8 jokers\n", "8 jokers\npoints   many\n", `line 6: points are on or off, not "many"`},
		{"twice", "8 jokers\n", "8 jokers\npoints   on\npoints   off\n", "line 7: points stands already on line 6"},
		{"a stray word", "8 jokers\n", "8 jokers\nseason   2026\n", `line 6: "season" begins no line of the head`},
		{"a rack that is none", "5678d J", "5678 J", "line 8: position 13: rank 5 has no suit"},
		{"a rack too small", "South    1111b", "South    111b", "hold 3 of 1b in all, but the set has 4"},
		{"a quote", "card     Trial", `card     "Trial`, `line 4: "Trial is no name in quotes`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			changed := strings.Replace(text, tt.old, tt.new, 1)
			if changed == text {
				t.Fatalf("no %q in the game", tt.old)
			}
			if _, err := ReadRecord(changed, find); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
		})
	}
}

// Told lines may be missing, and lines may be written with Windows ends and other blanks.
func TestReadIsLenient(t *testing.T) {
	whole := readFile(t, "dead-hand")
	want, err := ReadRecord(whole, find)
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for line := range strings.Lines(whole) {
		if !strings.Contains(line, "draws") && !strings.Contains(line, "is dead") &&
			!strings.Contains(line, " wins ") && !strings.Contains(line, "payment") {
			lines = append(lines, "\t"+strings.TrimSpace(line)+" \r\n")
		}
	}
	got, err := ReadRecord("\uFEFF"+strings.Join(lines, ""), find)
	if err != nil {
		t.Fatal(err)
	}
	if fmt.Sprint(got.Actions) != fmt.Sprint(want.Actions) {
		t.Errorf("read %v, want %v", got.Actions, want.Actions)
	}
}

// A record may stop anywhere. After a discard the answers are still to come; a claim is answered by all.
func TestReadUnfinished(t *testing.T) {
	text := readFile(t, "sooner-exposure")
	for _, tt := range []struct {
		from  string
		phase Phase
	}{
		{"S draws 9b", Claiming}, {"S discards 9b", Discarding}, {"N discards 9d", Discarding}, {"E draws 3d", Claiming},
	} {
		r, err := ReadRecord(edit(text, tt.from, ""), find)
		if err != nil {
			t.Fatal(err)
		}
		s, err := r.Replay()
		if err != nil || s.Phase() != tt.phase {
			t.Errorf("before %q: phase %d, %v; want %d", tt.from, s.Phase(), err, tt.phase)
		}
		if written, err := r.Text(); err != nil || plain(written) != plain(edit(text, tt.from, "")) {
			t.Errorf("before %q: %v, written %s", tt.from, err, written)
		}
	}
}

// Names are kept as the card has them, blanks at their ends and in a row too.
func TestRecordNames(t *testing.T) {
	c, _, err := card.Read("", []byte("card \"  two  blanks \"\nsection s\n25 exposed FF 111b 1b 2222c 333d 3d ; name \"a  name\""), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	g := NewGame(c, house.Usual)
	won := readFile(t, "dealt-hand")
	r, err := ReadRecord(won, find)
	if err != nil {
		t.Fatal(err)
	}
	r.Game = g
	text, err := r.Text()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := ReadRecord(text, func(Head) (*Game, error) { return g, nil }); err != nil {
		t.Errorf("%v in\n%s", err, text)
	}
	if !strings.Contains(text, "with a  name: FF") {
		t.Error(text)
	}
}

func TestReplayRefuses(t *testing.T) {
	r, err := ReadRecord(readFile(t, "jokerless"), find)
	if err != nil {
		t.Fatal(err)
	}
	r.Actions = r.Actions[1:]
	if _, err := r.Replay(); err == nil || !strings.Contains(err.Error(), `action 1, "S declines": South: no discard waits`) {
		t.Error(err)
	}
	if _, err := r.Text(); err == nil {
		t.Error("written all the same")
	}
}

// A record says of each house rule of the play that was not as usual how it was. One that says of a usual one that it was so, as
// earlier programs wrote, is read too.
func TestRecordsWithAndWithoutHouseRules(t *testing.T) {
	text := readFile(t, "jokerless")
	games := func(h Head) (*Game, error) {
		return readGame("testdata/trial.card", house.House{Play: h.Play}), nil
	}
	for _, rule := range house.Of(house.OfPlay) {
		usual := rule.On(house.Usual)
		if strings.Contains(text, "\n"+rule.Key) {
			t.Fatalf("the game tells of %s, which is as usual", rule.Key)
		}
		with := func(on bool) string {
			return strings.Replace(text, "\nEast ", fmt.Sprintf("\n%-8s %s\nEast ", rule.Key, onOff[on]), 1)
		}
		r, err := ReadRecord(with(usual), games)
		if err != nil {
			t.Fatal(err)
		}
		if r.Head().Play != house.Usual.Play {
			t.Errorf("%s said to be as usual: %+v", rule.Key, r.Head())
		}
		if again, err := r.Text(); err != nil || plain(again) != plain(text) {
			t.Errorf("%s said to be as usual, written as\n%s%v", rule.Key, again, err)
		}
		off := with(!usual)
		off = off[:strings.Index(off, "\npayment")+1]
		if r, err = ReadRecord(off, games); err != nil {
			t.Fatal(err)
		}
		if rule.On(r.Game.House()) == usual {
			t.Errorf("%s is as usual", rule.Key)
		}
		if again, err := r.Text(); err != nil || !strings.Contains(again, fmt.Sprintf("\n%-8s %s\n", rule.Key, onOff[!usual])) {
			t.Errorf("%s not as usual, written as\n%s%v", rule.Key, again, err)
		}
	}
}

// Without payment for wins everybody's net points are 0, and a line that tells of a payment is refused.
func TestRecordWithoutPoints(t *testing.T) {
	text := strings.Replace(readFile(t, "jokerless"), "\nEast ", "\npoints   off\nEast ", 1)
	if _, err := ReadRecord(text, find); err == nil || !strings.Contains(err.Error(), "payment") {
		t.Errorf("a payment where nothing is paid: %v", err)
	}
	r, err := ReadRecord(text[:strings.Index(text, "\npayment")+1], find)
	if err != nil {
		t.Fatal(err)
	}
	s, err := r.Replay()
	if err != nil {
		t.Fatal(err)
	}
	if got := s.Result(); got.Net != [4]int{} || got.Points == 0 {
		t.Errorf("%+v", got)
	}
}
