package advice

import (
	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
)

// Kept is advice as an exercise keeps it: the figures of the decisions that were played to the end. nil where none was yet.
func (a *Advice) Kept(seed uint64) *exercise.Advised {
	k := &exercise.Advised{Seed: seed, Games: a.Games, Whole: a.Whole, Of: len(a.Candidates) + a.Unlisted}
	for i := range a.Candidates {
		if c := &a.Candidates[i]; c.Final {
			k.Options = append(k.Options, exercise.Option{Pass: c.Action, Chance: c.Chance, Behind: c.Behind, Points: c.Value.Points, Even: c.Even, Own: c.Named})
		}
	}
	return orNone(k)
}

// Kept is a verdict on decisions in play as an exercise keeps it, see [Advice.Kept].
func (v *Verdict) Kept(seed uint64) *exercise.Advised {
	k := &exercise.Advised{Seed: seed, Games: v.Games, Whole: v.Each, Of: len(v.Judged) + v.Unlisted}
	for i := range v.Judged {
		if j := &v.Judged[i]; j.Final && j.Action.Kind != 0 {
			k.Options = append(k.Options, exercise.Option{Act: j.Action, Chance: j.Chance, Behind: j.Behind, Points: j.Value.Points, Even: j.Even})
		}
	}
	return orNone(k)
}

func orNone(k *exercise.Advised) *exercise.Advised {
	if len(k.Options) == 0 {
		return nil
	}
	return k
}

// Recall is kept advice on a decision of the passing. What its decisions keep and give up is read off the rack again.
func Recall(c *card.Card, v charleston.View, k *exercise.Advised) *Advice {
	a := &Advice{Games: k.Games, Whole: k.Whole, Unlisted: k.Of - len(k.Options)}
	facts := newFactFinder(c, v)
	for i := range k.Options {
		o := &k.Options[i]
		a.Candidates = append(a.Candidates, Candidate{Action: o.Pass, Standing: recalled(o), Named: o.Own, Facts: facts.find(o.Pass)})
		if o.Even {
			a.Top++
		}
	}
	return a
}

// RecallPlay is kept advice on a decision in play.
func RecallPlay(k *exercise.Advised) *Verdict {
	v := &Verdict{Games: k.Games, Each: k.Whole, Unlisted: k.Of - len(k.Options)}
	for i := range k.Options {
		o := &k.Options[i]
		v.Judged = append(v.Judged, Judged{Action: o.Act, Standing: recalled(o)})
		if o.Even {
			v.Top++
		}
	}
	return v
}

func recalled(o *exercise.Option) Standing {
	s := Standing{Final: true, Chance: o.Chance, Behind: o.Behind, Even: o.Even}
	s.Value.Points = o.Points
	return s
}
