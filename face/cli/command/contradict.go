package command

import (
	"cmp"
	"fmt"

	"secondpass/rules/house"
)

// HasOwn refuses flags that were given beside what has its own.
func (g *Globals) HasOwn(what string, flags ...string) error {
	for _, flag := range flags {
		if g.Given(flag) {
			return fmt.Errorf("%s and --%s: it has its own; leave out one of the two", what, flag)
		}
	}
	return nil
}

// OfExercise refuses flags that a saved exercise answers itself: how its rack comes about, its card and its house rules, and more.
func (g *Globals) OfExercise(more ...string) error {
	flags := append([]string{"rack", "seat", "dealer", "jokers", "has", "best-away", "two-plans", "card"}, more...)
	for _, rule := range house.Rules {
		flags = append(flags, rule.Field)
	}
	return g.HasOwn("a saved exercise", flags...)
}

// Together refuses two flags that cannot both be.
func (g *Globals) Together(one, other, why string) error {
	if g.Given(one) && g.Given(other) {
		return fmt.Errorf("--%s and --%s: %s; leave out one of the two", one, other, why)
	}
	return nil
}

// Above refuses a number that was given and is not above 0; as is an example.
func Above[N cmp.Ordered](g *Globals, flag string, n N, as string) error {
	var zero N
	if g.Given(flag) && !(n > zero) {
		return fmt.Errorf("--%s %v: a positive number is right, as in %s", flag, n, as)
	}
	return nil
}

// First is the first error there is.
func First(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
