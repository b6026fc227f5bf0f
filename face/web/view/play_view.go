package view

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/exercise"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// playPage is the table as the player may know it, and what is due.
type playPage struct {
	ID     int64
	Name   string // of the exercise
	Route  RouteHead
	Routes []RouteHead
	// At is the number of decisions so far: a form that was made for another number is refused.
	At   int
	Back Back
	// PlayedOn says whence the others' tiles are, where they were dealt for the play alone.
	PlayedOn      string
	Heading, Note string
	Refusal       string
	// Fresh are the lines since the player's last decision, Lines all of them.
	Fresh, Lines []playLine
	// Window is the discard that waits for an answer, Picks the rack to discard from; one of them is there until
	// the play is over.
	Window     *claimWindow
	Picks      []Pick
	Exchanges  []exchangeOffer
	CanDeclare bool
	Rack       template.HTML
	Seats      []seatRow
	Sorted     template.HTML
	Lying      int
	Claimed    bool // whether any discard was claimed
	WallLeft   int
	Near       []NearHand
	HasPlan    bool
	// Questions asks before the advice opens; LastAdvice is the way to the advice on the last decision.
	Questions, LastAdvice string
	// LastLook is the way to it as it was. Remark is that where the play stands.
	LastLook string
	Remark   Remark
	End      *playEnd
}

// playLine is one thing that happened.
type playLine struct {
	Who, Does    string
	Tiles        template.HTML
	After        string
	Own          bool
	Number       int // among the player's decisions; -1 for what is none
	Advice, Path string
	Look         string // the decision as it was
}

// claimWindow is a discard with the player's legal answers.
type claimWindow struct {
	From, Tile string
	Drawing    template.HTML
	Claims     []claimOffer
	Mahjong    bool
}

type claimOffer struct {
	Group   string // as the form sends it
	Drawing template.HTML
}

// exchangeOffer is a natural tile that may take a joker's place.
type exchangeOffer struct {
	Code, From, Text string
	Drawing          template.HTML
}

// seatRow is what is open of one seat.
type seatRow struct {
	Name, Note string
	You, Dead  bool
	Open       []template.HTML
	Hidden     int
	Discards   template.HTML
	Rack       template.HTML // only when the game is over
	Net        string
	Winner     bool
}

// playEnd is how the play ended.
type playEnd struct {
	Text, Hand, Payment string
	// Caution says what points are not.
	Caution string
	Tiles   template.HTML
	Pays    bool
	Record  string
	First   int // the decision with which the play began
}

func NewPlayPage(x Exercise, route *exercise.Route, t *exercise.Trail) (*playPage, error) {
	g, v := t.Game, t.Game.View()
	p := &playPage{ID: x.ID, Name: x.Exercise.Name, At: route.Len(), HasPlan: len(route.Aim()) > 0, WallLeft: v.WallLeft(), Back: BackOf(x, route), Remark: RemarkOf(x, route, route.Len())}
	if route.Unseen != nil {
		p.PlayedOn = wording.PlayedOn
	}
	p.Routes, p.Route = HeadsOf(x.ID, x.Exercise, route.ID)
	events, err := g.Events(len(route.Decisions))
	if err != nil {
		return nil, err
	}
	p.tell(x, route, g, events)
	hands, err := exercise.Hands(x.Card, route.Aim())
	if err != nil {
		return nil, err
	}
	if !p.HasPlan {
		hands = nil
	}
	near := nearestOf(g, len(x.Card.Hands))
	p.near(v, near, hands, route.Aim(), g.Over())
	p.Rack = RackStrip("Your rack", v.Rack())
	p.seats(v)
	p.due(v, near, events)
	if g.Over() {
		return p, p.over(x, route, g)
	}
	return p, nil
}

// nearestOf is every hand of a card beside what the player has, nearest first.
func nearestOf(g *exercise.Game, hands int) []fit.Reading {
	return g.Nearest(upTo(hands), hands)
}

// tell words what happened.
func (p *playPage) tell(x Exercise, route *exercise.Route, g *exercise.Game, events []exercise.Event) {
	fresh := 0
	for i := range events {
		e := &events[i]
		line := LineOf(x, g, e)
		if e.Number >= 0 {
			fresh = i
			line.Advice, line.Path = AdvicePath(x.ID, route.ID, e.Number), p.Route.Path
			line.Look = MomentPath(x.ID, route.ID, e.Number)
			p.LastAdvice, p.LastLook = line.Advice, line.Look
		}
		p.Lines = append(p.Lines, line)
	}
	p.Fresh = p.Lines[fresh:]
}

// LineOf is one thing that happened in words and tiles.
func LineOf(x Exercise, g *exercise.Game, e *exercise.Event) playLine {
	l := playLine{Number: e.Number, Own: e.Seat == x.Seat, Who: e.Seat.Name()}
	does := func(alone, other string) string {
		if l.Own {
			l.Who = "You"
			return alone
		}
		return other
	}
	a := &e.Action
	switch e.Kind {
	case exercise.Draws:
		l.Does, l.Tiles = does("draw", "draws"), TileStrip(e.Tile)
	case exercise.Dies:
		l.Does = does("have a dead hand: your open groups fit no hand", "has a dead hand: its open groups fit no hand")
	case exercise.Ends:
		l.Who, l.Does, l.Own = "", Minus(wording.End(x.Exercise, g)), false
	case exercise.Acts:
		switch a.Kind {
		case table.Discard:
			l.Does, l.Tiles = does("discard", "discards"), TileStrip(a.Tile)
		case table.Decline:
			l.Does, l.Tiles, l.After = does("let", "lets"), TileStrip(e.Tile), "go"
		case table.Expose:
			l.Does, l.Tiles = does("claim", "claims")+" "+a.Tile.Name()+":", ExposureStrip(table.Exposure{Tile: a.Tile, Size: a.Size, Jokers: a.Jokers})
		case table.Mahjong:
			l.Does, l.Tiles, l.After = does("claim", "claims"), TileStrip(a.Tile), "for mahjong"
		case table.Exchange:
			l.Does, l.Tiles, l.After = does("put", "puts"), TileStrip(a.Tile), "for "+Whose(a.From, e.Seat, x.Seat)+" joker"
		case table.Declare:
			l.Does = does("declare mahjong", "declares mahjong")
		}
	}
	return l
}

// Whose says in whose open group a joker lies, when a seat speaks of it to the player.
func Whose(from, actor, you charleston.Seat) string {
	switch {
	case from == you:
		return "your"
	case from == actor:
		return "its own"
	}
	return from.Name() + "'s"
}

func TileStrip(k tile.Kind) template.HTML { return Strip(k.Name(), Plain([]tile.Kind{k})) }

// ExposureStrip is an open group, the naturals and then the jokers.
func ExposureStrip(e table.Exposure) template.HTML {
	return Strip("Group "+e.String(), groupFaces(e.Tile, int(e.Naturals()), int(e.Jokers)))
}

func groupFaces(k tile.Kind, naturals, jokers int) []Face {
	kinds := append(slices.Repeat([]tile.Kind{k}, naturals), slices.Repeat([]tile.Kind{tile.Joker}, jokers)...)
	faces := Plain(kinds)
	for i := range faces {
		faces[i].Gap = false
	}
	return faces
}

// drawings is tiles side by side where no list may stand, as on a button.
func drawings(faces []Face) template.HTML {
	var all template.HTML
	for _, f := range faces {
		all += f.SVG("img")
	}
	return all
}

// openOf is the open groups of a seat.
func openOf(v table.View, seat charleston.Seat) []table.Exposure {
	groups, n := v.Open(seat)
	return groups[:n]
}

// near fills in the nearest hands that the open groups still allow, those of the plan first; over says that nothing can be pinned any more.
func (p *playPage) near(v table.View, near []fit.Reading, plan []int, aim []string, over bool) {
	for i := range near {
		inPlan := slices.Contains(plan, near[i].Hand)
		if len(p.Near) < nearShown || inPlan && len(p.Near) < nearShown+player.PlanHands {
			p.Near = append(p.Near, playHand(v, &near[i], inPlan))
		}
	}
	slices.SortStableFunc(p.Near, func(a, b NearHand) int { return Count(b.Pinned) - Count(a.Pinned) })
	for i := range p.Near {
		p.Near[i].Number = i + 1
		if !over {
			p.Near[i].pinnable(p.Route.Path, aim)
		}
	}
}

// playHand is a hand of the card beside the rack and the open groups.
func playHand(v table.View, n *fit.Reading, pinned bool) NearHand {
	c := v.Game().Card()
	h := &c.Hands[n.Hand]
	laid := exercise.LayOut(c, n.Variant, v.Rack(), openOf(v, v.Seat()))
	hand := NearHand{Name: h.Name, Points: h.Points, Away: n.Away, Pinned: pinned, Tiles: laidStrip(h.Name, laid, tile.Kinds)}
	if h.Concealed {
		hand.How = "concealed"
	}
	jokers := 0
	for _, l := range laid {
		if !l.Open {
			jokers += l.Jokers
		}
	}
	hand.Needs = "Complete."
	if n.Missing.Size() > 0 {
		hand.Needs = "Missing " + n.Missing.String() + "."
	}
	switch {
	case jokers == 1:
		hand.Needs += " The joker fills one."
	case jokers > 1:
		hand.Needs += fmt.Sprintf(" Jokers fill %s.", wording.Numeral(jokers))
	}
	return hand
}

// laidStrip is a hand as its tiles lie: open groups and what is held solid, what is missing dashed. came is the tile
// that completed it, which carries a wedge.
func laidStrip(name string, laid []exercise.Laid, came tile.Kind) template.HTML {
	var faces []Face
	for g := range laid {
		l := &laid[g]
		held := groupFaces(l.Kind, l.Naturals, l.Jokers)
		for i := range held {
			held[i].Name += ", held"
			if l.Open {
				held[i].Name = strings.TrimSuffix(held[i].Name, "held") + "open"
			}
		}
		for range l.Missing() {
			held = append(held, Face{ID: sheet.TileID(l.Kind), Name: l.Kind.Name() + ", missing", Class: "ghost"})
		}
		if n := l.Naturals - 1; l.Kind == came && n >= 0 && !l.Open {
			held[n].Marks, held[n].Name = []string{"came"}, held[n].Name+", the last tile"
			came = tile.Kinds
		}
		held[0].Gap = g > 0
		faces = append(faces, held...)
	}
	return Strip(name+": held and missing tiles", faces)
}

// seats fills in what lies open.
func (p *playPage) seats(v table.View) {
	var lying tile.Rack
	thrown := map[charleston.Seat][]Face{}
	for i := range v.Discards() {
		d := v.Discard(i)
		f := Plain([]tile.Kind{d.Tile})[0]
		if d.Claimed {
			f.Class, f.Name, p.Claimed = "passed", f.Name+", claimed", true
		} else {
			lying[d.Tile]++
		}
		thrown[d.Seat] = append(thrown[d.Seat], f)
	}
	for seat := range charleston.Seat(charleston.Seats) {
		row := seatRow{Name: seat.Name(), You: seat == v.Seat(), Dead: v.Dead(seat), Hidden: v.Hidden(seat)}
		for _, e := range openOf(v, seat) {
			row.Open = append(row.Open, ExposureStrip(e))
		}
		if len(thrown[seat]) > 0 {
			row.Discards = Strip("Discards of "+seat.Name()+" in order", thrown[seat])
		}
		p.Seats = append(p.Seats, row)
	}
	p.Lying = lying.Size()
	p.Sorted = RackStrip("All discards that nobody claimed, sorted", lying)
}

// due says what the player is to decide.
func (p *playPage) due(v table.View, near []fit.Reading, events []exercise.Event) {
	p.Note = fmt.Sprintf("The play, %s left in the wall.", wording.Plural(v.WallLeft(), "tile"))
	if d, waits := v.Claimable(); waits && v.Waits() {
		p.Heading = fmt.Sprintf("%s discards %s", d.Seat.Name(), d.Tile.Name())
		f := Face{ID: sheet.TileID(d.Tile), Name: d.Tile.Name()}
		p.Window = &claimWindow{From: d.Seat.Name(), Tile: d.Tile.Name(), Drawing: f.SVG("img")}
		p.Questions = "Your claim, or none, first; the judgement opens afterwards."
		for _, a := range v.Legal() {
			switch a.Kind {
			case table.Mahjong:
				p.Window.Mahjong = true
			case table.Expose:
				e := table.Exposure{Tile: a.Tile, Size: a.Size, Jokers: a.Jokers}
				p.Window.Claims = append(p.Window.Claims, claimOffer{e.String(), drawings(groupFaces(e.Tile, int(e.Naturals()), int(e.Jokers)))})
			}
		}
		return
	}
	if !v.Waits() {
		return
	}
	p.Heading, p.Questions = "Your turn: discard one", "Your tile first; the judgement opens afterwards."
	for _, a := range v.Legal() {
		switch a.Kind {
		case table.Declare:
			p.CanDeclare = true
		case table.Exchange:
			f := Face{ID: sheet.TileID(a.Tile), Name: a.Tile.Name()}
			p.Exchanges = append(p.Exchanges, exchangeOffer{a.Tile.String(), a.From.String(),
				fmt.Sprintf("Put %s for %s joker", a.Tile.Name(), Whose(a.From, v.Seat(), v.Seat())), f.SVG("")})
		}
	}
	p.Picks = playPicks(v, near, events)
}

// playPicks is the rack to discard from; the tile that was drawn last carries a wedge.
func playPicks(v table.View, near []fit.Reading, events []exercise.Event) []Pick {
	out := Picks(v.Rack(), tile.Rack{}, Marks{})
	if len(near) > 0 {
		first := map[tile.Kind]int{tile.Joker: 900}
		for g, l := range exercise.LayOut(v.Game().Card(), near[0].Variant, v.Rack(), openOf(v, v.Seat())) {
			if _, seen := first[l.Kind]; !seen && !l.Open {
				first[l.Kind] = g*64 + int(l.Kind)
			}
		}
		tiles := v.Rack().Tiles()
		byPlan := Places(len(tiles), func(i int) int {
			if at, used := first[tiles[i]]; used {
				return at
			}
			return 1000 + int(tiles[i])
		})
		for i := range out {
			out[i].ByPlan = byPlan[i]
		}
	}
	if n := len(events) - 1; n >= 0 && events[n].Kind == exercise.Draws {
		for i := len(out) - 1; i >= 0; i-- {
			if k := events[n].Tile; out[i].Code == k.String() {
				out[i].Drawing = Face{ID: sheet.TileID(k), Marks: []string{"came", "chosen"}}.SVG("")
				out[i].Name += ", just drawn"
				break
			}
		}
	}
	return out
}

// over fills in how the play ended. All that was hidden may now be seen.
func (p *playPage) over(x Exercise, route *exercise.Route, g *exercise.Game) error {
	res, state := g.Result(), g.State()
	end := &playEnd{Text: Minus(wording.End(x.Exercise, g)), First: len(route.Decisions)}
	p.Heading = "Wall game: nobody wins"
	var err error
	if end.Record, err = g.Record().Text(); err != nil {
		return err
	}
	end.Pays = res.Net != [charleston.Seats]int{}
	for seat := range charleston.Seat(charleston.Seats) {
		row := &p.Seats[seat]
		row.Rack = RackStrip("Concealed tiles of "+seat.Name(), state.Rack(seat))
		row.Winner = res.Ending.Won() && res.Winner == seat
		if row.Net = fmt.Sprintf("%+d", res.Net[seat]); res.Net[seat] == 0 {
			row.Net = "0"
		}
		row.Net = Minus(row.Net)
	}
	p.End = end
	if !res.Ending.Won() {
		return nil
	}
	who := res.Winner.Name() + " wins"
	if res.Winner == x.Seat {
		who = "You win"
	}
	v := g.View()
	end.Hand = x.Card.Hands[x.Card.Variants[res.Variant].Hand].Name
	p.Heading = who + " with " + end.Hand
	last := tile.Kind(tile.Kinds)
	if res.Ending == table.OnDiscard {
		last = v.Discard(v.Discards() - 1).Tile
	}
	laid := exercise.LayOut(x.Card, res.Variant, state.Rack(res.Winner), openOf(v, res.Winner))
	end.Tiles = laidStrip(end.Hand, laid, last)
	if end.Pays {
		end.Payment, end.Caution = paymentText(&res), wording.PointsCaution
	}
	return nil
}

// paymentText says how the payments come about.
func paymentText(r *table.Result) string {
	text := fmt.Sprintf("The hand counts %d. ", r.Points)
	if r.Ending == table.OnDiscard {
		text += r.Discarder.Name() + ", who discarded the last tile, pays it twice, the others once."
	} else {
		text += "It was self-drawn, so all three pay it twice."
	}
	switch {
	case r.Joker:
		text += " A joker is in the hand, so nothing is doubled."
	case r.HoldsJoker:
		text += " No joker is in a hand that could have held one: all is doubled once more."
	default:
		text += " The hand can hold no joker, so nothing is doubled."
	}
	return text
}

// upTo is 0 to n-1: all hands of a card by their numbers.
func upTo(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}
