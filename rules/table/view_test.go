package table

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// everything calls every method of a view with every argument that makes sense, and gives the answers by
// name. A new method is taken in of itself.
func everything(t *testing.T, v View) map[string]any {
	t.Helper()
	answers := map[string]any{}
	value := reflect.ValueOf(v)
	for i := range value.NumMethod() {
		name, method := value.Type().Method(i).Name, value.Method(i)
		for j, args := range arguments(t, v, method.Type()) {
			var answer []any
			for _, out := range method.Call(args) {
				answer = append(answer, out.Interface())
			}
			if err, failed := answer[len(answer)-1].(error); failed {
				answer[len(answer)-1] = err.Error()
			}
			answers[fmt.Sprintf("%s %d", name, j)] = answer
		}
	}
	return answers
}

// arguments are the lists of arguments for a method: none, all seats, all discards, many groups, or all actions
// that any seat might try.
func arguments(t *testing.T, v View, method reflect.Type) [][]reflect.Value {
	t.Helper()
	if method.NumIn() == 0 {
		return [][]reflect.Value{nil}
	}
	if method.NumIn() == 2 && method.In(0) == reflect.TypeFor[*[charleston.Seats]tile.Rack]() {
		// A layout that cannot be: the answer must hold nothing of the one that is.
		return [][]reflect.Value{{reflect.ValueOf(&[charleston.Seats]tile.Rack{}), reflect.ValueOf([]tile.Kind(nil))}}
	}
	if method.NumIn() > 1 {
		t.Fatalf("a method of View with %s", method)
	}
	var lists [][]reflect.Value
	add := func(x any) { lists = append(lists, []reflect.Value{reflect.ValueOf(x)}) }
	switch method.In(0) {
	case reflect.TypeFor[charleston.Seat]():
		for seat := range charleston.Seat(charleston.Seats) {
			add(seat)
		}
	case reflect.TypeFor[int]():
		for i := range v.Discards() {
			add(i)
		}
	case reflect.TypeFor[Exposure]():
		for k := range tile.Joker {
			for size := uint8(MinGroup); size <= MaxGroup; size++ {
				add(Exposure{Tile: k, Size: size})
				add(Exposure{Tile: k, Size: size, Jokers: 2})
			}
		}
	case reflect.TypeFor[[]Action]():
		add([]Action(nil))
	case reflect.TypeFor[Action]():
		for seat := range charleston.Seat(charleston.Seats) {
			if v.s.phase != Over {
				for _, a := range attempts(v.s, seat) {
					add(a)
				}
			}
		}
	default:
		t.Fatalf("a method of View with %s", method)
	}
	return lists
}

// redealt is a state with what a seat cannot see dealt anew.
func redealt(t *testing.T, s State, seat charleston.Seat, rng *rand.Rand) State {
	t.Helper()
	v := s.View(seat)
	hidden := v.Unseen()
	for other := range charleston.Seat(charleston.Seats) {
		if other != seat {
			hidden[tile.Joker] -= uint8(v.Jokers(other))
		}
	}
	pool := hidden.Tiles()
	rng.Shuffle(len(pool), func(i, j int) { pool[i], pool[j] = pool[j], pool[i] })
	var racks [charleston.Seats]tile.Rack
	for other := range charleston.Seat(charleston.Seats) {
		if other == seat {
			continue
		}
		n := v.Hidden(other) - v.Jokers(other)
		racks[other] = tile.RackOf(pool[:n]...)
		racks[other][tile.Joker] += uint8(v.Jokers(other))
		pool = pool[n:]
	}
	if err := s.Redeal(seat, &racks, pool); err != nil {
		t.Fatal(err)
	}
	return s
}

// What a seat cannot see can be dealt anew at any time: its view stays the same, whatever it asks, so nothing
// hidden shows in it; and the game goes on by the rules.
func TestRedealKeepsView(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	p := newSeeker(lantern(), rng)
	differ := map[Phase]int{}
	for n := range 30 {
		p.mistakes = n%3 == 0
		s, err := lantern().Start(Deal(lantern().Set(), rng))
		if err != nil {
			t.Fatal(err)
		}
		for moves := 0; s.phase != Over; moves++ {
			step(t, &s, p)
			if moves%10 != 5 || s.phase == Over {
				continue
			}
			seat := charleston.Seat(rng.IntN(charleston.Seats))
			answerSome(t, &s, seat, rng)
			other := redealt(t, s, seat, rng)
			checkState(t, &other)
			if before, after := everything(t, s.View(seat)), everything(t, other.View(seat)); !reflect.DeepEqual(before, after) {
				for k := range before {
					if !reflect.DeepEqual(before[k], after[k]) {
						t.Errorf("%s: %v, then %v", k, before[k], after[k])
					}
				}
				t.Fatal("the view changed")
			}
			differ[s.phase] += boolInt(other.racks != s.racks)
			for other.phase != Over {
				step(t, &other, p)
			}
			checkState(t, &other)
			settle(t, &s)
		}
	}
	if differ[Discarding] == 0 || differ[Claiming] == 0 {
		t.Errorf("%v times another deal by phase", differ)
	}
}

// answerSome lets some of the seats asked, but not all, answer the discard.
func answerSome(t *testing.T, s *State, seat charleston.Seat, rng *rand.Rand) {
	t.Helper()
	for other := range charleston.Seat(charleston.Seats) {
		if other != seat && s.Waits(other) && s.Waits(seat) && rng.IntN(2) == 0 {
			legal := s.Legal(other)
			apply(t, s, legal[rng.IntN(len(legal))])
		}
	}
}

// settle lets all who have not answered decline.
func settle(t *testing.T, s *State) {
	t.Helper()
	if s.phase == Claiming {
		settleRest(t, s)
	}
}

// What one more group would leave is what the slow way finds, and for a dead hand nothing.
func TestVariantsWith(t *testing.T) {
	for _, open := range []string{"", "11b J", "777b", "77b J", "99b J", "NNN,EEE,SSSS"} {
		s := layout{phase: Discarding, turn: east, open: quads{"", open}}.state(t, trial())
		for _, args := range arguments(t, s.View(south), reflect.TypeFor[func(Exposure)]()) {
			e := args[0].Interface().(Exposure)
			want := slowOpen(trial().card, append(groupsOf(&s.open[south]), e))
			if got := s.View(south).VariantsWith(e); !slices.Equal(got, want) {
				t.Errorf("%s open and %s: %v, want %v", open, e, got, want)
			}
		}
	}
}

// A view gives no way to the state but through its methods, and judges no other seat's actions.
func TestViewIsClosed(t *testing.T) {
	for i := range reflect.TypeFor[View]().NumField() {
		if f := reflect.TypeFor[View]().Field(i); f.IsExported() {
			t.Errorf("field %s is open", f.Name)
		}
	}
	s := layout{phase: Claiming, turn: east, discards: "2c", racks: quads{"", "22c J"}}.state(t, trial())
	a := act(t, "S claims 2c: 222c J")
	if err := s.View(south).Check(a); err != nil {
		t.Error(err)
	}
	if err := s.View(west).Check(a); err != errNotOwn {
		t.Error(err)
	}
}

// The accounts of a view, worked by hand.
func TestViewCounts(t *testing.T) {
	s := layout{phase: Claiming, turn: east, discards: "N 2c", racks: quads{"", "22c J", "5b"}, open: quads{"", "", "NN J"}}.state(t, trial())
	v := s.View(south)
	if d := v.Discard(0); v.Discards() != 2 || d != (Discarded{Seat: east, Tile: tile.North}) {
		t.Errorf("%d discards, the first %v", v.Discards(), d)
	}
	if d, ok := v.Claimable(); !ok || d != (Discarded{Seat: east, Tile: tiles("2c")[0]}) {
		t.Errorf("%v, %t", d, ok)
	}
	if open, n := v.Open(west); n != 1 || open[0] != (Exposure{Tile: tile.North, Size: 3, Jokers: 1, Discard: NoDiscard}) {
		t.Errorf("%d open: %v", n, open)
	}
	if v.Hidden(west) != 10 || v.Hidden(north) != 13 || v.Hidden(south) != 13 {
		t.Errorf("hidden: %d, %d, %d", v.Hidden(west), v.Hidden(north), v.Hidden(south))
	}
	seen := v.Rack().Plus(rackOf("NNN 2c J")) // both discards and West's group
	if v.Seen() != seen || v.Unseen() != tile.Rack(tile.Usual).Minus(seen) {
		t.Errorf("seen %s, unseen %s; want %s", v.Seen(), v.Unseen(), seen)
	}
	if n := v.WallLeft(); n != 152-4*13-2 {
		t.Errorf("%d tiles in the wall", n)
	}
	if err := s.Apply(act(t, "S claims 2c: 222c J")); err != nil {
		t.Fatal(err)
	}
	settleRest(t, &s)
	open, n := v.Open(south)
	if d := v.Discard(1); !d.Claimed || n != 1 || open[0].Discard != 1 || v.Discard(0).Claimed || open[0].String() != "222c J" {
		t.Errorf("%v claimed for %v", d, open[0])
	}
	if got := v.Seen(); got[tiles("2c")[0]] != 3 || got[tile.Joker] != 2 {
		t.Errorf("after the claim %s are seen", got)
	}
}
