package experiments

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"secondpass/engine/stat"
	"secondpass/paper/wording"
	"secondpass/research/experiment"
)

// onCards are results of the same experiments on several cards.
type onCards struct {
	// cards are the names of the cards, in the order in which they came.
	cards []string
	// asked are the experiments by their names; each has the number of its result on each card, none where it was not played there.
	asked []asked
}

type asked struct {
	of   *experiment.Experiment
	text string
	on   []int
}

// question is the experiment of a result but for the card, which one of a series names.
func question(r *experiment.Result) *experiment.Experiment {
	s := *r.Of()
	s.Cell = strings.Join(slices.DeleteFunc(strings.Split(s.Cell, ", "), func(part string) bool { return strings.HasPrefix(part, "card ") }), ", ")
	return &s
}

// none stands for no result.
const none = -1

// byCard sorts results by experiment and card. No card may have two of one experiment.
func byCard(results []*experiment.Result, files []string) (*onCards, error) {
	o := &onCards{}
	for _, r := range results {
		if !slices.Contains(o.cards, r.Card.Name) {
			o.cards = append(o.cards, r.Card.Name)
		}
	}
	for i, r := range results {
		s := question(r)
		text := s.Text()
		at := slices.IndexFunc(o.asked, func(a asked) bool { return a.text == text })
		if at < 0 {
			at = len(o.asked)
			o.asked = append(o.asked, asked{s, text, slices.Repeat([]int{none}, len(o.cards))})
		}
		on := &o.asked[at].on[slices.Index(o.cards, r.Card.Name)]
		if *on != none {
			return nil, fmt.Errorf("--by-card: %s and %s are both %s on card %s; one result of an experiment on each card is right", files[*on], files[i], r.Of().Title(), r.Card.Name)
		}
		*on = i
	}
	slices.SortStableFunc(o.asked, func(x, y asked) int { return strings.Compare(x.of.Title(), y.of.Title()) })
	return o, nil
}

// line is one comparison of an experiment on all cards that it was played on.
type line struct {
	name, asks, what string
	measure          experiment.Measure
	at               []int                    // the number of the result on each card
	on               []*experiment.Comparison // nil where it was not played
}

// lines are all comparisons.
func (o *onCards) lines(results []*experiment.Result) (all []line) {
	for _, a := range o.asked {
		on := make([][]experiment.Findings, len(a.on))
		for i, at := range a.on {
			if at != none {
				on[i] = results[at].Findings()
			}
		}
		first := slices.IndexFunc(a.on, func(at int) bool { return at != none })
		for k, f := range on[first] {
			for j := range f.Comparisons {
				c := &f.Comparisons[j]
				l := line{name: a.of.Title(), asks: a.of.Asks, measure: f.Of.Measure, at: a.on}
				l.what = fmt.Sprintf("%s: %s less %s, in %s; claimed is %s", l.measure, c.Way, c.Against, wording.ExperimentUnit(l.measure), f.Of.ClaimText())
				if f.Here > 1 {
					l.name += ", " + wording.ExperimentCompared(&f, c)
				}
				for i := range on {
					var there *experiment.Comparison
					if on[i] != nil {
						there = &on[i][k].Comparisons[j]
					}
					l.on = append(l.on, there)
				}
				all = append(all, l)
			}
		}
	}
	return all
}

// where says on which cards a comparison has which verdict, those that hold first: in one word where it is the same on all cards.
func (l *line) where(cards []string) string {
	on := map[string][]string{}
	for i, c := range l.on {
		if c != nil {
			on[wording.ExperimentVerdict(c)] = append(on[wording.ExperimentVerdict(c)], cards[i])
		}
	}
	verdicts := slices.SortedFunc(maps.Keys(on), func(x, y string) int { return cmp.Or(cmp.Compare(order(x), order(y)), strings.Compare(x, y)) })
	if len(cards) > 1 && len(on[verdicts[0]]) == len(cards) {
		return fmt.Sprintf("On all %d cards: %s", len(cards), verdicts[0])
	}
	var parts []string
	for _, v := range verdicts {
		parts = append(parts, fmt.Sprintf("%s: %s", strings.Join(on[v], ", "), v))
	}
	return "On " + strings.Join(parts, "; ")
}

// order is that in which verdicts are told.
func order(verdict string) int {
	for i, v := range []stat.Verdict{stat.Holds, stat.DoesNotHold, stat.NotShown} {
		if strings.HasPrefix(verdict, v.String()) {
			return i
		}
	}
	return 3
}

// inFavour are how many cards a comparison holds on, and how many it does not hold on.
func (l *line) inFavour() (holds, not int) {
	for _, c := range l.on {
		switch {
		case c == nil:
		case c.Verdict == stat.Holds:
			holds++
		case c.Verdict == stat.DoesNotHold:
			not++
		}
	}
	return holds, not
}

// print is a list of where each rule of thumb holds, and a table of all differences with a column for each card. links lead to the
// results; first is the file of the first.
func (o *onCards) print(w io.Writer, results []*experiment.Result, links []string, first string) {
	fmt.Fprintf(w, "Intervals hold for all comparisons of one result together; of many results, as of the %d here, one in twenty may miss.\n"+
		"On a clumsy card hands are hard to get, on an orderly one they come in families (`secondpass card compose --character`). Strong players go by\n"+
		"values that were fitted to the practice card, and on a card of one's own by general ones, unless they were fitted to it.\n\n## Where they hold\n\n", len(results))
	all := o.lines(results)
	names, places := map[string][]string{}, []*line{}
	for i := range all {
		place := all[i].where(o.cards)
		if names[place] == nil {
			places = append(places, &all[i])
		}
		names[place] = append(names[place], all[i].name)
	}
	slices.SortStableFunc(places, func(x, y *line) int {
		xh, xn := x.inFavour()
		yh, yn := y.inFavour()
		return cmp.Or(yh-xh, yn-xn)
	})
	for _, l := range places {
		place := l.where(o.cards)
		fmt.Fprintf(w, "- **%s.** %s.\n", place, strings.Join(names[place], "; "))
	}
	fmt.Fprintf(w, "\n## All differences\n\nEach leads to its result, with all ways. `secondpass experiment repeat %s` plays the first of them again to the byte, and so the others.\n\n| experiment | what is compared |", quoted(first))
	for _, name := range o.cards {
		fmt.Fprintf(w, " %s |", markdownCell(name))
	}
	fmt.Fprintf(w, "\n| --- | --- |%s\n", strings.Repeat(" --- |", len(o.cards)))
	for _, l := range all {
		fmt.Fprintf(w, "| **%s** %s | %s |", markdownCell(l.name), markdownCell(l.asks), markdownCell(l.what))
		for i, c := range l.on {
			if c == nil {
				fmt.Fprint(w, " not played |")
				continue
			}
			at := l.at[i]
			difference, deals := wording.ExperimentDifference(l.measure, c.Difference), counted(c.Difference.N, results[at].Deals)
			if c.Difference.N == 0 {
				difference = "none"
			}
			fmt.Fprintf(w, " [%s](%s), %s: **%s** |", difference, links[at], deals, wording.ExperimentVerdict(c))
		}
		fmt.Fprintln(w)
	}
}

// counted says how many deals a difference is of, among those played.
func counted(n, of int) string {
	if n == of {
		return wording.Plural(of, "deal")
	}
	return fmt.Sprintf("%d of %s count", n, wording.Plural(of, "deal"))
}
