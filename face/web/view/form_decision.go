package view

import (
	"cmp"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"secondpass/engine/player"
	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// whatCame begins a refusal of what came.
const whatCame = "what came"

// ReadDecision is the decision that a form of the step page holds, for the phase that is due at the end of the trail.
func ReadDecision(f url.Values, t *exercise.Trail, e *exercise.Exercise) (exercise.Decision, error) {
	var d exercise.Decision
	_, kinds, err := ReadTiles(f["tile"])
	if typed := f.Get("typed"); err == nil && len(kinds) == 0 && typed != "" {
		kinds, err = tile.ParseList(typed)
	}
	if err != nil {
		return d, err
	}
	if d.Own, err = charleston.ParcelOf(kinds...); err != nil {
		return d, fmt.Errorf("%s chosen: three are the most", wording.Plural(len(kinds), "tile"))
	}
	number := func(name string) int {
		n, bad := strconv.Atoi(f.Get(name))
		if bad != nil && f.Get(name) != "" && err == nil {
			err = fmt.Errorf("%s %q: a number is right", name, f.Get(name))
		}
		return n
	}
	switch t.Now.Phase() {
	case charleston.Passing:
		d.Count = number("blind")
		if err == nil {
			err = t.Now.Check(d.Own, d.Count)
		}
	case charleston.Voting:
		d.Stop = f.Get("stop") == "yes"
		d.OthersStop = f.Get("others_stop") != "" && !d.Stop
	case charleston.Naming:
		d.Count = number("count")
		if e.Incoming == exercise.EnteredPasses {
			d.Exchanged = min(d.Count, number("offered"))
		}
	}
	if err == nil && e.Incoming == exercise.EnteredPasses && d.Own.Len()+d.Count > 0 && t.Now.Phase() != charleston.Naming {
		if d.Came, err = exercise.ParseParcel(f.Get("came"), e.Set); err != nil {
			err = fmt.Errorf(whatCame+": %w", err)
		}
	}
	return d, err
}

// Sent shows the form of a decision as it was sent and refused; nothing was sent where it is nil.
func (p *StepPage) Sent(rack tile.Rack, f url.Values, refusal string) {
	p.Refusal, p.Came = refusal, f.Get("came")
	p.BlindNow, _ = strconv.Atoi(f.Get("blind"))
	if p.Phase != "pass" && p.Phase != "give" {
		return
	}
	if f != nil {
		p.RefusalAt = "tile"
		if strings.HasPrefix(refusal, wording.Capital(whatCame)) {
			p.RefusalAt = "came"
		}
	}
	chosen, _, _ := ReadTiles(f["tile"])
	p.Picks = Picks(rack, chosen, p.Marks)
}

// ReadAim is the aim that a form makes of the one that was: with a hand put in or taken out, or of a whole section.
func ReadAim(f url.Values, c *card.Card, was []string) ([]string, error) {
	section := f.Get("section")
	switch {
	case section == "" && f.Get("only") != "":
		return pinned(c, nil, f.Get("hand"))
	case section == "":
		return pinned(c, was, f.Get("hand"))
	case !slices.Contains(c.Sections, section):
		return nil, fmt.Errorf("no section %q is on the card", section)
	}
	return []string{section}, nil
}

// pinned is an aim with a hand put in or taken out. A section of an aim gives way to single hands.
func pinned(c *card.Card, aim []string, hand string) ([]string, error) {
	if i := slices.Index(aim, hand); i >= 0 {
		return slices.Delete(slices.Clone(aim), i, i+1), nil
	}
	if hand == "" {
		return nil, nil
	}
	kept := slices.DeleteFunc(slices.Clone(aim), func(name string) bool { return slices.Contains(c.Sections, name) })
	if len(kept) >= player.PlanHands {
		return nil, fmt.Errorf("a plan has three hands at most; take one out before %s goes in", hand)
	}
	return append(kept, hand), nil
}

// ReadOwnPass is the pass that a form wants judged beside the others, as text or as tiles that were chosen; nil where it names
// none.
func ReadOwnPass(f url.Values, m *Moment) (*charleston.Action, error) {
	tiles := strings.Join(append(slices.Clone(f["tile"]), f.Get("own")), " ")
	blind, err := strconv.Atoi(cmp.Or(f.Get("blind"), "0"))
	if err != nil {
		return nil, fmt.Errorf("%q blind tiles; a number from 0 to 3 is right", f.Get("blind"))
	}
	now := &m.Trail.Now
	if strings.TrimSpace(tiles) == "" && blind < charleston.PassTiles || m.Trail.Game != nil {
		return nil, nil
	}
	a := charleston.Action{Seat: m.Exercise.Seat, Kind: charleston.Pass, Count: blind}
	if a.Own, err = exercise.ParseParcel(tiles, m.Exercise.Set); err == nil {
		err = now.Check(a.Own, blind)
	}
	if err != nil {
		return nil, err
	}
	if now.Phase() == charleston.Giving {
		a.Kind, a.Count = charleston.Give, 0
	}
	return &a, nil
}
