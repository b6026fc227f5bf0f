package walking

import (
	"fmt"
	"time"

	"secondpass/advice"
	"secondpass/face/cli/judging"
	"secondpass/rules/charleston"
)

// judgeHelp is the part of the help about judgement.
const judgeHelp = `  advise            what is best now, after a few seconds of playing on;
                    advise 17c W also judges that pass to the end
  review            what each decision cost, and what was luck
`

// walkBudget is how long a person waits for advice during a walk, and for the review of one decision.
const (
	walkBudget   = 4 * time.Second
	reviewBudget = time.Second
)

func (w *walk) counsel() (*advice.Counsel, error) { return w.g.Counsel(w.x.Exercise, "") }

// advise judges what can be done now.
func (w *walk) advise(rest string) error {
	_, t, err := w.trail()
	if err != nil {
		return err
	}
	c, err := w.counsel()
	if err != nil {
		return err
	}
	budget := advice.Budget{Time: walkBudget}
	if t.Game != nil && rest != "" {
		return fmt.Errorf("advise %s: in play every action is judged; advise alone is right", rest)
	}
	if t.Game != nil {
		state := t.Game.State()
		verdict, err := c.AdvisePlay(w.g.Context, &state, w.x.Seat, budget, nil)
		if err != nil {
			return err
		}
		judging.PrintVerdict(w.g.Stdout, &verdict, judging.BasisOf(c))
		return nil
	}
	v := t.Now.View()
	named, err := w.named(rest, &v)
	if err != nil {
		return err
	}
	a, err := c.Advise(w.g.Context, v, named, budget, nil)
	if err != nil {
		return err
	}
	judging.PrintAdvice(w.g.Stdout, w.x.Exercise.Card, &v, &a, walkAdvice, judging.BasisOf(c))
	return nil
}

// walkAdvice is how many passes are printed during a walk.
const walkAdvice = 5

// named reads the pass that a person asks about.
func (w *walk) named(text string, v *charleston.View) ([]charleston.Action, error) {
	if text == "" {
		return nil, nil
	}
	return (&judging.Advise{Pass: []string{text}}).Named(v, w.x.Set)
}

// review prints the ledger of the route.
func (w *walk) review() error {
	r, _, err := w.trail()
	if err != nil {
		return err
	}
	c, err := w.counsel()
	if err != nil {
		return err
	}
	rev, err := c.Review(w.g.Context, w.x.Exercise, r, advice.Budget{Time: reviewBudget}, nil)
	if err != nil {
		return err
	}
	judging.PrintReview(w.g.Stdout, rev, w.x.Exercise, r, judging.BasisOf(c))
	return nil
}
