package player

import (
	"math/rand/v2"
	"testing"

	"secondpass/engine/fit"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// small is a card on which it is easy to see what each player should do.
func small(t *testing.T) *card.Card {
	t.Helper()
	c, _, err := card.Read("small", []byte(`card Small
section Bams
25 exposed 111b 222b 666b 444b 55b
25 exposed FFFF 222b 00000 NN
section Craks
25 exposed 111c 222c 444c 888c 55c
30 concealed 11c 22c 44c 55c 88c NN GG
section Motto
40 exposed 4053d 444b 55c EEEEE
`), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func pass(p Passer, text string, step charleston.Step) (string, int) {
	own, blind := p.Pass(view(rack(text), step))
	return own.String(), blind
}

// Every player that minds its hands passes what no hand near it uses.
func TestPassesWhatNobodyNeeds(t *testing.T) {
	c := small(t)
	for _, name := range Names()[1:] {
		newPlayer, err := castOf(c, Tuning{Params: General}).Named(name)
		if err != nil {
			t.Fatal(err)
		}
		p := newPlayer()
		if own, blind := pass(p, "1112224466b 7c 8d W", charleston.FirstRight); own != "7c 8d W" || blind != 0 {
			t.Errorf("%s passes %s and %d blind", name, own, blind)
		}
	}
}

// The player by rules of thumb keeps flowers and white dragons before lone tiles, pairs before singles, passes suits apart,
// and does not break its hand where a blind pass is allowed.
func TestThumb(t *testing.T) {
	p := newThumb(newBook(small(t), indexOf(small(t), nil)))
	for _, row := range []struct {
		what, rack string
		step       charleston.Step
		want       string
		blind      int
	}{
		{"flowers and whites stay", "11122266b FF 0 7c 8d S", charleston.FirstRight, "7c 8d S", 0},
		{"pairs stay", "11122266b 99c S 7c 8d", charleston.FirstRight, "7c 8d S", 0},
		{"suits apart", "11122266b 7c 9c 8d S 6d", charleston.FirstRight, "7c 6d S", 0},
		{"two to spare, one blind", "11122244666b 7c 8d", charleston.FirstLeft, "7c 8d", 1},
	} {
		own, blind := p.Pass(view(rack(row.rack), row.step))
		if own.String() != row.want || blind != row.blind {
			t.Errorf("%s: of %s it passes %s and %d blind, not %s and %d", row.what, row.rack, own, blind, row.want, row.blind)
		}
	}
	near := view(rack("11122244666b 7c 8d"), charleston.FirstLeft)
	if !p.Stop(near) || p.Offer(near) != 2 {
		t.Errorf("with two to spare it stops: %v, and offers %d", p.Stop(near), p.Offer(near))
	}
	far := view(rack("19b 19c 19d NEWS RG 0"), charleston.FirstLeft)
	if p.Stop(far) || p.Offer(far) != 3 {
		t.Errorf("with much to spare it stops: %v, and offers %d", p.Stop(far), p.Offer(far))
	}
}

// The yardstick's lists are those of a count from scratch, after every tile that it lets go.
func TestNearestCountsAlong(t *testing.T) {
	c := card.Practice()
	n := newNearest(newBook(c, indexOf(c, nil)), true)
	source := deals{c.Set, newChance(7)}
	for range 40 {
		rack := source.next()
		n.held = holding{rack: rack}
		n.count()
		for range charleston.PassTiles {
			k, _ := n.spare(tile.Joker, nil, nil)
			n.without(k)
			rack[k]--
			want, away := fit.NewTracker(n.book.index).Within(&rack, fit.AwayCost, 0, 0, nil)
			if len(n.list) != len(want) || n.away != away {
				t.Fatalf("%s: %d lines at %d, %d at %d are right", rack, len(n.list), n.away, len(want), away)
			}
			for i := range want {
				if n.list[i] != want[i] {
					t.Fatalf("%s: line %d, not %d", rack, n.list[i], want[i])
				}
			}
		}
	}
}

// deals deals racks of 13 tiles, one after another.
type deals struct {
	set tile.Set
	rng charleston.Lots
}

func newChance(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, seed)) }

func (d *deals) next() tile.Rack {
	racks, _ := table.Deal(d.set, d.rng)
	return racks[charleston.South]
}

// Danger: late, an opponent's open groups tell what is wanted, and that costs more to discard; a tile that
// no hand left to the opponent uses costs what it did.
func TestDanger(t *testing.T) {
	c := small(t)
	g := table.NewGame(c, house.Usual)
	p := table.Position{Phase: table.Discarding, Turn: charleston.South}
	p.Racks[charleston.South] = rack("11224488c 79d 6b EE R")
	p.Open[charleston.East] = []table.Exposure{{Tile: rack("1b").Tiles()[0], Size: 3}, {Tile: rack("2b").Tiles()[0], Size: 3}}
	left := tile.Rack(tile.Usual).Minus(p.Racks[charleston.South]).Minus(rack("111222b"))
	tiles := left.Tiles()
	rng := newChance(3)
	for i := len(tiles) - 1; i > 0; i-- {
		j := rng.IntN(i + 1)
		tiles[i], tiles[j] = tiles[j], tiles[i]
	}
	p.Racks[charleston.East], p.Racks[charleston.West], p.Racks[charleston.North] = tile.RackOf(tiles[:7]...), tile.RackOf(tiles[7:20]...), tile.RackOf(tiles[20:33]...)
	p.Wall = tiles[33:53]
	for _, k := range tiles[53:] {
		p.Discards = append(p.Discards, table.Discarded{Seat: charleston.West, Tile: k})
	}
	state, err := g.At(p)
	if err != nil {
		t.Fatal(err)
	}
	s := kitOf(c, nil, Tuning{Params: General}).New()
	v := state.View(charleston.South)
	s.held = holdingOf(v)
	unseen := v.Unseen()
	z := s.kit.odds.at(&unseen, 99)
	s.hopes.weigh(&s.held, &z)
	s.hopes.lose(&z)
	before := s.hopes.loss
	s.mindDanger(v)
	wanted, idle := rack("6b").Tiles()[0], rack("7d").Tiles()[0]
	if got, want := s.hopes.loss[wanted]-before[wanted], General.Danger*s.hopes.total; got < want*.999 || want == 0 {
		t.Errorf("a tile that the only hand open to East wants costs %.4g more, not %.4g", got, want)
	}
	if s.hopes.loss[idle] != before[idle] {
		t.Error("a tile that East has no use for became dear")
	}
}

// With an eye to the receiver a tile that many hands want costs more to pass than one that none wants, and a second
// equal tile costs it twice; without, neither costs anything beside the own loss.
func TestReceiver(t *testing.T) {
	c := small(t)
	params := General
	params.Receiver = .5
	kit := kitOf(c, nil, Tuning{Params: params})
	wanted, idle := rack("2b").Tiles()[0], rack("7d").Tiles()[0]
	if kit.wanted[wanted] <= 0 || kit.wanted[idle] != 0 {
		t.Fatalf("2b is wanted by %v, 7d by %v", kit.wanted[wanted], kit.wanted[idle])
	}
	s := kit.New()
	s.hopes.total = 2
	s.mindReceiver(nil)
	once := s.hopes.loss[wanted]
	s.hopes.loss = [tile.Kinds]float64{}
	s.mindReceiver([]tile.Kind{wanted})
	if once != 2*kit.wanted[wanted] || s.hopes.loss[wanted] != 2*once || s.hopes.loss[idle] != 0 {
		t.Errorf("2b costs %v, the second %v, 7d %v", once, s.hopes.loss[wanted], s.hopes.loss[idle])
	}
	plain := kitOf(c, nil, Tuning{Params: General}).New()
	plain.hopes.total = 2
	plain.mindReceiver([]tile.Kind{wanted})
	if plain.hopes.loss[wanted] != 0 {
		t.Error("the receiver is minded where nobody asked for it")
	}
}
