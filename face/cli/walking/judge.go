package walking

import (
	"fmt"
	"time"

	"secondpass/advice"
	"secondpass/desk"
	"secondpass/exercise"
	"secondpass/face/cli/judging"
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

// advise judges what can be done now.
func (w *walk) advise(rest string) error {
	r, t, err := w.trail()
	if err != nil {
		return err
	}
	if t.Game != nil && rest != "" {
		return fmt.Errorf("advise %s: in play every action is judged; advise alone is right", rest)
	}
	q := desk.Question{Exercise: w.x.Exercise, View: t.Now.View(), Game: t.Game, By: w.g.Judge(""), Budget: advice.Budget{Time: walkBudget, Kept: true}}
	if rest != "" {
		if q.Named, err = judging.Named([]string{rest}, &q.View, w.x.Set); err != nil {
			return err
		}
	}
	a, err := w.g.Desk().Advise(w.g.Context, q, nil)
	if err != nil {
		return err
	}
	if a.Verdict != nil {
		judging.PrintVerdict(w.g.Stdout, a.Verdict, a.Basis)
	} else {
		judging.PrintAdvice(w.g.Stdout, w.x.Exercise.Card, &q.View, a.Advice, walkAdvice, a.Basis)
	}
	return w.keepAdvice(r, &a)
}

// keepAdvice lets the step keep what its decisions came to, if any was played to the end.
func (w *walk) keepAdvice(r *exercise.Route, a *desk.Answer) error {
	var kept *exercise.Advised
	if a.Verdict != nil {
		kept = a.Verdict.Kept(a.Seed)
	} else {
		kept = a.Advice.Kept(a.Seed)
	}
	if kept == nil {
		return nil
	}
	if err := w.x.KeepAdvice(w.route, r.Len(), kept); err != nil {
		return err
	}
	return w.save()
}

// walkAdvice is how many passes are printed during a walk.
const walkAdvice = 5

// review prints the ledger of the route.
func (w *walk) review() error {
	r, _, err := w.trail()
	if err != nil {
		return err
	}
	rev, err := w.g.Desk().Review(w.g.Context, w.x.Exercise, r, w.g.Judge(""), advice.Budget{Time: reviewBudget, Kept: true}, nil)
	if err != nil {
		return err
	}
	judging.PrintReview(w.g.Stdout, &rev, w.x.Exercise, r)
	return nil
}
