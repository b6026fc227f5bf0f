package exercise

import (
	"fmt"
	"strings"

	"secondpass/rules/charleston"
	"secondpass/rules/table"
	"secondpass/rules/tile"
)

// The parts of the file that only table exercises have.

// fileMove is what another seat did at a decision.
type fileMove struct {
	Pass  *string `json:"pass,omitempty"`
	Blind int     `json:"blind,omitempty"`
	Stop  *bool   `json:"stop,omitempty"`
	Offer *int    `json:"offer,omitempty"`
	Give  *string `json:"give,omitempty"`
}

// hidden writes the hidden tiles.
func (f *fileExercise) hidden(e *Exercise) {
	f.Players = e.Players
	f.Racks, f.Wall = hiddenToFile(&e.Hidden, e.Seat)
}

// hiddenToFile is the racks of the others by seat, and the wall.
func hiddenToFile(h *Hidden, own charleston.Seat) (map[string]string, string) {
	racks := map[string]string{}
	for seat, r := range h.Racks {
		if charleston.Seat(seat) != own {
			racks[charleston.Seat(seat).String()] = r.String()
		}
	}
	wall := make([]string, len(h.Wall))
	for i, k := range h.Wall {
		wall[i] = k.String()
	}
	return racks, strings.Join(wall, " ")
}

// readHidden reads the hidden tiles and who the others are; an exercise of another kind must have none.
func (f *fileExercise) readHidden(e *Exercise) error {
	if e.Incoming != TablePasses {
		if f.Players != "" || len(f.Racks) > 0 || f.Wall != "" {
			return fmt.Errorf("players, racks or a wall where incoming tiles are %q", e.Incoming)
		}
		return nil
	}
	if err := e.seatPlayers(f.Players); err != nil {
		return err
	}
	if err := e.Hidden.read(f.Racks, f.Wall, e); err != nil {
		return err
	}
	return e.Hidden.check(e.Deal, e)
}

// read reads the racks of the three others and the wall. Whether they make up the set is for others to say.
func (h *Hidden) read(racks map[string]string, wall string, e *Exercise) error {
	for seat := range charleston.Seat(charleston.Seats) {
		text, there := racks[seat.String()]
		if there == (seat == e.Seat) {
			return fmt.Errorf("racks: those of the three seats other than %s are right", e.Seat.Name())
		}
		var err error
		if h.Racks[seat], err = tile.Parse(text, e.Set); err != nil {
			return fmt.Errorf("racks: %s: %w", seat.Name(), err)
		}
	}
	if len(racks) != charleston.Seats-1 {
		return fmt.Errorf("racks: %d of them; %d are right", len(racks), charleston.Seats-1)
	}
	var err error
	if h.Wall, err = tile.ParseList(wall); err != nil {
		return fmt.Errorf("wall: %w", err)
	}
	return nil
}

// othersToFile writes what the other seats did. At the courtesy only those that gave something stand there.
func othersToFile(d Decision, own charleston.Seat) map[string]fileMove {
	others := map[string]fileMove{}
	for seat := range charleston.Seat(charleston.Seats) {
		m := d.Others[seat]
		if seat == own || d.Phase == charleston.Giving && m.Own.Len() == 0 {
			continue
		}
		var f fileMove
		tiles := m.Own.String()
		switch d.Phase {
		case charleston.Passing:
			f.Pass, f.Blind = &tiles, m.Count
		case charleston.Voting:
			f.Stop = &m.Stop
		case charleston.Naming:
			f.Offer = &m.Count
			if m.Own.Len() > 0 {
				f.Give = &tiles
			}
		case charleston.Giving:
			f.Give = &tiles
		}
		others[seat.String()] = f
	}
	return others
}

// readOthers reads what the other seats did at a decision.
func (f *fileDecision) readOthers(d *Decision, e *Exercise) error {
	if e.Incoming != TablePasses {
		if len(f.Others) > 0 {
			return fmt.Errorf("others: there are none where incoming tiles are %q", e.Incoming)
		}
		return nil
	}
	found := 0
	for seat := range charleston.Seat(charleston.Seats) {
		m, there := f.Others[seat.String()]
		if !there {
			if seat != e.Seat && d.Phase != charleston.Giving {
				return fmt.Errorf("others: what %s did is missing", seat.Name())
			}
			continue
		}
		found++
		if seat == e.Seat {
			return fmt.Errorf("others: %s is the player's own seat", seat.Name())
		}
		var err error
		if d.Others[seat], err = m.move(d.Phase, e.Set); err != nil {
			return fmt.Errorf("others: %s: %w", seat.Name(), err)
		}
	}
	if found != len(f.Others) {
		return fmt.Errorf("others: a seat that there is not; E, S, W and N are right")
	}
	return nil
}

// move reads what one seat did in a phase.
func (f *fileMove) move(phase charleston.Phase, set tile.Set) (m Move, err error) {
	given := func(pass, stop, offer, give bool) bool {
		return (f.Pass != nil) == pass && (f.Stop != nil) == stop && (f.Offer != nil) == offer && (f.Give != nil) == give
	}
	right, tiles := "", f.Give
	switch phase {
	case charleston.Passing:
		tiles, m.Count = f.Pass, f.Blind
		if !given(true, false, false, false) {
			right = "pass (and blind)"
		}
	case charleston.Voting:
		if !given(false, true, false, false) {
			right = "stop"
			break
		}
		m.Stop = *f.Stop
	case charleston.Naming:
		if !given(false, false, true, f.Give != nil) {
			right = "offer (and give)"
			break
		}
		m.Count = *f.Offer
	case charleston.Giving:
		if !given(false, false, false, true) {
			right = "give"
		}
	}
	switch {
	case right != "":
		return m, fmt.Errorf("%s is right here, and nothing else", right)
	case f.Blind != 0 && phase != charleston.Passing:
		return m, fmt.Errorf("blind tiles where none are passed")
	case tiles != nil:
		m.Own, err = ParseParcel(*tiles, set)
	}
	return m, err
}

// playToFile writes the play, one line an action as in the record of a game.
func playToFile(play []table.Action) []string {
	var lines []string
	for _, a := range play {
		lines = append(lines, a.String())
	}
	return lines
}

// readPlay reads the play; whether it is possible is for the replay to say.
func readPlay(lines []string) ([]table.Action, error) {
	var play []table.Action
	for i, line := range lines {
		a, err := table.ParseAction(line)
		if err != nil {
			return nil, fmt.Errorf("play %d: %w", i+1, err)
		}
		play = append(play, a)
	}
	return play, nil
}
