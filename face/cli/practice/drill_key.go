package practice

import (
	"fmt"
	"strings"

	"secondpass/desk"
	"secondpass/engine/player"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/tile"
	"secondpass/store"
	"secondpass/teach/drill"
)

type drillKeyCmd struct {
	Drill   []int64 `arg:"" optional:"" help:"Numbers of drills; without any, all of the card."`
	Times   int     `default:"10" placeholder:"N" help:"So many times the games of the key as it is."`
	DryRun  bool    `help:"Keep the old keys."`
	Players string  `default:"strong" placeholder:"NAME" help:"Who sits at the other seats."`
}

// Help says what changes.
func (drillKeyCmd) Help() string {
	return "The new keys are kept in the place of the old ones. Those that call other answers right than before are named, and so are those that teach nothing any more; they stay until they are deleted. Use another --seed than the keys were made by."
}

type remadeLine struct {
	ID      int64    `json:"id"`
	Changed bool     `json:"changed"`
	Before  []string `json:"before"`
	After   []string `json:"after"`
	Games   int      `json:"games"`
	Seed    uint64   `json:"seed"`
	Why     string   `json:"teaches_nothing,omitempty"`
}

func (c *drillKeyCmd) Run(g *command.Globals) error {
	if c.Times < 1 || c.Times > 1000 {
		return fmt.Errorf("--times %d: 1 to 1000 is right", c.Times)
	}
	crd, err := judged(g, c.Players)
	if err != nil {
		return err
	}
	return g.WithDesk(func(d *desk.Desk) error {
		drills, err := chosenDrills(d.Store, crd, c.Drill)
		if err != nil {
			return err
		}
		for _, one := range drills {
			if one.Key.Seed == g.Seed {
				return command.WrongInput(fmt.Errorf("drill %d: its key was made by seed %d; give another one with --seed", one.ID, g.Seed))
			}
		}
		return c.remake(g, d, crd, drills)
	})
}

func (c *drillKeyCmd) remake(g *command.Globals, d *desk.Desk, crd *card.Card, drills []*drill.Drill) error {
	progress, finish := g.Progress(len(drills), "keys")
	changed, spoilt, n := 0, 0, 0
	var lines []string
	wish := desk.KeyWish{Players: c.Players, Seed: g.Seed, Times: c.Times, Try: c.DryRun}
	done, err := d.RemakeKeys(g.Context, crd, drills, wish, func(r drill.Remade) error {
		if n++; progress != nil {
			progress(n)
		}
		line := remadeLine{r.Drill.ID, r.Changed(), rightText(r.Drill, &r.Old), rightText(r.Drill, &r.New), r.New.Games, r.New.Seed, ""}
		if r.Changed() {
			changed++
			lines = append(lines, fmt.Sprintf("%5d  changed: right was %s, now %s", line.ID, strings.Join(line.Before, ", "), strings.Join(line.After, ", ")))
		}
		if r.Why != nil {
			spoilt++
			line.Why = r.Why.Error()
			lines = append(lines, fmt.Sprintf("%5d  teaches nothing any more: %s", line.ID, line.Why))
		}
		if g.JSON {
			return g.Answer(line)
		}
		return nil
	})
	finish()
	stopped(g, done, len(drills))
	if err != nil || g.JSON {
		return err
	}
	for _, line := range lines {
		fmt.Fprintln(g.Stdout, command.Wrap(g.Stdout, line, 7))
	}
	fmt.Fprintf(g.Stdout, "%s made again with %d times the games, seed %d: %d changed, %d unchanged (%.1f %%)",
		wording.Plural(done, "key"), c.Times, g.Seed, changed, done-changed, 100*float64(done-changed)/float64(max(done, 1)))
	if spoilt > 0 {
		fmt.Fprintf(g.Stdout, "; %d teach nothing any more", spoilt)
	}
	fmt.Fprintln(g.Stdout)
	return nil
}

// stopped says how far work on drills came where Ctrl-C ended it.
func stopped(g *command.Globals, done, of int) {
	if done < of && g.Context.Err() != nil {
		g.Remark("stopped after %d of %s", done, wording.Plural(of, "drill"))
	}
}

// rightText is the right answers of a key.
func rightText(d *drill.Drill, k *drill.Key) []string {
	var list []string
	for _, i := range k.Right() {
		list = append(list, d.Choices[i].String())
	}
	return list
}

// chosenDrills are drills by number, or all of a card.
func chosenDrills(s store.Drills, crd *card.Card, numbers []int64) ([]*drill.Drill, error) {
	fingerprint := player.Fingerprint(crd)
	if len(numbers) == 0 {
		drills, err := s.Drills(store.DrillFilter{Fingerprint: fingerprint})
		if err == nil && len(drills) == 0 {
			err = command.WrongInput(fmt.Errorf("no drills for card %q; secondpass drill find searches for some", crd.Name))
		}
		return drills, err
	}
	var drills []*drill.Drill
	for _, id := range numbers {
		d, err := s.Drill(id)
		if err != nil {
			return nil, err
		}
		if !d.Key.ForCard(fingerprint) {
			return nil, command.WrongInput(fmt.Errorf("drill %d is keyed for card %q; give that with --card, or renew it for %q", id, d.Key.Card, crd.Name))
		}
		drills = append(drills, d)
	}
	return drills, nil
}

type drillRenewCmd struct {
	From    string `default:"Lantern" placeholder:"FILE|NAME" help:"The card whose drills are judged anew; --card is the new one."`
	Fill    bool   `help:"Search for new drills of the same kind in the place of those that teach nothing any more."`
	Players string `default:"strong" placeholder:"NAME" help:"Who sits at the other seats."`
}

// Help says what becomes of the old drills.
func (drillRenewCmd) Help() string {
	return "Each drill's position is judged for the new card, with answers chosen afresh. What teaches there is kept as a new drill of the new card; what does not is named. The old drills stay with the old card.\n\nExample:\n  secondpass drill renew --from 2026.card --card 2027.card --fill"
}

type renewedLine struct {
	ID   int64  `json:"id"`
	Kind string `json:"kind"`
	New  int64  `json:"new,omitempty"`
}

func (c *drillRenewCmd) Run(g *command.Globals) error {
	crd, err := judged(g, c.Players)
	if err != nil {
		return err
	}
	old, err := g.ReadCard(c.From, tile.Usual)
	if err != nil {
		return err
	}
	f := store.DrillFilter{Fingerprint: player.Fingerprint(old)}
	if f.Fingerprint == player.Fingerprint(crd) {
		return fmt.Errorf("--from and --card: both are %q; name two cards with other hands", crd.Name)
	}
	return g.WithDesk(func(d *desk.Desk) error {
		drills, err := d.Store.Drills(f)
		if err == nil && len(drills) == 0 {
			err = command.WrongInput(fmt.Errorf("no drills for card %q to renew; secondpass drill find searches for some", old.Name))
		}
		if err != nil {
			return err
		}
		return c.renew(g, d, crd, drills)
	})
}

func (c *drillRenewCmd) renew(g *command.Globals, d *desk.Desk, crd *card.Card, drills []*drill.Drill) error {
	progress, finish := g.Progress(len(drills), "drills")
	n, kept := 0, 0
	lost := map[drill.Kind]int{}
	var named []string
	done, err := d.RenewDrills(g.Context, drills, crd, c.Players, g.Seed, func(r drill.Renewed) error {
		if n++; progress != nil {
			progress(n)
		}
		line := renewedLine{ID: r.Old.ID, Kind: string(r.Old.Kind)}
		if r.New == nil {
			lost[r.Old.Kind]++
			named = append(named, fmt.Sprintf("%d (%s)", r.Old.ID, r.Old.Kind))
		} else {
			kept++
			line.New = r.New.ID
		}
		if g.JSON {
			return g.Answer(line)
		}
		return nil
	})
	finish()
	stopped(g, done, len(drills))
	if err != nil {
		return err
	}
	if !g.JSON {
		fmt.Fprintf(g.Stdout, "%s judged for card %s, seed %d: %d teach there too.\n", wording.Plural(done, "drill"), crd.Name, g.Seed, kept)
		if len(named) > 0 {
			fmt.Fprintln(g.Stdout, command.Wrap(g.Stdout, fmt.Sprintf("%d teach nothing any more: %s.", len(named), strings.Join(named, ", ")), 2))
		}
	}
	if !c.Fill || g.Context.Err() != nil {
		return nil
	}
	return c.fill(g, d, crd, lost)
}

// fill searches for as many drills of each kind as were lost.
func (c *drillRenewCmd) fill(g *command.Globals, d *desk.Desk, crd *card.Card, lost map[drill.Kind]int) error {
	var found []*drill.Drill
	wanted := 0
	for _, k := range drill.Kinds {
		if lost[k] == 0 {
			continue
		}
		wanted += lost[k]
		search, err := d.DrillSearch(crd, desk.DrillWish{Players: c.Players, Seed: g.Seed, Filter: drill.Filter{Kinds: []drill.Kind{k}}, Count: lost[k], Deals: fillDeals})
		if err != nil {
			return err
		}
		more, err := d.FindDrills(g.Context, crd, search, nil)
		if err != nil {
			return err
		}
		found = append(found, more.Drills...)
	}
	stopped(g, len(found), wanted)
	if g.JSON {
		for _, d := range found {
			if err := g.Answer(renewedLine{Kind: string(d.Kind), New: d.ID}); err != nil {
				return err
			}
		}
		return nil
	}
	fmt.Fprintf(g.Stdout, "In their place:\n")
	printDrills(g.Stdout, found)
	return nil
}

// fillDeals is the most deals looked through to replace the drills of a kind.
const fillDeals = 2000
