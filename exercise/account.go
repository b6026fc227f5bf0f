package exercise

import (
	"strings"

	"secondpass/engine/fit"
	"secondpass/engine/player"
	"secondpass/engine/prepared"
	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// CleanSpares is the most tiles that may be spare at the end of a clean Charleston (common
// practice, no source).
const CleanSpares = 4

// Account is how a rack stands with a card under an aim.
type Account struct {
	Rack tile.Rack
	// Nearest is the nearest hand of the whole card, whatever the aim.
	Nearest fit.Reading
	// Plan is the nearest hands of the aim, best first, three at most: the hands one steers for.
	Plan []fit.Reading
	// Aimed says that the plan is that of an aim, and not of the whole card.
	Aimed bool
	// SpareBest is what the nearest hand of the card does not use, SparePlan what no hand of the plan uses.
	SpareBest, SparePlan tile.Rack
	// Options is the number of hands of the whole card that are at most one further away than
	// its nearest.
	Options int
}

// CleanBest and CleanPlan say whether the rack would be a clean Charleston for the nearest hand
// of the card and for the plan.
func (a *Account) CleanBest() bool { return a.SpareBest.Size() <= CleanSpares }
func (a *Account) CleanPlan() bool { return a.SparePlan.Size() <= CleanSpares }

// PlanApart is the nearest hand of the plan where that is another one than the nearest of the card, else nil.
func (a *Account) PlanApart() *fit.Reading {
	if len(a.Plan) == 0 || a.Plan[0].Hand == a.Nearest.Hand {
		return nil
	}
	return &a.Plan[0]
}

// Spare is what drawings mark as spare: what the plan does not use where one is pinned, else what the nearest hand does not use.
func (a *Account) Spare() tile.Rack {
	if a.Aimed {
		return a.SparePlan
	}
	return a.SpareBest
}

// Accountant makes accounts for one card and aim. It owns working memory: one for each goroutine.
type Accountant struct {
	// Aim is the names of the aim, empty for the whole card.
	Aim       []string
	whole     *fit.Rater
	aimed     *fit.Rater
	plan, top []fit.Reading
}

// NewAccountant makes an accountant for an aim, names of sections or hands of the card.
func NewAccountant(c *card.Card, aim []string) (*Accountant, error) {
	hands, err := Hands(c, aim)
	if err != nil {
		return nil, err
	}
	p := prepared.Of(c)
	j := &Accountant{Aim: aim, whole: fit.NewRater(p.Index())}
	j.aimed = j.whole
	if len(aim) > 0 {
		j.aimed = fit.NewRater(p.Aimed(hands))
	}
	return j, nil
}

// Account reads a rack. The account's Plan is good until the next call.
func (j *Accountant) Account(rack tile.Rack) Account {
	a := Account{Rack: rack, Aimed: len(j.Aim) > 0}
	j.plan, a.Options = j.aimed.Nearest(&rack, player.PlanHands, j.plan[:0])
	a.Plan, a.Nearest = j.plan, j.plan[0]
	if j.aimed != j.whole {
		j.top, a.Options = j.whole.Nearest(&rack, 1, j.top[:0])
		a.Nearest = j.top[0]
	}
	a.SpareBest = a.Nearest.Spare
	a.SparePlan = fit.Spare(rack, a.Plan)
	return a
}

// AimText is an aim in words: its names, or "free".
func AimText(aim []string) string {
	if len(aim) == 0 {
		return "free"
	}
	return strings.Join(aim, " + ")
}
