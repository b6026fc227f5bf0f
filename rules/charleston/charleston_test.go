package charleston

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"secondpass/rules/house"
	"secondpass/rules/tile"
)

func rack(text string) tile.Rack { return tile.MustParse(text) }

func parcel(text string) Parcel {
	p, err := ParcelOf(rack(text).Tiles()...)
	if err != nil {
		panic(err)
	}
	return p
}

// fourRacks: East 14 tiles, the others 13.
func fourRacks() [Seats]tile.Rack {
	return [Seats]tile.Rack{
		rack("123456789b 123c JJ"), rack("123456789c 456d N"),
		rack("123456789d 789b E"), rack("NNEEWWSSRRGG0"),
	}
}

func ExampleState_Apply() {
	s, _ := Start(fourRacks(), house.Usual.Passing, tile.Usual)
	for seat, own := range []string{"1b 1c 2c", "1c N 4d", "1d 7b E", "NN R"} {
		if err := s.Apply(Action{Seat: Seat(seat), Kind: Pass, Own: parcel(own)}, nil); err != nil {
			fmt.Println(err)
		}
	}
	v := s.View(East)
	fmt.Println(v.Step, "-", v.Rack, "- came", v.Came[FirstRight])
	// Output: first across - 23456789b 3c NN R JJ - came NN R
}

// Pass order and directions, the steps with blind passes and the joker rule are common
// practice (no source), as docs/rules.md 3.1 to 3.7 state them.
func TestDirections(t *testing.T) {
	want := []string{"", "ESWN right", "EWSN across", "ENSW left", "left", "across", "right", "across"}
	for step := FirstRight; step <= Courtesy; step++ {
		if !strings.HasSuffix(want[step], step.Direction().String()) {
			t.Errorf("%s goes %s", step, step.Direction())
		}
	}
	for from, to := range map[Seat]Seat{East: South, South: West, West: North, North: East} {
		if Right.To(from) != to || Left.To(to) != from || Right.From(to) != from || Left.From(from) != to {
			t.Errorf("right of %s is %s", from, Right.To(from))
		}
	}
	if Across.To(East) != West || Across.To(North) != South {
		t.Error("across")
	}
	for step := FirstRight; step <= Courtesy; step++ {
		if got, err := ParseStep(step.Key()); err != nil || got != step {
			t.Errorf("%s reads as %v, %v", step.Key(), got, err)
		}
	}
}

func TestRefused(t *testing.T) {
	noBlind := house.Usual.Passing
	noBlind.Blind = false
	tests := []struct {
		name  string
		step  Step
		rules house.Passing
		act   Action
		want  string
	}{
		{"joker", FirstRight, house.Usual.Passing, Action{Kind: Pass, Own: parcel("1b 1c J")}, "East: a joker is never passed"},
		{"not held", FirstRight, house.Usual.Passing, Action{Kind: Pass, Own: parcel("1b 1c N")}, "East: N is not in the rack"},
		{"held once", FirstRight, house.Usual.Passing, Action{Kind: Pass, Own: parcel("11b 1c")}, "East: 1b is in the rack once, not 2 times"},
		{"two tiles", FirstRight, house.Usual.Passing, Action{Kind: Pass, Own: parcel("1b 1c")}, "East: the first right takes 3 tiles, not 2"},
		{"blind at first right", FirstRight, house.Usual.Passing, Action{Kind: Pass, Own: parcel("1b 1c"), Count: 1}, "no blind pass at the first right"},
		{"blind at second left", SecondLeft, house.Usual.Passing, Action{Kind: Pass, Own: parcel("1b 1c"), Count: 1}, "no blind pass at the second left"},
		{"blind off", FirstLeft, noBlind, Action{Kind: Pass, Own: parcel("1b 1c"), Count: 1}, "the house rule is off"},
		{"four blind", FirstLeft, house.Usual.Passing, Action{Kind: Pass, Count: 4}, "4 blind tiles"},
		{"blind and too many own", FirstLeft, house.Usual.Passing, Action{Kind: Pass, Own: parcel("1b 1c"), Count: 2}, "the first left with 2 blind takes 1 tile, not 2"},
		{"a vote too early", FirstRight, house.Usual.Passing, Action{Kind: Vote}, "at the first right a pass is due"},
		{"four named", Courtesy, house.Usual.Passing, Action{Kind: Name, Count: 4}, "0 to 3 can be named"},
		{"pass at the courtesy", Courtesy, house.Usual.Passing, Action{Kind: Pass, Own: parcel("123b")}, "at the courtesy a number for the courtesy is due"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s, err := At(tt.step, fourRacks(), tt.rules, tile.Usual)
			if err != nil {
				t.Fatal(err)
			}
			before := s
			if err := s.Apply(tt.act, nil); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
			if s != before {
				t.Error("the state changed")
			}
		})
	}
}

func TestStartRefuses(t *testing.T) {
	racks := fourRacks()
	racks[South] = rack("123456789c 456d NN")
	if _, err := Start(racks, house.Usual.Passing, tile.Usual); err == nil || !strings.Contains(err.Error(), "South holds 14 tiles") {
		t.Errorf("error %v", err)
	}
	racks = fourRacks()
	racks[South] = rack("23456789c 456d EE")
	racks[West] = rack("23456789d 789b EE")
	if _, err := Start(racks, house.Usual.Passing, tile.Usual); err == nil || !strings.Contains(err.Error(), "6 of E") {
		t.Errorf("error %v", err)
	}
}

func apply(t *testing.T, s *State, lots Lots, actions ...Action) {
	t.Helper()
	for _, a := range actions {
		if err := s.Apply(a, lots); err != nil {
			t.Fatal(err)
		}
	}
}

// fixed draws the first of whatever is asked.
type fixed struct{}

func (fixed) IntN(int) int { return 0 }

// Worked by hand from the rules: to the left East gives to North, North to West, West to South,
// South to East. South hands on two of what it gets from West, West one of what it gets from
// North; fixed draws take the first in canonical order.
func TestBlindByHand(t *testing.T) {
	s, err := At(FirstLeft, fourRacks(), house.Usual.Passing, tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	apply(t, &s, fixed{},
		Action{Seat: East, Kind: Pass, Own: parcel("123b")},
		Action{Seat: South, Kind: Pass, Own: parcel("N"), Count: 2},
		Action{Seat: West, Kind: Pass, Own: parcel("12d"), Count: 1},
		Action{Seat: North, Kind: Pass, Own: parcel("RR0")},
	)
	for seat, want := range []string{"12d N", "R", "R 0", "123b"} {
		if got := s.View(Seat(seat)).Came[FirstLeft].String(); got != want {
			t.Errorf("%s got %q, want %q", Seat(seat), got, want)
		}
	}
	if s.Phase() != Voting {
		t.Errorf("phase %d", s.Phase())
	}
}

// Everybody blind: the smallest number cancels out; with equal numbers the own tiles simply move on.
func TestAllRoundBlind(t *testing.T) {
	s, _ := At(LastRight, fourRacks(), house.Usual.Passing, tile.Usual)
	apply(t, &s, nil,
		Action{Seat: East, Kind: Pass, Own: parcel("1b"), Count: 2},
		Action{Seat: South, Kind: Pass, Own: parcel("N"), Count: 2},
		Action{Seat: West, Kind: Pass, Own: parcel("1d"), Count: 2},
		Action{Seat: North, Kind: Pass, Own: parcel("0"), Count: 2},
	)
	for seat, want := range []string{"0", "1b", "N", "1d"} {
		if got := s.View(Seat(seat)).Came[LastRight].String(); got != want {
			t.Errorf("%s got %q, want %q", Seat(seat), got, want)
		}
	}
	// Three want three blind, East two: each pass is then one tile, and East's travels all the way
	// round and comes back.
	s, _ = At(LastRight, fourRacks(), house.Usual.Passing, tile.Usual)
	apply(t, &s, fixed{},
		Action{Seat: East, Kind: Pass, Own: parcel("1b"), Count: 2},
		Action{Seat: South, Kind: Pass, Count: 3},
		Action{Seat: West, Kind: Pass, Count: 3},
		Action{Seat: North, Kind: Pass, Count: 3},
	)
	if got := s.View(East).Came[LastRight].String(); got != "1b" || s.Rack(East) != fourRacks()[East] {
		t.Errorf("East got %q", got)
	}
}

func TestVoteAndCourtesy(t *testing.T) {
	racks := fourRacks()
	vote := func(stop Seat) State {
		s := State{rules: house.Usual.Passing, step: FirstLeft, phase: Voting, racks: racks}
		for seat := range Seat(Seats) {
			apply(t, &s, nil, Action{Seat: seat, Kind: Vote, Stop: seat == stop})
		}
		return s
	}
	if s := vote(9); s.Step() != SecondLeft || s.Phase() != Passing {
		t.Errorf("all go on: %s", s.Step())
	}
	s := vote(West)
	if s.Step() != Courtesy || s.Phase() != Naming {
		t.Fatalf("one stops: %s, phase %d", s.Step(), s.Phase())
	}
	for seat, n := range []int{3, 0, 2, 3} { // East and West exchange two, South and North none
		apply(t, &s, nil, Action{Seat: Seat(seat), Kind: Name, Count: n})
	}
	if err := s.Apply(Action{Seat: East, Kind: Give, Own: parcel("123b")}, nil); err == nil {
		t.Error("three given where two are exchanged")
	}
	if s.Legal(South) != nil {
		t.Error("South has something to give")
	}
	apply(t, &s, nil, Action{Seat: East, Kind: Give, Own: parcel("12b")}, Action{Seat: West, Kind: Give, Own: parcel("12d")})
	if s.Phase() != Over || s.View(East).Came[Courtesy].String() != "12d" || s.View(South).Came[Courtesy].Len() != 0 {
		t.Errorf("courtesy: %+v", s.View(East))
	}
	s = vote(North)
	for seat := range Seat(Seats) {
		apply(t, &s, nil, Action{Seat: seat, Kind: Name})
	}
	if s.Phase() != Over {
		t.Error("nobody offers anything and the courtesy is not over")
	}
}

func TestHouseRules(t *testing.T) {
	path := func(r house.Passing) string {
		var b strings.Builder
		for step, phase := FirstRight, Passing; ; step, phase = after(r, step, phase, false) {
			fmt.Fprintf(&b, "%d%s ", step, []string{"", "p", "v", "n", "g", "."}[phase])
			if phase == Over {
				return b.String()
			}
		}
	}
	for want, r := range map[string]house.Passing{
		"1p 2p 3p 3v 4p 5p 6p 7n 7g 7. ": house.Usual.Passing,
		"1p 2p 3p 7n 7g 7. ":             {Courtesy: true},
		"1p 2p 3p 7. ":                   {},
		"1p 2p 3p 3v 4p 5p 6p 7. ":       {SecondCharleston: true},
	} {
		if got := path(r); got != want {
			t.Errorf("%+v: %s, want %s", r, got, want)
		}
	}
}

// deal draws four racks.
func deal(rng *rand.Rand) (racks [Seats]tile.Rack) {
	tiles := tile.Usual.Tiles()
	rng.Shuffle(len(tiles), func(i, j int) { tiles[i], tiles[j] = tiles[j], tiles[i] })
	for s := range Seat(Seats) {
		racks[s] = tile.RackOf(tiles[:s.DealtTiles()]...)
		tiles = tiles[s.DealtTiles():]
	}
	return racks
}

// Any legal play of the passing conserves the tiles, keeps the sizes of the racks, and never
// moves a joker.
func TestConservation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "deal"), 0))
		rules := house.Passing{SecondCharleston: rapid.Bool().Draw(t, "second"), Blind: rapid.Bool().Draw(t, "blind"), Courtesy: rapid.Bool().Draw(t, "courtesy")}
		racks := deal(rng)
		s, err := Start(racks, rules, tile.Usual)
		if err != nil {
			t.Fatal(err)
		}
		all := racks[0].Plus(racks[1]).Plus(racks[2]).Plus(racks[3])
		for s.Phase() != Over {
			for seat := range Seat(Seats) {
				if legal := s.Legal(seat); len(legal) > 0 {
					a := legal[rapid.IntRange(0, len(legal)-1).Draw(t, "action")]
					if a.Own.Rack()[tile.Joker] > 0 {
						t.Fatalf("a joker is legal to give: %v", a.Own)
					}
					if err := s.Apply(a, rng); err != nil {
						t.Fatal(err)
					}
				}
			}
			var now tile.Rack
			for seat := range Seat(Seats) {
				r := s.Rack(seat)
				now = now.Plus(r)
				if r.Size() != seat.DealtTiles() {
					t.Fatalf("%s holds %d tiles", seat, r.Size())
				}
				if r[tile.Joker] != racks[seat][tile.Joker] {
					t.Fatalf("%s's jokers went from %d to %d", seat, racks[seat][tile.Joker], r[tile.Joker])
				}
			}
			if now != all {
				t.Fatalf("the tiles changed from %s to %s", all, now)
			}
		}
	})
}

func FuzzApply(f *testing.F) {
	f.Add(uint64(1), []byte{0, 0, 0, 0, 1, 2, 3, 4})
	f.Fuzz(func(t *testing.T, seed uint64, choices []byte) {
		rng := rand.New(rand.NewPCG(seed, 0))
		s, err := Start(deal(rng), house.Usual.Passing, tile.Usual)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range choices {
			own := s.Rack(Seat(c % Seats)).Tiles()
			p, _ := ParcelOf(own[:min(int(c>>4&3), len(own))]...)
			// Most of these are illegal; none may panic or change the number of tiles.
			_ = s.Apply(Action{Seat: Seat(c % 5), Kind: ActionKind(c >> 2 % 5), Own: p, Count: i % 5, Stop: c > 200}, rng)
			for seat := range Seat(Seats) {
				if s.Rack(seat).Size() != seat.DealtTiles() {
					t.Fatal("a rack changed its size")
				}
			}
		}
	})
}

// Handed-on tiles are a uniformly random choice from the incoming ones: each of three equally often.
func TestBlindIsUniform(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 0))
	const n = 30000
	times := map[string]int{}
	for range n {
		s, _ := At(FirstLeft, fourRacks(), house.Usual.Passing, tile.Usual)
		apply(t, &s, rng,
			Action{Seat: East, Kind: Pass, Own: parcel("123b")},
			Action{Seat: North, Kind: Pass, Own: parcel("NN"), Count: 1},
			Action{Seat: West, Kind: Pass, Own: parcel("123d")},
			Action{Seat: South, Kind: Pass, Own: parcel("123c")},
		)
		times[s.View(North).Came[FirstLeft].String()]++
	}
	if len(times) != 3 {
		t.Fatalf("%v", times)
	}
	for kept, k := range times { // 5 standard deviations of a binomial with p = 1/3 are 408
		if k < n/3-408 || k > n/3+408 {
			t.Errorf("%s kept %d times of %d", kept, k, n)
		}
	}
}

func TestParcels(t *testing.T) {
	r := rack("112b N JJ")
	var got []string
	for _, p := range Parcels(r, 3) {
		got = append(got, p.String())
	}
	if want := []string{"112b", "11b N", "12b N"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if n := len(Parcels(r, 0)); n != 1 {
		t.Errorf("%d empty parcels", n)
	}
}

func TestSoloMock(t *testing.T) {
	start := rack("123456789b NEW J")
	mock, err := DrawMock(start, tile.Usual, rand.New(rand.NewPCG(1, 2)))
	if err != nil {
		t.Fatal(err)
	}
	s := NewSolo(South, start, house.Usual.Passing, &mock)
	for _, own := range []string{"1b N E", "2b W 3b", ""} {
		p := parcel(own)
		blind := PassTiles - p.Len()
		step := s.Step()
		came, err := s.Pass(p, blind)
		if err != nil {
			t.Fatal(err)
		}
		if want, _ := ParcelOf(mock[step][blind:]...); came != want {
			t.Errorf("%s: %s came, want %s", step, came, want)
		}
	}
	if _, err := s.Pass(parcel("4b"), 0); err == nil {
		t.Error("a pass where a vote is due")
	}
	if stopped, err := s.Vote(true); err != nil || !stopped {
		t.Error(stopped, err)
	}
	if n, err := s.Name(2); err != nil || n != 2 {
		t.Error(n, err)
	}
	if _, err := s.Give(parcel("4b")); err == nil {
		t.Error("one tile where two are exchanged")
	}
	if came, err := s.Give(parcel("45b")); err != nil || came.Len() != 2 {
		t.Error(came, err)
	}
	if s.Phase() != Over || s.Rack().Size() != 13 {
		t.Errorf("%d, %s", s.Phase(), s.Rack())
	}
	if _, err := s.Name(1); err == nil || err.Error() != "the Charleston is over" {
		t.Error(err)
	}
}

func TestSoloEntered(t *testing.T) {
	next, stop, offer := "", false, 0
	e := &Entered{Set: tile.Usual,
		Next:  func(Step, int) (Parcel, error) { return parcel(next), nil },
		Stop:  func() (bool, error) { return stop, nil },
		Offer: func() (int, error) { return offer, nil }}
	s := NewSolo(South, rack("1111b 23456789b N"), house.Usual.Passing, e)
	for _, tt := range []struct{ own, next, want string }{
		{"23b N", "1b 2c 3c", "1b 23c cannot have come: with the rack that makes 5 of 1b"},
		{"11b N", "1b 2c 3c", "5 of 1b"}, // what was passed to the right cannot come back at once
		{"23b N", "22c", "2 tiles came, but 3 tiles went"},
		{"23b N", "2c JJ", "a joker cannot come"},
	} {
		next = tt.next
		before := s
		if _, err := s.Pass(parcel(tt.own), 0); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s for %s: error %v", tt.next, tt.own, err)
		}
		if s.Rack() != before.Rack() || s.Step() != FirstRight {
			t.Error("the walk moved on")
		}
	}
	next = "234c"
	for _, own := range []string{"1b 2b N", "234c"} {
		if _, err := s.Pass(parcel(own), 0); err != nil {
			t.Fatal(err)
		}
	}
	next = "2b 56c" // at first left, where a blind pass can bring a tile back to its giver at once
	if _, err := s.Pass(parcel("1b 4c 3c"), 0); err != nil {
		t.Fatal(err)
	}
	stop = true
	if stopped, err := s.Vote(false); err != nil || !stopped || s.Step() != Courtesy {
		t.Error(stopped, err)
	}
	offer = 1
	if n, err := s.Name(3); err != nil || n != 1 {
		t.Error(n, err)
	}
}
