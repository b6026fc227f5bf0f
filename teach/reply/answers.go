package reply

import (
	"crypto/sha256"
	"fmt"
	"math/big"
	"regexp"
	"slices"

	"secondpass/teach/drill"
)

// AnswersSign is what a code of answers to drills begins with.
const AnswersSign = "2D"

// answersFound is such a code in a text, as inText is a route's.
var answersFound = regexp.MustCompile(`(?i)\b` + AnswersSign + `((?:\s?[-‐‑‒–—−]\s*[0-9a-z]+)+)`)

// AnswerCodes are answers to drills in their order, "" for none, as codes with the checks of [Code]: some ten drills to each. An answer is one of the
// choices, or where a pass is asked for any legal one.
func AnswerCodes(drills []*drill.Drill, answers []string) ([]string, error) {
	if len(answers) != len(drills) {
		return nil, fmt.Errorf("%d answers to %d drills", len(answers), len(drills))
	}
	mark := drillsMark(drills)
	var codes []string
	for part, chunk := range answerParts(drills) {
		var digits []digit
		for k := chunk[0]; k < chunk[1]; k++ {
			d, err := answerDigit(drills[k], answers[k])
			if err != nil {
				return nil, fmt.Errorf("drill %d: %w", k+1, err)
			}
			digits = append(digits, d)
		}
		message := append(append([]int{version}, mark...), part)
		codes = append(codes, AnswersSign+"-"+spelt(sealed(append(message, packed(digits)...))))
	}
	return codes, nil
}

// ReadAnswers are the answers that the codes of a text tell of these drills, "" for none. Codes that are damaged or of other drills tell nothing.
func ReadAnswers(drills []*drill.Drill, text string) []string {
	answers := make([]string, len(drills))
	mark, parts := drillsMark(drills), answerParts(drills)
	for _, found := range answersFound.FindAllString(text, -1) {
		letters, ok := bodyOf(AnswersSign, found)
		word := symbols(letters)
		if !ok || !holds(word) || len(word) < 2+marks+1+checks || word[0] != version {
			continue
		}
		message := word[1 : len(word)-checks]
		part := message[marks]
		if !slices.Equal(message[:marks], mark) || part >= len(parts) {
			continue
		}
		left := unpacked(message[marks+1:])
		for k := parts[part][0]; k < parts[part][1]; k++ {
			if answer := answerOf(drills[k], take(left, answerCount(drills[k]))); answer != "" {
				answers[k] = answer
			}
		}
	}
	return answers
}

// answerParts divides drills into codes, as places from and to: as many as a word holds.
func answerParts(drills []*drill.Drill) [][2]int {
	room := new(big.Int).Exp(big.NewInt(int64(field)), big.NewInt(int64(longest-checks-2-marks)), nil)
	var parts [][2]int
	from, so := 0, big.NewInt(1)
	for k, d := range drills {
		so = new(big.Int).Mul(so, big.NewInt(int64(answerCount(d))))
		if so.Cmp(room) > 0 && k > from {
			parts = append(parts, [2]int{from, k})
			from, so = k, big.NewInt(int64(answerCount(d)))
		}
	}
	if from < len(drills) {
		parts = append(parts, [2]int{from, len(drills)})
	}
	return parts
}

// answerCount is how many answers a drill can have, with none.
func answerCount(d *drill.Drill) int { return 1 + len(d.Choices) + len(d.AllPasses()) }

func answerDigit(d *drill.Drill, answer string) (digit, error) {
	is := func(c drill.Choice) bool { return c.String() == answer }
	out := digit{of: answerCount(d)}
	if answer == "" {
		return out, nil
	}
	if i := slices.IndexFunc(d.Choices, is); i >= 0 {
		out.value = 1 + i
		return out, nil
	}
	i := slices.IndexFunc(d.AllPasses(), is)
	if i < 0 {
		return out, fmt.Errorf("%q is no answer to it", answer)
	}
	out.value = 1 + len(d.Choices) + i
	return out, nil
}

// answerOf is the answer of a digit.
func answerOf(d *drill.Drill, value int) string {
	switch all := d.AllPasses(); {
	case value == 0:
		return ""
	case value <= len(d.Choices):
		return d.Choices[value-1].String()
	default:
		return all[value-1-len(d.Choices)].String()
	}
}

// drillsMark tells a set of drills.
func drillsMark(drills []*drill.Drill) []int {
	h := sha256.New()
	for _, d := range drills {
		fmt.Fprintln(h, d.Key.Fingerprint, d.Origin, d.Position.Seat, d.Position.StepKey(), d.Choices)
	}
	return marked(h.Sum(nil))
}
