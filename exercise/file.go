package exercise

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"secondpass/engine/prepared"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
)

// FileVersion is the latest version of the exercise file. Read takes it and those before; Write writes the first that holds
// what is to be written, so that earlier programs read it where they can.
const FileVersion = 2

// maxFile bounds an exercise file, in bytes: a card and hundreds of routes stay far below.
const maxFile = 16 << 20

// The file is JSON, described in docs/exercise-files.md. Tiles are rack text; a field that does
// not apply is left out.

type fileExercise struct {
	Format    string                `json:"format"`
	Version   int                   `json:"version"`
	Name      string                `json:"name"`
	Card      fileCard              `json:"card"`
	House     *house.House          `json:"house"`
	Seat      string                `json:"seat"`
	Seed      uint64                `json:"seed"`
	Condition string                `json:"condition,omitempty"`
	Deal      string                `json:"deal"`
	Incoming  Incoming              `json:"incoming"`
	Mock      map[string][]fileTile `json:"mock,omitempty"`
	Players   string                `json:"players,omitempty"`
	Racks     map[string]string     `json:"racks,omitempty"`
	Wall      string                `json:"wall,omitempty"`
	Letters   int                   `json:"letters,omitempty"`
	Routes    []fileRoute           `json:"routes"`
	// From version 2 on.
	Removed []fileRoute `json:"removed,omitempty"`
}

type fileCard struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// fileTile is one kind in its code.
type fileTile string

type fileRoute struct {
	ID        string         `json:"id,omitempty"`
	Name      string         `json:"name"`
	From      string         `json:"from,omitempty"`
	At        int            `json:"at,omitempty"`
	Aim       []string       `json:"aim,omitempty"`
	Decisions []fileDecision `json:"decisions"`
	Play      []string       `json:"play,omitempty"`
	// From version 2 on.
	Unseen  *fileUnseen  `json:"unseen,omitempty"`
	Notes   []fileNote   `json:"notes,omitempty"`
	Changes []fileChange `json:"changes,omitempty"`
	Ahead   []fileTaken  `json:"ahead,omitempty"`
}

// later says whether the route has something that came with version 2.
func (f *fileRoute) later() bool {
	return f.Unseen != nil || len(f.Notes)+len(f.Changes)+len(f.Ahead) > 0
}

type fileDecision struct {
	Step string `json:"step"`
	// One of the four is there: what was passed, the vote, the number offered, the tiles given.
	Pass  *string `json:"pass,omitempty"`
	Stop  *bool   `json:"stop,omitempty"`
	Offer *int    `json:"offer,omitempty"`
	Give  *string `json:"give,omitempty"`

	Blind      int    `json:"blind,omitempty"`
	Came       string `json:"came,omitempty"`
	OthersStop bool   `json:"others_stop,omitempty"`
	Exchanged  int    `json:"exchanged,omitempty"`

	Others map[string]fileMove `json:"others,omitempty"`
}

const fileFormat = "secondpass exercise"

// Write writes the exercise as a file that Read takes back.
func (e *Exercise) Write(w io.Writer) error {
	f := fileExercise{
		Format: fileFormat, Version: 1, Name: e.Name,
		Card:  fileCard{e.Card.Name, e.Card.Source},
		House: &e.House, Seat: e.Seat.String(), Seed: e.Seed, Condition: e.Condition,
		Deal: e.Deal.String(), Incoming: e.Incoming, Letters: e.Letters, Routes: []fileRoute{},
	}
	if e.Incoming == MockPasses {
		f.Mock = map[string][]fileTile{}
		for step := charleston.FirstRight; step < charleston.Steps; step++ {
			for _, k := range e.Mock[step] {
				f.Mock[step.Key()] = append(f.Mock[step.Key()], fileTile(k.String()))
			}
		}
	}
	if e.Incoming == TablePasses {
		f.hidden(e)
	}
	for _, r := range e.Routes {
		f.Routes = append(f.Routes, routeToFile(r, e))
	}
	for _, r := range e.Removed {
		f.Removed = append(f.Removed, routeToFile(r, e))
	}
	if len(f.Removed) > 0 || slices.ContainsFunc(f.Routes, func(r fileRoute) bool { return r.later() }) {
		f.Version = FileVersion
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(f)
}

// JSONForm is a value of the type that Write writes.
func (Exercise) JSONForm() any { return fileExercise{} }

func routeToFile(r *Route, e *Exercise) fileRoute {
	f := fileRoute{ID: r.ID, Name: r.Name, From: r.From, At: r.At, Aim: r.AimAt(0), Decisions: []fileDecision{}, Play: playToFile(r.Play),
		Unseen: r.Unseen.toFile(e.Seat), Notes: notesToFile(r.Notes, r.AimAt(0)), Changes: changesToFile(r.Changes), Ahead: takenToFile(r.Ahead, e, r.Aim())}
	for _, d := range r.Decisions {
		f.Decisions = append(f.Decisions, decisionToFile(d, e))
	}
	return f
}

func decisionToFile(d Decision, e *Exercise) fileDecision {
	f := fileDecision{Step: d.Step.Key(), Came: d.Came.String(), OthersStop: d.OthersStop, Exchanged: d.Exchanged}
	own := d.Own.String()
	switch d.Phase {
	case charleston.Passing:
		f.Pass, f.Blind = &own, d.Count
	case charleston.Voting:
		f.Stop = &d.Stop
	case charleston.Naming:
		f.Offer = &d.Count
	case charleston.Giving:
		f.Give = &own
	}
	if e.Incoming == TablePasses {
		f.Others = othersToFile(d, e.Seat)
	}
	return f
}

// Read reads an exercise file and checks all of it: the card, the tiles, and every decision by
// replaying it. The other players of a table exercise do what the file says and are not asked. The error says in one
// sentence what is wrong and where.
func Read(r io.Reader) (*Exercise, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	if err != nil {
		return nil, err
	}
	if len(data) > maxFile {
		return nil, fmt.Errorf("the file is larger than %d MB, the most an exercise may have", maxFile>>20)
	}
	rules := house.Usual // what a file does not say of them is usual
	f := fileExercise{House: &rules}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		return nil, fmt.Errorf("no exercise file: %w", JSONError(data, err))
	}
	if dec.More() {
		return nil, fmt.Errorf("no exercise file: more text after its end")
	}
	if f.Format != fileFormat {
		return nil, fmt.Errorf("no exercise file: its format is %q, not %q", f.Format, fileFormat)
	}
	if f.Version < 1 || f.Version > FileVersion {
		return nil, fmt.Errorf("an exercise file of version %d; this program reads versions 1 to %d", f.Version, FileVersion)
	}
	if f.Version < 2 && (len(f.Removed) > 0 || slices.ContainsFunc(f.Routes, func(r fileRoute) bool { return r.later() })) {
		return nil, fmt.Errorf("no exercise file: notes, changes, ahead, unseen and removed are for version 2; it says version 1")
	}
	return f.exercise()
}

// JSONError words an error of the JSON reader, with the line where it knows the place; files of other things are read alike.
func JSONError(data []byte, err error) error {
	line := func(offset int64) int { return 1 + bytes.Count(data[:min(offset, int64(len(data)))], []byte("\n")) }
	switch e := err.(type) {
	case *json.SyntaxError:
		return fmt.Errorf("line %d is no JSON", line(e.Offset))
	case *json.UnmarshalTypeError:
		return fmt.Errorf("line %d: %s is a %s where a %s is right", line(e.Offset), e.Field, e.Value, e.Type)
	}
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errors.New("it ends before its JSON does")
	}
	return fmt.Errorf("%s", strings.TrimPrefix(err.Error(), "json: "))
}

func (f *fileExercise) exercise() (*Exercise, error) {
	if err := CheckName(f.Name); err != nil {
		return nil, fmt.Errorf("name: %w", err)
	}
	if f.House == nil {
		return nil, fmt.Errorf("house: null; the house rules are right")
	}
	set, err := f.House.Set()
	if err != nil {
		return nil, fmt.Errorf("house: %w", err)
	}
	c, err := prepared.Read("card", f.Card.Text, set)
	if err != nil {
		return nil, fmt.Errorf("the exercise's card is wrong: %w", err)
	}
	if c.Name != f.Card.Name {
		return nil, fmt.Errorf("card: the name is %q, but its text says %q", f.Card.Name, c.Name)
	}
	seat, err := charleston.ParseSeat(f.Seat)
	if err != nil {
		return nil, fmt.Errorf("seat: %w", err)
	}
	deal, err := tile.Parse(f.Deal, set)
	if err != nil {
		return nil, fmt.Errorf("deal: %w", err)
	}
	e, err := blank(f.Name, c, *f.House, seat, deal, f.Incoming, f.Seed)
	if err != nil {
		return nil, fmt.Errorf("deal: %w", err)
	}
	e.Condition = f.Condition
	if err := f.readHidden(e); err != nil {
		return nil, err
	}
	if e.Mock, err = f.mock(set); err != nil {
		return nil, fmt.Errorf("mock: %w", err)
	}
	return e, f.routes(e)
}

func (f *fileExercise) mock(set tile.Set) (charleston.Mock, error) {
	var m charleston.Mock
	if f.Incoming != MockPasses {
		if len(f.Mock) > 0 {
			return m, fmt.Errorf("tiles drawn in advance where incoming tiles are %q", f.Incoming)
		}
		return m, nil
	}
	all, err := tile.Parse(f.Deal, set)
	if err != nil {
		return m, err
	}
	for step := charleston.FirstRight; step < charleston.Steps; step++ {
		tiles := f.Mock[step.Key()]
		if len(tiles) != charleston.PassTiles {
			return m, fmt.Errorf("%s has %d tiles; %d are right", step, len(tiles), charleston.PassTiles)
		}
		for i, text := range tiles {
			one, err := tile.ParseList(string(text))
			if err != nil || len(one) != 1 || one[0] == tile.Joker {
				return m, fmt.Errorf("%s: %q; one tile that is no joker is right", step, text)
			}
			m[step][i] = one[0]
			all[one[0]]++
		}
	}
	if len(f.Mock) != charleston.Steps-1 {
		return m, fmt.Errorf("%d steps; the %d of the Charleston are right", len(f.Mock), charleston.Steps-1)
	}
	return m, set.Holds(all)
}

func (f *fileExercise) routes(e *Exercise) error {
	if len(f.Routes) == 0 {
		return fmt.Errorf("routes: none; an exercise has one at least")
	}
	if len(f.Routes) > maxRoutes {
		return fmt.Errorf("routes: %d of them; %d are the most", len(f.Routes), maxRoutes)
	}
	e.Routes = nil
	for i := range f.Routes {
		r, err := f.Routes[i].route(e)
		if err != nil {
			return err
		}
		e.Routes = append(e.Routes, r)
	}
	if len(f.Removed) > removedKept {
		return fmt.Errorf("removed: %d routes; %d are the most", len(f.Removed), removedKept)
	}
	for i := range f.Removed {
		if f.Removed[i].ID == "" {
			return fmt.Errorf("removed: a route without an id; the letter it had is right")
		}
		r, err := f.Removed[i].route(&Exercise{Card: e.Card, House: e.House, Set: e.Set, Seat: e.Seat, Seed: e.Seed, Deal: e.Deal, Incoming: e.Incoming,
			Mock: e.Mock, Players: e.Players, Hidden: e.Hidden, kit: e.kit}) // its name may be another route's by now
		if err != nil {
			return fmt.Errorf("removed: %w", err)
		}
		e.Removed = append(e.Removed, r)
	}
	if f.Letters == 0 && !slices.ContainsFunc(e.Routes, func(r *Route) bool { return r.ID != "" }) {
		e.giveLetters()
	} else {
		e.Letters = f.Letters
		if err := e.checkLetters(); err != nil {
			return err
		}
	}
	return e.readOrigins()
}

// readOrigins looks up where routes were forked; files from before routes had letters say it by name.
func (e *Exercise) readOrigins() error {
	for _, r := range slices.Concat(e.Routes, e.Removed) {
		if r.From == "" || e.Origin(r) != nil || e.removed(r.From) != nil {
			continue
		}
		from, err := e.Route(r.From)
		if err != nil {
			return fmt.Errorf("route %s: from: %w", r.Name, err)
		}
		r.From = from.ID
	}
	return nil
}

func (f *fileRoute) route(e *Exercise) (*Route, error) {
	name, err := e.freeName(f.Name)
	if err != nil || f.Name == "" {
		return nil, fmt.Errorf("routes: a route with %w", orEmpty(err))
	}
	r := &Route{ID: f.ID, Name: name, From: f.From, At: f.At, Seat: e.Seat}
	for i := range f.Decisions {
		d, err := f.Decisions[i].read(e)
		if err != nil {
			return nil, fmt.Errorf("route %s, decision %d: %w", name, i+1, err)
		}
		r.Decisions = append(r.Decisions, d)
	}
	if r.Unseen, err = f.Unseen.hidden(e); err != nil {
		return nil, fmt.Errorf("route %s: %w", name, err)
	}
	if len(f.Play) > 0 && e.Incoming != TablePasses && r.Unseen == nil {
		return nil, fmt.Errorf("route %s, play: there is none where incoming tiles are %q", name, e.Incoming)
	}
	if r.Play, err = readPlay(f.Play); err != nil {
		return nil, fmt.Errorf("route %s, %w", name, err)
	}
	if _, err := e.Replay(r); err != nil {
		return nil, err
	}
	if n := r.Len(); f.At < 0 || f.At > n {
		return nil, fmt.Errorf("route %s: at: %d, but it has %d decisions", name, f.At, n)
	}
	if err = f.readNotes(r, e); err == nil {
		err = f.readTaken(r, e)
	}
	if err != nil {
		return nil, fmt.Errorf("route %s: %w", name, err)
	}
	return r, nil
}

func orEmpty(err error) error {
	if err == nil {
		return fmt.Errorf("an empty name")
	}
	return err
}

// read reads a decision with what the other seats did.
func (f *fileDecision) read(e *Exercise) (Decision, error) {
	d, err := f.decision(e.Set)
	if err == nil {
		err = f.readOthers(&d, e)
	}
	return d, err
}

func (f *fileDecision) decision(set tile.Set) (Decision, error) {
	d := Decision{Count: f.Blind, OthersStop: f.OthersStop, Exchanged: f.Exchanged}
	var err error
	if d.Step, err = charleston.ParseStep(f.Step); err != nil {
		return d, err
	}
	if d.Came, err = ParseParcel(f.Came, set); err != nil {
		return d, fmt.Errorf("came: %w", err)
	}
	kinds := 0
	if f.Pass != nil {
		kinds, d.Phase = kinds+1, charleston.Passing
		d.Own, err = ParseParcel(*f.Pass, set)
	}
	if f.Stop != nil {
		kinds, d.Phase, d.Stop = kinds+1, charleston.Voting, *f.Stop
	}
	if f.Offer != nil {
		kinds, d.Phase, d.Count = kinds+1, charleston.Naming, *f.Offer
	}
	if f.Give != nil {
		kinds, d.Phase = kinds+1, charleston.Giving
		d.Own, err = ParseParcel(*f.Give, set)
	}
	if err == nil && kinds != 1 {
		err = fmt.Errorf("%d of pass, stop, offer and give; one is right", kinds)
	}
	return d, err
}

// ParseParcel reads rack text of up to three tiles.
func ParseParcel(text string, set tile.Set) (charleston.Parcel, error) {
	r, err := tile.Parse(text, set)
	if err != nil {
		return charleston.Parcel{}, err
	}
	return charleston.ParcelOf(r.Tiles()...)
}
