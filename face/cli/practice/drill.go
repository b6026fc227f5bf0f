// Package practice is the commands for teaching: drills, lessons and students. face/cli alone calls it.
package practice

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"secondpass/desk"
	"secondpass/engine/player"
	"secondpass/engine/unit"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/work"
)

// Drill is the command drill.
type Drill struct {
	Find    drillFindCmd    `cmd:"" help:"Search random deals for decisions that teach, and keep them with their keys."`
	New     drillNewCmd     `cmd:"" help:"A drill of your own: of a typed rack, a step of an exercise, or a moment of a recorded game."`
	Edit    drillEditCmd    `cmd:"" help:"Ask in your own words, give your own reasons, offer other answers."`
	List    drillListCmd    `cmd:"" help:"The drills of a card."`
	Show    drillShowCmd    `cmd:"" help:"One drill: the question, and with --key the answers."`
	Try     drillTryCmd     `cmd:"" help:"Decide, then see what it cost and why."`
	Read    drillReadCmd    `cmd:"" help:"A rack to read: which sections, or hands, is it near?"`
	Key     drillKeyCmd     `cmd:"" help:"Make keys again with more games and another seed, and say what changed."`
	Renew   drillRenewCmd   `cmd:"" help:"Judge the drills of one card for another: the season's new card."`
	Delete  drillDeleteCmd  `cmd:"" help:"Put drills away; what students did with them is kept, and restore brings them back."`
	Restore drillRestoreCmd `cmd:"" help:"Bring deleted drills back."`
	Export  drillExportCmd  `cmd:"" help:"Write the drills of a card to a file."`
	Import  drillImportCmd  `cmd:"" help:"Read drills from a file."`
}

// judged is the card asked for, whose drills are to be judged against players.
func judged(g *command.Globals, players string) (*card.Card, error) {
	c, err := g.LoadHands(tile.Usual)
	if err == nil {
		err = command.DiskError(g.Desk().CheckPlayers(c, players))
	}
	return c, err
}

// filterFlags are which drills are wanted.
type filterFlags struct {
	Kind       []string `placeholder:"KIND" help:"Only of this kind; may be given several times (plans, tempting, breaking, switch, blind, stop, courtesy, refuse, take; own in lists)."`
	Theme      string   `placeholder:"THEME" help:"Only racks of a theme: flowers, jokers, multiples, suit (seven tiles of one), sections (two equally near), or \"section NAME\"."`
	Step       string   `placeholder:"STEP" help:"Only of this step (first-right to courtesy), or play."`
	Difficulty string   `placeholder:"WORD" help:"Only drills that are easy, middle or hard for a middle student."`
}

// filter reads the flags for drills of a card.
func (f *filterFlags) filter(c *card.Card) (w drill.Filter, err error) {
	for _, name := range f.Kind {
		k, err := drill.ParseKind(name)
		if err != nil {
			return w, fmt.Errorf("--kind %w", err)
		}
		w.Kinds = append(w.Kinds, k)
	}
	if w.Theme, err = drill.ParseTheme(c, f.Theme); err != nil {
		return w, fmt.Errorf("--theme %w", err)
	}
	if w.Step, err = drill.ParseStep(f.Step); err != nil {
		return w, fmt.Errorf("--step %w", err)
	}
	if w.Difficulty, err = drill.ParseDifficulty(f.Difficulty); err != nil {
		return w, fmt.Errorf("--difficulty %w", err)
	}
	return w, nil
}

type drillFindCmd struct {
	Count int `short:"n" default:"10" placeholder:"N" help:"Find so many drills."`
	filterFlags
	Deals   uint64        `default:"2000" placeholder:"N" help:"Look through so many deals at most."`
	From    uint64        `placeholder:"N" help:"Begin with this deal: where an earlier search with the same seed has come to."`
	Budget  time.Duration `placeholder:"TIME" help:"Search no longer than this; without it the same seed finds the same drills."`
	Players string        `default:"strong" placeholder:"NAME" help:"Who sits at the other seats."`
}

// Help adds examples to the help page.
func (drillFindCmd) Help() string {
	return `Examples:
  secondpass drill find -n 20
  secondpass drill find -n 5 --kind switch --kind breaking --seed 7`
}

func (c *drillFindCmd) Run(g *command.Globals) error {
	switch {
	case c.Count < 1 || c.Count > 10_000:
		return fmt.Errorf("--count %d: 1 to 10000 is right", c.Count)
	case c.Deals < 1 || c.Deals > 1_000_000:
		return fmt.Errorf("--deals %d: 1 to 1000000 is right", c.Deals)
	}
	if err := command.Above(g, "budget", c.Budget, "60s"); err != nil {
		return err
	}
	crd, err := g.LoadHands(tile.Usual)
	if err != nil {
		return err
	}
	wish := desk.DrillWish{Players: c.Players, Seed: g.Seed, Count: c.Count, From: c.From, Deals: c.Deals}
	if wish.Filter, err = c.filter(crd); err != nil {
		return err
	}
	return g.WithDesk(func(d *desk.Desk) error {
		search, err := d.DrillSearch(crd, wish)
		if err != nil {
			return command.WrongInput(err)
		}
		return c.search(g, d, crd, search)
	})
}

// search tells what was found; the desk keeps it.
func (c *drillFindCmd) search(g *command.Globals, d *desk.Desk, crd *card.Card, s *work.DrillSearch) error {
	start := time.Now()
	ctx, stop := g.Context, func() {}
	if c.Budget > 0 {
		ctx, stop = context.WithTimeout(g.Context, c.Budget)
	}
	defer stop()
	progress, done := g.Progress(c.Count, "drills")
	found, err := d.FindDrills(ctx, crd, s, func(f *drill.Found) {
		if progress != nil {
			progress(len(f.Drills))
		}
	})
	done()
	if err != nil {
		return err
	}
	if g.JSON {
		for _, d := range found.Drills {
			if err := g.Answer(newDrillLine(d)); err != nil {
				return err
			}
		}
	} else {
		printDrills(g.Stdout, found.Drills)
	}
	if found.Unclear > 0 {
		g.Remark("%s more left out: what can be seen does not tell their right answers from their wrong ones; that is %.0f %% of all found.",
			wording.Plural(found.Unclear, "drill"), 100*float64(found.Unclear)/float64(found.Unclear+len(found.Drills)))
	}
	g.Remark("%s in %s, %s; the next search with this seed: --from %d", wording.Plural(len(found.Drills), "drill"), wording.Plural(int(found.Deals), "deal"),
		time.Since(start).Round(100*time.Millisecond), found.Next)
	return nil
}

// drillLine is a drill in a list, for machines.
type drillLine struct {
	ID          int64                 `json:"id"`
	Kind        string                `json:"kind"`
	Step        string                `json:"step"`
	Seat        string                `json:"seat"`
	Choices     int                   `json:"choices"`
	Right       int                   `json:"right"`
	Edge        unit.ChanceDifference `json:"edge"`
	NearestErrs bool                  `json:"nearest_errs"`
	Rating      float64               `json:"rating"`
	Deviation   float64               `json:"deviation"`
	Games       int                   `json:"games"`
	Seed        uint64                `json:"seed"`
	Card        string                `json:"card"`
}

func newDrillLine(d *drill.Drill) drillLine {
	return drillLine{d.ID, string(d.Kind), d.Position.StepKey(), d.Position.Seat.String(), len(d.Choices), len(d.Key.Right()),
		d.Key.Edge().Value, d.NearestErrs, d.Rating.Value, d.Rating.Deviation, d.Key.Games, d.Key.Seed, d.Key.Card}
}

func printDrills(w io.Writer, drills []*drill.Drill) {
	if len(drills) > 0 {
		fmt.Fprintf(w, "%5s  %-9s %-13s %-7s %-6s %s\n", "", "kind", "step", "in ten", "edge", "answers")
	}
	for _, d := range drills {
		fmt.Fprintf(w, "%5d  %-9s %-13s %5.1f   %5.1f   %d of %d right\n", d.ID, d.Kind, strings.ReplaceAll(d.Position.StepKey(), "-", " "),
			10*drill.NewRating.Against(d.Rating), 100*d.Key.Edge().Value, len(d.Key.Right()), len(d.Choices))
	}
}

type drillListCmd struct {
	filterFlags
	All     bool `help:"Those of every card."`
	Deleted bool `help:"Those that were deleted instead."`
}

func (c *drillListCmd) Run(g *command.Globals) error {
	if err := g.Together("all", "card", "all are those of every card"); err != nil {
		return err
	}
	drills, err := c.drills(g, c.All, c.Deleted)
	if err != nil {
		return err
	}
	if g.JSON {
		lines := []drillLine{}
		for _, d := range drills {
			lines = append(lines, newDrillLine(d))
		}
		return g.Answer(lines)
	}
	if len(drills) == 0 {
		g.Remark("No drill yet. secondpass drill find searches for some.")
	}
	printDrills(g.Stdout, drills)
	return nil
}

// drills are those of the card asked for, or of every card, that are wanted.
func (f *filterFlags) drills(g *command.Globals, all, deleted bool) (wanted []*drill.Drill, err error) {
	c, err := g.LoadHands(tile.Usual)
	if err != nil {
		return nil, err
	}
	filter, err := f.filter(c)
	if err != nil {
		return nil, err
	}
	from := store.DrillFilter{Deleted: deleted}
	if !all {
		from.Fingerprint = player.Fingerprint(c)
	}
	err = g.WithStore(func(s store.Store) error {
		drills, err := s.Drills(from)
		for _, d := range drills {
			on := c
			if all {
				if on, err = s.DrillCard(d.Key.Fingerprint); err != nil {
					return err
				}
			}
			if filter.Holds(on, d) {
				wanted = append(wanted, d)
			}
		}
		return err
	})
	return wanted, err
}

// loadDrill is a drill with its card.
func loadDrill(g *command.Globals, id int64) (d *drill.Drill, c *card.Card, err error) {
	err = g.WithStore(func(s store.Store) (err error) {
		if d, err = s.Drill(id); err == nil {
			c, err = s.DrillCard(d.Key.Fingerprint)
		}
		return err
	})
	return d, c, err
}

type drillDeleteCmd struct {
	Drill []int64 `arg:"" help:"Numbers of drills."`
}

func (c *drillDeleteCmd) Run(g *command.Globals) error {
	return g.WithStore(func(s store.Store) error {
		if err := s.DeleteDrill(c.Drill...); err != nil {
			return fmt.Errorf("%w; secondpass drill list shows them", err)
		}
		if g.JSON {
			return g.Answer(deletedDrills{c.Drill})
		}
		g.Remark("deleted: %s; secondpass drill restore %s brings back", wording.Plural(len(c.Drill), "drill"), numbers(c.Drill))
		return nil
	})
}

// numbers are the numbers of drills as they are typed.
func numbers(ids []int64) string { return strings.Trim(fmt.Sprint(ids), "[]") }

type drillRestoreCmd struct {
	Drill []int64 `arg:"" help:"Numbers of drills, as drill list --deleted shows them."`
}

func (c *drillRestoreCmd) Run(g *command.Globals) error {
	return g.WithStore(func(s store.Store) error {
		gone, err := s.Drills(store.DrillFilter{Deleted: true})
		if err != nil {
			return err
		}
		for _, id := range c.Drill { // all of them or none
			if !slices.ContainsFunc(gone, func(d *drill.Drill) bool { return d.ID == id }) {
				return command.WrongInput(fmt.Errorf("no drill %d was deleted; secondpass drill list --deleted shows those that were", id))
			}
		}
		for _, id := range c.Drill {
			if err := s.RestoreDrill(id); err != nil {
				return err
			}
		}
		if g.JSON {
			return g.Answer(restoredDrills{c.Drill})
		}
		g.Remark("restored: %s", wording.Plural(len(c.Drill), "drill"))
		return nil
	})
}

// restoredDrills are the numbers of drills that were brought back.
type restoredDrills struct {
	Restored []int64 `json:"restored"`
}

// deletedDrills are the numbers of drills that were put away.
type deletedDrills struct {
	Deleted []int64 `json:"deleted"`
}

type drillExportCmd struct {
	command.OutFlag
	filterFlags
}

func (c *drillExportCmd) Run(g *command.Globals) error {
	crd, err := g.LoadHands(tile.Usual)
	if err != nil {
		return err
	}
	drills, err := c.drills(g, false, false)
	if err != nil {
		return err
	}
	if len(drills) == 0 {
		return fmt.Errorf("no drills for card %q to export; secondpass drill find searches for some", crd.Name)
	}
	return g.Export(c.Out, func(w io.Writer) error { return drill.Write(w, crd, drills) })
}

type drillImportCmd struct {
	File string `arg:"" help:"Drill file, - for standard input."`
}

func (c *drillImportCmd) Run(g *command.Globals) error {
	text, err := g.ReadInput(c.File, "a file that secondpass drill export has written")
	if err != nil {
		return err
	}
	crd, drills, err := drill.ReadFile(bytes.NewReader(text))
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	fingerprint := player.Fingerprint(crd)
	for i, d := range drills {
		if !d.Key.ForCard(fingerprint) {
			return fmt.Errorf("%s: drill %d: its key is for another card than the file's", c.File, i+1)
		}
	}
	return g.WithStore(func(s store.Store) error {
		fresh, err := s.AddDrills(drills, crd)
		if err != nil {
			return err
		}
		for _, d := range drills {
			if !g.JSON {
				break
			}
			if err := g.Answer(newDrillLine(d)); err != nil {
				return err
			}
		}
		here := ""
		if n := len(drills) - fresh; n > 0 {
			here = fmt.Sprintf("; %d were here already", n)
		}
		g.Remark("imported: %s%s", wording.Plural(fresh, "drill"), here)
		return nil
	})
}
