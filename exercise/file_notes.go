package exercise

import (
	"fmt"
	"slices"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
	"secondpass/rules/charleston"
	"secondpass/rules/table"
)

// The parts of the file that came with its version 2: what was noted at each moment, what was taken back, removed routes,
// and a play that was begun after mock or entered passes.

// fileNote is what was noted after At decisions. Aim is there where the plan changed.
type fileNote struct {
	At     int          `json:"at"`
	Aim    *[]string    `json:"aim,omitempty"`
	Remark string       `json:"remark,omitempty"`
	Advice *fileAdvised `json:"advice,omitempty"`
}

type fileAdvised struct {
	Seed    uint64       `json:"seed"`
	Games   int          `json:"games"`
	Whole   int          `json:"whole"`
	Of      int          `json:"of"`
	Options []fileOption `json:"options"`
}

// fileOption is one decision: in the play the line of its record, else one of pass, stop, offer and give.
type fileOption struct {
	Play  string  `json:"play,omitempty"`
	Pass  *string `json:"pass,omitempty"`
	Blind int     `json:"blind,omitempty"`
	Stop  *bool   `json:"stop,omitempty"`
	Offer *int    `json:"offer,omitempty"`
	Give  *string `json:"give,omitempty"`

	Chance stat.Interval[unit.Chance]           `json:"chance"`
	Behind stat.Interval[unit.ChanceDifference] `json:"behind"`
	Points stat.IntMoments[unit.NetPoints]      `json:"points"`
	Even   bool                                 `json:"even,omitempty"`
	Own    bool                                 `json:"own,omitempty"`
}

// fileUnseen is what nobody sat at the table for: the racks of the others and the wall when a play began.
type fileUnseen struct {
	Racks map[string]string `json:"racks"`
	Wall  string            `json:"wall"`
}

// fileChange is a plan or a remark that gave way to another, or is to be set again; one of the two is there.
type fileChange struct {
	Of     int       `json:"of"`
	At     int       `json:"at"`
	Aim    *[]string `json:"aim,omitempty"`
	Remark *string   `json:"remark,omitempty"`
}

// fileTaken is what was taken back: a change, or a decision of the passing, then the play that followed, and the note after it.
type fileTaken struct {
	Change   *fileChange   `json:"change,omitempty"`
	Decision *fileDecision `json:"decision,omitempty"`
	Play     []string      `json:"play,omitempty"`
	Unseen   *fileUnseen   `json:"unseen,omitempty"`
	Note     *fileNote     `json:"note,omitempty"`
}

// notesToFile writes notes, those alone that say something new. plan is the one pinned before them.
func notesToFile(notes []Note, plan []string) []fileNote {
	var all []fileNote
	for at, n := range notes {
		f := fileNote{At: at, Remark: n.Remark, Advice: advisedToFile(n.Advice)}
		if !slices.Equal(n.Aim, plan) {
			aim := append([]string{}, n.Aim...)
			f.Aim, plan = &aim, n.Aim
		}
		if f.Aim != nil || f.Remark != "" || f.Advice != nil {
			all = append(all, f)
		}
	}
	return all
}

func advisedToFile(a *Advised) *fileAdvised {
	if a == nil {
		return nil
	}
	f := &fileAdvised{Seed: a.Seed, Games: a.Games, Whole: a.Whole, Of: a.Of, Options: []fileOption{}}
	for _, o := range a.Options {
		fo := fileOption{Chance: o.Chance, Behind: o.Behind, Points: o.Points, Even: o.Even, Own: o.Own}
		own := o.Pass.Own.String()
		switch {
		case o.Act.Kind != 0:
			fo.Play = o.Act.String()
		case o.Pass.Kind == charleston.Pass:
			fo.Pass, fo.Blind = &own, o.Pass.Count
		case o.Pass.Kind == charleston.Vote:
			fo.Stop = &o.Pass.Stop
		case o.Pass.Kind == charleston.Name:
			fo.Offer = &o.Pass.Count
		default:
			fo.Give = &own
		}
		f.Options = append(f.Options, fo)
	}
	return f
}

func (f *fileAdvised) advised(e *Exercise) (*Advised, error) {
	if f == nil {
		return nil, nil
	}
	a := &Advised{Seed: f.Seed, Games: f.Games, Whole: f.Whole, Of: f.Of}
	if min(f.Games, f.Whole) < 0 || f.Of < len(f.Options) {
		return nil, fmt.Errorf("advice: %d games, %d whole ones, %d options of %d cannot be", f.Games, f.Whole, len(f.Options), f.Of)
	}
	for i := range f.Options {
		o, err := f.Options[i].option(e)
		if err != nil {
			return nil, fmt.Errorf("advice, option %d: %w", i+1, err)
		}
		a.Options = append(a.Options, o)
	}
	return a, nil
}

func (f *fileOption) option(e *Exercise) (Option, error) {
	o := Option{Chance: f.Chance, Behind: f.Behind, Points: f.Points, Even: f.Even, Own: f.Own}
	if c := f.Chance; c.N < 0 || !(0 <= c.Low && c.Low <= c.Value && c.Value <= c.High && c.High <= 1) {
		return o, fmt.Errorf("chance: value, low and high from 0 to 1 in their order, and a number of games, are right")
	}
	if b := f.Behind; b.N < 0 || !(b.Low <= b.Value && b.Value <= b.High) {
		return o, fmt.Errorf("behind: value, low and high in their order are right")
	}
	if f.Points.N < 0 || f.Points.SumSq < 0 {
		return o, fmt.Errorf("points: numbers of games below 0")
	}
	kinds := 0
	var err error
	tiles := func(kind charleston.ActionKind, text string) {
		kinds++
		o.Pass.Kind = kind
		o.Pass.Own, err = ParseParcel(text, e.Set)
	}
	if f.Play != "" {
		kinds++
		o.Act, err = table.ParseAction(f.Play)
		if err == nil && o.Act.Seat != e.Seat {
			err = fmt.Errorf("play: %q is no decision of %s", f.Play, e.Seat.Name())
		}
	} else {
		o.Pass.Seat = e.Seat
	}
	if f.Pass != nil {
		tiles(charleston.Pass, *f.Pass)
		o.Pass.Count = f.Blind
	}
	if f.Stop != nil {
		kinds, o.Pass.Kind, o.Pass.Stop = kinds+1, charleston.Vote, *f.Stop
	}
	if f.Offer != nil {
		kinds, o.Pass.Kind, o.Pass.Count = kinds+1, charleston.Name, *f.Offer
	}
	if f.Give != nil {
		tiles(charleston.Give, *f.Give)
	}
	if err == nil && kinds != 1 {
		err = fmt.Errorf("%d of play, pass, stop, offer and give; one is right", kinds)
	}
	return o, err
}

// note reads what was noted at a moment; plan is the one before.
func (f *fileNote) note(e *Exercise, plan []string) (Note, error) {
	n := Note{Aim: plan, Remark: f.Remark}
	if f.Aim != nil {
		if n.Aim = *f.Aim; len(n.Aim) == 0 {
			n.Aim = nil
		}
	}
	if _, err := Hands(e.Card, n.Aim); err != nil {
		return n, fmt.Errorf("aim: %w", err)
	}
	if err := checkRemark(f.Remark); err != nil {
		return n, err
	}
	var err error
	n.Advice, err = f.Advice.advised(e)
	return n, err
}

// readNotes reads the plan from the deal on and what was noted later.
func (f *fileRoute) readNotes(r *Route, e *Exercise) error {
	if _, err := Hands(e.Card, f.Aim); err != nil {
		return fmt.Errorf("aim: %w", err)
	}
	if len(f.Aim) > 0 {
		r.Notes = []Note{{Aim: f.Aim}}
	}
	last := -1
	for i := range f.Notes {
		fn := &f.Notes[i]
		if fn.At <= last || fn.At > r.Len() {
			return fmt.Errorf("notes: one at %d; rising numbers up to %d are right", fn.At, r.Len())
		}
		last = fn.At
		n, err := fn.note(e, r.AimAt(fn.At))
		if err != nil {
			return fmt.Errorf("notes, at %d: %w", fn.At, err)
		}
		r.setNote(fn.At, n)
	}
	return nil
}

func (u *Hidden) toFile(own charleston.Seat) *fileUnseen {
	if u == nil {
		return nil
	}
	f := &fileUnseen{}
	f.Racks, f.Wall = hiddenToFile(u, own)
	return f
}

func (f *fileUnseen) hidden(e *Exercise) (*Hidden, error) {
	if f == nil {
		return nil, nil
	}
	if e.Incoming == TablePasses {
		return nil, fmt.Errorf("unseen: that is for mock or entered tiles; here they are %q", e.Incoming)
	}
	u := &Hidden{}
	if err := u.read(f.Racks, f.Wall, e); err != nil {
		return nil, fmt.Errorf("unseen: %w", err)
	}
	return u, nil
}

func takenToFile(ahead []Taken, e *Exercise, plan []string) []fileTaken {
	var all []fileTaken
	for _, t := range ahead {
		if c := t.Change; c != nil {
			if !c.OfRemark {
				plan = c.Aim
			}
			all = append(all, fileTaken{Change: &changesToFile([]Change{*c})[0]})
			continue
		}
		f := fileTaken{Play: playToFile(t.Play), Unseen: t.Unseen.toFile(e.Seat)}
		if !t.inPlay() {
			d := decisionToFile(t.Decision, e)
			f.Decision = &d
		}
		if notes := notesToFile([]Note{t.Note}, plan); len(notes) > 0 {
			f.Note = &notes[0]
		}
		plan = t.Note.Aim
		all = append(all, f)
	}
	return all
}

func changesToFile(changes []Change) []fileChange {
	var all []fileChange
	for _, c := range changes {
		f := fileChange{Of: c.Of, At: c.At}
		if c.OfRemark {
			f.Remark = &c.Remark
		} else {
			aim := append([]string{}, c.Aim...)
			f.Aim = &aim
		}
		all = append(all, f)
	}
	return all
}

// change reads a change of a route that has, or will have, a length.
func (f *fileChange) change(e *Exercise, length int) (Change, error) {
	c := Change{Of: f.Of, At: f.At, OfRemark: f.Remark != nil}
	if (f.Aim != nil) == c.OfRemark {
		return c, fmt.Errorf("one of aim and remark is right")
	}
	if c.OfRemark {
		c.Remark = *f.Remark
	} else if len(*f.Aim) > 0 {
		c.Aim = *f.Aim
	}
	return c, c.check(e, length)
}

// readTaken reads what can be taken back beside the decisions, and what was taken back. Whether a decision of these still fits is
// seen when it is done again.
func (f *fileRoute) readTaken(r *Route, e *Exercise) error {
	if len(f.Changes) > maxChanges {
		return fmt.Errorf("changes: %d of them; %d are the most", len(f.Changes), maxChanges)
	}
	for i := range f.Changes {
		c, err := f.Changes[i].change(e, r.Len())
		if err == nil && i > 0 && c.Of < r.Changes[i-1].Of {
			err = fmt.Errorf("of: %d behind %d; rising numbers are right", c.Of, r.Changes[i-1].Of)
		}
		if err != nil {
			return fmt.Errorf("changes %d: %w", i+1, err)
		}
		r.Changes = append(r.Changes, c)
	}
	plan, length := r.Aim(), r.Len()
	for i := range f.Ahead {
		t, err := f.Ahead[i].taken(e, plan, length)
		if err != nil {
			return fmt.Errorf("ahead %d: %w", i+1, err)
		}
		switch c := t.Change; {
		case c == nil:
			plan = t.Note.Aim
			length++
		case !c.OfRemark:
			plan = c.Aim
		}
		r.Ahead = append(r.Ahead, t)
	}
	return nil
}

// taken reads what was taken back of a route that has a plan and a length when it is done again.
func (f *fileTaken) taken(e *Exercise, plan []string, length int) (Taken, error) {
	if f.Change != nil {
		if f.Decision != nil || f.Unseen != nil || f.Note != nil || len(f.Play) > 0 {
			return Taken{}, fmt.Errorf("more beside a change; that alone is right")
		}
		c, err := f.Change.change(e, length)
		return Taken{Change: &c}, err
	}
	t := Taken{Decision: Decision{Phase: charleston.Over}, Note: Note{Aim: plan}}
	var err error
	if f.Decision != nil {
		if t.Decision, err = f.Decision.read(e); err != nil {
			return t, err
		}
	}
	if t.Play, err = readPlay(f.Play); err == nil {
		t.Unseen, err = f.Unseen.hidden(e)
	}
	if err == nil && f.Note != nil {
		t.Note, err = f.Note.note(e, plan)
	}
	if err == nil && t.inPlay() && len(t.Play) == 0 {
		err = fmt.Errorf("none of decision, play and change; one is right")
	}
	return t, err
}
