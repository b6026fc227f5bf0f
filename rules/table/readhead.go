package table

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// headKeys are the statements of the head, in the order in which they are written.
var headKeys = func() []string {
	keys := []string{"record", "card", "tiles"}
	for _, rule := range house.Of(house.OfPlay) {
		keys = append(keys, rule.Key)
	}
	return append(keys, "East", "South", "West", "North", "wall")
}()

// headLine reads a line of the head.
func (r *reader) headLine(line string) error {
	key, text := line, ""
	if i := strings.IndexAny(line, " \t"); i >= 0 {
		key, text = line[:i], strings.TrimSpace(line[i:])
	}
	for _, k := range headKeys {
		if k != key {
			continue
		}
		switch h := r.head[k]; {
		case h == nil:
			r.head[k] = &headLine{text, r.line}
		case k == "wall":
			h.text += " " + text
		default:
			return fmt.Errorf("%s stands already on line %d", k, h.line)
		}
		return nil
	}
	return fmt.Errorf("%q begins no line of the head; %s do", key, strings.Join(headKeys, ", "))
}

// start ends the head and sets the table.
func (r *reader) start(game func(Head) (*Game, error)) error {
	for _, k := range headKeys {
		if r.head[k] == nil && !isRule(k) {
			return fmt.Errorf("the head does not say: %s", k)
		}
	}
	head, err := r.readHead()
	if err != nil {
		return err
	}
	g, err := game(head)
	if err != nil {
		return r.atHead("card", err)
	}
	record := &Record{Game: g}
	if have := record.Head(); have != head {
		return r.atHead("card", fmt.Errorf("the record is of %s, not of %s", head, have))
	}
	for seat := range charleston.Seat(charleston.Seats) {
		if record.Racks[seat], err = tile.Parse(r.head[seat.Name()].text, g.Set()); err != nil {
			return r.atHead(seat.Name(), err)
		}
	}
	if record.Wall, err = tile.ParseList(r.head["wall"].text); err != nil {
		return r.atHead("wall", err)
	}
	if r.s, err = g.Start(record.Racks, record.Wall); err != nil {
		return err
	}
	r.record = record
	return nil
}

// onOff is a house rule of the play in the head of a record.
var onOff = map[bool]string{true: "on", false: "off"}

// isRule says that a statement of the head is a house rule, which is as usual where nothing is said.
func isRule(key string) bool {
	return slices.ContainsFunc(house.Of(house.OfPlay), func(r house.Rule) bool { return r.Key == key })
}

// readHead reads what the head says of the game.
func (r *reader) readHead() (Head, error) {
	h := Head{Card: r.head["card"].text}
	if strings.HasPrefix(h.Card, `"`) {
		name, err := strconv.Unquote(h.Card)
		if err != nil {
			return h, r.atHead("card", fmt.Errorf("%s is no name in quotes", h.Card))
		}
		h.Card = name
	}
	if version := r.head["record"].text; version != "1" {
		return h, r.atHead("record", fmt.Errorf("records of form %q are not known; those of form 1 are", version))
	}
	var err error
	if h.Tiles, err = house.ParseTiles(r.head["tiles"].text); err != nil {
		return h, r.atHead("tiles", err)
	}
	rules := house.Usual
	for _, rule := range house.Of(house.OfPlay) {
		said, there := r.head[rule.Key]
		switch {
		case !there:
		case said.text != onOff[true] && said.text != onOff[false]:
			return h, r.atHead(rule.Key, fmt.Errorf("%s are on or off, not %q", rule.Key, said.text))
		default:
			rule.Turn(&rules, said.text == onOff[true])
		}
	}
	h.Play = rules.Play
	return h, nil
}

// atHead places an error at a line of the head.
func (r *reader) atHead(key string, err error) error { return &RecordError{r.head[key].line, err} }

// String is the head in words.
func (h Head) String() string {
	text := fmt.Sprintf("card %q, %s", h.Card, h.Tiles.Text())
	for _, rule := range house.Of(house.OfPlay) {
		text += ", " + rule.Said(house.House{Play: h.Play})
	}
	return text
}
