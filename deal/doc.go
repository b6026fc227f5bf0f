// Package deal deals racks: at random or to a [Condition], with how rare such deals are ([Draw]), or many of them one after
// another ([Dealing]). Jokers and tiles held are dealt by their exact chances; nearness can only be tried. Of exercises and
// players it knows nothing; experiments, exercises, drills and faces call it.
package deal
