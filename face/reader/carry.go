package reader

import (
	"encoding/json"
	"fmt"
	"net/url"
	"strings"
	"unicode"

	"secondpass/exercise"
	"secondpass/paper/wording"
	"secondpass/teach/lesson"
	"secondpass/teach/reply"
)

// carried is a code to carry off, and what it is of.
type carried struct{ What, Code string }

// carry shows the codes of all that the reader has done, with which they go on in another browser, or takes up such codes.
func (c *Course) carry(post bool, form url.Values) (Answer, error) {
	p := struct {
		Path, Start   string
		Codes         []carried
		Said, Refusal string
	}{Path: carryPath}
	if post {
		n, err := c.takeUp(form.Get("codes"))
		switch {
		case err != nil:
			p.Refusal = err.Error()
		case n == 0:
			p.Refusal = fmt.Sprintf("no code of this page stands in this text; one begins with %s- or %s-", reply.Sign, reply.AnswersSign)
		default:
			p.Said = fmt.Sprintf("Taken up: %d.", n)
		}
	}
	p.Start = c.Start() // which may be another route now
	var err error
	if p.Codes, err = c.codes(); err != nil {
		return Answer{}, err
	}
	html, err := fill(c.templates, "carry", p)
	return Answer{Path: carryPath, Title: "Go on elsewhere", HTML: html, OK: p.Refusal == "", Changed: p.Said != ""}, err
}

// codes are those of all that the reader has done.
func (c *Course) codes() ([]carried, error) {
	var all []carried
	for i := range c.items {
		b := c.items[i].book
		if b == nil || b.stand() == "" {
			continue
		}
		code, err := reply.Code(b.x, b.last())
		if err != nil {
			return nil, err
		}
		all = append(all, carried{b.x.Name, code})
	}
	drills, at := c.drills()
	answers := make([]string, len(drills))
	done := 0
	for n, i := range at {
		if a := c.items[i].drill.answer; a != nil {
			answers[n] = a.Answer
			done++
		}
	}
	if done == 0 {
		return all, nil
	}
	codes, err := reply.AnswerCodes(drills, answers)
	for _, code := range codes {
		all = append(all, carried{"Answers to drills", code})
	}
	return all, err
}

// takeUp takes up the codes of a text, as far as they are this course's, and says how many. Routes come beside those there are; drills that are answered
// stay so, and answers that only games can judge are left to be given again.
func (c *Course) takeUp(text string) (n int, err error) {
	for _, found := range reply.Find(text) {
		for i := range c.items {
			b := c.items[i].book
			if b == nil {
				continue
			}
			walked, err := reply.NewReader(b.given).Read(found.Code)
			if err != nil {
				continue
			}
			if _, err := b.x.Adopt(walked.Routes[0], ""); err != nil {
				return n, err
			}
			n++
			break
		}
	}
	drills, at := c.drills()
	for k, answer := range reply.ReadAnswers(drills, text) {
		if d := c.items[at[k]].drill; answer != "" && d.answer == nil {
			if i := d.offered(answer); i >= 0 {
				d.take(i)
				n++
			} else if choice, err := d.drill.Free(d.game(), answer); err == nil {
				d.asked = choice.String()
				n++
			}
		}
	}
	return n, nil
}

// answersFile is the answers to the drills as a file for the teacher. Of a drill that comes twice the first counts.
func (c *Course) answersFile(student string) (Answer, error) {
	if student != "" {
		if err := exercise.CheckName(student); err != nil {
			return c.list(wording.Capital(err.Error()) + ": that is no name.")
		}
	}
	var answers []lesson.ReturnedAnswer
	seen := map[string]bool{}
	drills, at := c.drills()
	for n, i := range at {
		mark := drills[n].Mark()
		if a := c.items[i].drill.answer; a != nil && !seen[mark] {
			seen[mark] = true
			answers = append(answers, lesson.ReturnedAnswer{Drill: mark, Answer: a.Answer, At: a.At, Seconds: a.Seconds})
		}
	}
	if len(answers) == 0 {
		return c.list("No drill is answered yet.")
	}
	data, err := json.MarshalIndent(lesson.NewReturned(c.name, student, answers), "", " ")
	name := "answers"
	if student != "" {
		name += " of " + strings.Map(func(r rune) rune {
			if unicode.IsLetter(r) || unicode.IsDigit(r) || r == ' ' || r == '-' {
				return r
			}
			return -1
		}, student)
	}
	return Answer{OK: true, File: &File{Name: name + ".json", Type: "application/json", Text: string(data)}}, err
}
