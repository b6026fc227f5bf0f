package advice

import (
	"secondpass/rules/card"
	"secondpass/rules/charleston"
)

// FactsOf says what each of several decisions does to a rack, before anything comes back.
func FactsOf(c *card.Card, v charleston.View, actions []charleston.Action) []Facts {
	finder := newFactFinder(c, v)
	facts := make([]Facts, len(actions))
	for i, a := range actions {
		facts[i] = finder.find(a)
	}
	return facts
}
