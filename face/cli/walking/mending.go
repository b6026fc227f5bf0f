package walking

import (
	"fmt"
	"strconv"
	"strings"

	"secondpass/exercise"
	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/rules/tile"
)

// mendHelp is the part of the help about what is noted and put right.
const mendHelp = `  remark TEXT       write a remark beside this step; remark 2 TEXT: beside
                    the step after 2 decisions; remark 2 alone takes it away
  mend 2 came 17c W with --incoming entered, put right what was typed at
                    decision 2: passed TILES, came TILES, blind N, stop, go,
                    others-stop, offer N, exchanged N; mend deal RACK too.
                    What was decided after it is taken again as far as it fits
`

// back takes back what was done last.
func (w *walk) back() error {
	last, err := w.x.Undo(w.route)
	return w.moved("taken back", last, err)
}

// redo does again what was taken back.
func (w *walk) redo() error {
	done, err := w.x.Redo(w.route)
	return w.moved("done again", done, err)
}

// moved saves and shows what was taken back or done again.
func (w *walk) moved(how string, t *exercise.Taken, err error) error {
	if err == nil {
		err = w.save()
	}
	if err != nil {
		return err
	}
	w.print("%s: %s\n", how, wording.Taken(t))
	w.show()
	return nil
}

// remark reads "TEXT", or "NUMBER TEXT".
func (w *walk) remark(rest string) error {
	r, _, err := w.trail()
	if err != nil {
		return err
	}
	at, text := r.Len(), rest
	number, more, _ := strings.Cut(rest, " ")
	if n, bad := strconv.Atoi(number); bad == nil {
		at, text = n, more
	} else if rest == "" {
		return fmt.Errorf("the remark is missing, as in remark why not the flowers?")
	}
	if err := w.x.SetRemark(w.route, at, text); err != nil {
		return err
	}
	if err := w.save(); err != nil {
		return err
	}
	w.print("the remark after %s is kept\n", wording.Plural(at, "decision"))
	return nil
}

// mend reads "deal RACK", or "NUMBER" and what was typed wrongly there.
func (w *walk) mend(rest string) error {
	what, rest, _ := strings.Cut(rest, " ")
	var mended []exercise.Mended
	if what == "deal" {
		deal, err := tile.Parse(rest, w.x.Set)
		if err == nil {
			mended, err = w.x.MendDeal(deal)
		}
		if err != nil {
			return err
		}
	} else {
		r, _, err := w.trail()
		if err != nil {
			return err
		}
		n, err := strconv.Atoi(what)
		if err != nil || n < 1 || n > len(r.Decisions) {
			return fmt.Errorf("mend %q: deal, or the number of a decision of the passing, 1 to %d, is right", what, len(r.Decisions))
		}
		d := r.Decisions[n-1]
		if err := mendedDecision(&d, rest, w.x.Set); err != nil {
			return err
		}
		if mended, err = w.x.Mend(w.route, n-1, d); err != nil {
			return err
		}
	}
	if err := w.save(); err != nil {
		return err
	}
	for i := range mended {
		w.print("%s\n", command.Wrap(w.g.Stdout, wording.Mended(&mended[i], "redo"), 2))
	}
	w.show()
	return nil
}

// mendedDecision changes what the words name in a decision, as in "passed 17c W came 345b".
func mendedDecision(d *exercise.Decision, text string, set tile.Set) error {
	words := strings.Fields(text)
	if len(words) == 0 {
		return fmt.Errorf("what is to be mended is missing, as in mend 2 came 17c W")
	}
	for i := 0; i < len(words); {
		word := words[i]
		end := i + 1
		for end < len(words) && !mendWords[words[end]] {
			end++
		}
		value := strings.Join(words[i+1:end], " ")
		var err error
		switch word {
		case "passed":
			d.Own, err = exercise.ParseParcel(value, set)
		case "came":
			d.Came, err = exercise.ParseParcel(value, set)
		case "blind", "offer":
			d.Count, err = strconv.Atoi(value)
		case "exchanged":
			d.Exchanged, err = strconv.Atoi(value)
		case "stop":
			d.Stop, d.OthersStop = true, false
		case "go":
			d.Stop, d.OthersStop = false, false
		case "others-stop":
			d.Stop, d.OthersStop = false, true
		default:
			return fmt.Errorf("%q: passed, came, blind, stop, go, others-stop, offer and exchanged can be mended", word)
		}
		if err != nil {
			return fmt.Errorf("%s %q: %w", word, value, err)
		}
		i = end
	}
	return nil
}

var mendWords = map[string]bool{"passed": true, "came": true, "blind": true, "offer": true, "exchanged": true, "stop": true, "go": true, "others-stop": true}
