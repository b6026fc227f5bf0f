package drill

import (
	"fmt"
	"strings"
)

// Words are a teacher's own in place of what the program says of a drill. They change no key.
type Words struct {
	// Question is what is asked; "" leaves it to the program.
	Question string `json:"question,omitempty"`
	// Reasons are those of the choices, in their order; "", or a list that is shorter, leaves them to the program.
	Reasons []string `json:"reasons,omitempty"`
}

// The most characters of a question and of a reason.
const (
	MostQuestion = 300
	MostReason   = 600
)

// NewWords are words as they were typed, without blanks around them.
func NewWords(question string, reasons []string) Words {
	w := Words{Question: strings.Join(strings.Fields(question), " ")}
	last := -1
	for i, text := range reasons {
		w.Reasons = append(w.Reasons, strings.Join(strings.Fields(text), " "))
		if w.Reasons[i] != "" {
			last = i
		}
	}
	w.Reasons = w.Reasons[:last+1]
	return w
}

// Empty says whether all is left to the program.
func (w *Words) Empty() bool { return w.Question == "" && len(w.Reasons) == 0 }

// Reason is that of choice number i, from 0; "" for none.
func (w *Words) Reason(i int) string {
	if i >= len(w.Reasons) {
		return ""
	}
	return w.Reasons[i]
}

// check says why the words cannot be those of a drill with so many choices, or nil.
func (w *Words) check(choices int) error {
	if err := checkWords("the question", w.Question, MostQuestion); err != nil {
		return err
	}
	if len(w.Reasons) > choices {
		return fmt.Errorf("%d reasons for %d answers", len(w.Reasons), choices)
	}
	for i, text := range w.Reasons {
		if err := checkWords(fmt.Sprintf("the reason of answer %d", i+1), text, MostReason); err != nil {
			return err
		}
	}
	return nil
}

func checkWords(what, text string, most int) error {
	if n := len([]rune(text)); n > most {
		return fmt.Errorf("%s has %d characters; %d are the most", what, n, most)
	}
	if strings.ContainsFunc(text, func(r rune) bool { return r < ' ' || r == 0x7f }) {
		return fmt.Errorf("a control character in %s", what)
	}
	return nil
}

// Say puts a teacher's words in place of the program's.
func (d *Drill) Say(w Words) error {
	if err := w.check(len(d.Choices)); err != nil {
		return err
	}
	d.Words = w
	return nil
}
