package table

import (
	"os"
	"strings"
	"sync"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// trial is the game of the small card that the hand-written tests use.
var trial = sync.OnceValue(func() *Game { return readGame("testdata/trial.card", house.Usual) })

// lantern is the game of the practice card.
var lantern = sync.OnceValue(func() *Game { return NewGame(card.Practice(), house.Usual) })

func readGame(file string, rules house.House) *Game { return readGameFor(file, rules, tile.Usual) }

func readGameFor(file string, rules house.House, set tile.Set) *Game {
	data, err := os.ReadFile(file)
	if err != nil {
		panic(err)
	}
	c, _, err := card.Read(file, data, set)
	if err != nil {
		panic(err)
	}
	return NewGame(c, rules)
}

func rackOf(text string) tile.Rack { return tile.RackOf(tiles(text)...) }

func tiles(text string) []tile.Kind {
	list, err := tile.ParseList(text)
	if err != nil {
		panic(err)
	}
	return list
}

// act reads a line of play as an action, "E declines" among them.
func act(t *testing.T, line string) Action {
	t.Helper()
	who, rest, _ := strings.Cut(line, " ")
	seat, err := charleston.ParseSeat(who)
	if err != nil {
		t.Fatal(err)
	}
	verb, what, _ := strings.Cut(rest, " ")
	a := Action{Seat: seat, Kind: Decline}
	switch verb {
	case "declines":
	case "claims":
		name, group, _ := strings.Cut(what, ": ")
		if a = (Action{Seat: seat, Kind: Mahjong, Tile: tiles(name)[0]}); group != "mahjong" {
			a, err = parseExposure(seat, a.Tile, group)
		}
	default:
		a, err = parseTurn(who, verb, what)
	}
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// layout is a position in text. What racks lack is dealt from the tiles left, and the wall is the rest.
type layout struct {
	phase Phase
	turn  charleston.Seat
	racks [charleston.Seats]string
	// open has the groups of a seat, parted by commas.
	open [charleston.Seats]string
	// discards are tiles of the seat in turn.
	discards string
	wall     string
}

func (l layout) position(t *testing.T, set tile.Set) Position {
	t.Helper()
	p := Position{Phase: l.phase, Turn: l.turn, Wall: tiles(l.wall)}
	left := tile.Rack(set)
	take := func(r tile.Rack) {
		if !left.Contains(r) {
			t.Fatalf("the layout has tiles more often than the set")
		}
		left = left.Minus(r)
	}
	take(tile.RackOf(p.Wall...))
	for seat := range p.Racks {
		p.Racks[seat] = rackOf(l.racks[seat])
		take(p.Racks[seat])
		for group := range strings.SplitSeq(l.open[seat], ",") {
			if r := rackOf(group); r.Size() > 0 {
				take(r)
				natural := tiles(strings.ReplaceAll(group, "J", ""))[0]
				p.Open[seat] = append(p.Open[seat], Exposure{Tile: natural, Size: uint8(r.Size()), Jokers: r[tile.Joker]})
			}
		}
	}
	for _, k := range tiles(l.discards) {
		take(tile.RackOf(k))
		p.Discards = append(p.Discards, Discarded{Seat: l.turn, Tile: k})
	}
	l.fill(&p, left)
	return p
}

// fill deals the tiles left to racks that are too small, the jokers staying for the wall.
func (l layout) fill(p *Position, left tile.Rack) {
	rest := left.Tiles()
	for seat := range p.Racks {
		want := card.HandTiles - 1
		if l.phase == Discarding && charleston.Seat(seat) == l.turn {
			want++
		}
		for _, e := range p.Open[seat] {
			want -= int(e.Size)
		}
		for p.Racks[seat].Size() < want {
			p.Racks[seat][rest[0]]++
			rest = rest[1:]
		}
	}
	p.Wall = append(p.Wall, rest...)
}

func (l layout) state(t *testing.T, g *Game) State {
	t.Helper()
	s, err := g.At(l.position(t, g.Set()))
	if err != nil {
		t.Fatal(err)
	}
	return s
}
