package workbook

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"secondpass/desk"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/findings"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/teach/reply"
	"secondpass/work/queue"
)

// repliesFound is what a judgement of replies publishes: what was collected, how far it is, and what was found.
type repliesFound struct {
	text     string
	counted  *countedReplies
	done, of int
	costs    *reply.Costs
	kept     string
}

// repliesKey names the judgement of what was collected, by its name among those of the exercise.
func repliesKey(x *store.Saved, of string) string { return fmt.Sprintf("replies %d %s", x.ID, of) }

// nameOf is the name of what was collected of an exercise.
func nameOf(x *store.Saved, text string) string {
	h := sha256.Sum256(fmt.Appendf(nil, "%q %v %v %v %v %q", x.Exercise.Card.Source, x.Exercise.House, x.Exercise.Seat, x.Exercise.Seed, x.Exercise.Deal, text))
	return fmt.Sprintf("%x", h[:12])
}

// countedReplies is what was collected, counted.
type countedReplies struct {
	x       *store.Saved
	of      string
	replies []reply.Reply
	count   *reply.Tally
	// students are those whose records can have what it cost.
	students *desk.ReplyStudents
}

// counted counts what was collected.
func (s *Area) counted(x *store.Saved, text string) (*countedReplies, error) {
	c := &countedReplies{x: x, of: nameOf(x, text), replies: reply.Collect(x.Exercise, text)}
	if len(c.replies) == 0 {
		return c, nil
	}
	var err error
	if c.count, err = reply.Count(c.replies); err != nil {
		return nil, err
	}
	c.students, err = s.desk.ReplyStudents(c.replies, c.count, nil)
	return c, err
}

func (s *Area) countReplies(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	p := newRepliesPage(x)
	p.Text = r.PostForm.Get("text")
	c, err := s.counted(x, p.Text)
	if err != nil {
		return err
	}
	if len(c.replies) == 0 {
		p.Refusal = "No reply code stands in this text; one begins with " + reply.Sign + "-."
		s.renderReplies(w, http.StatusUnprocessableEntity, p)
		return nil
	}
	key := repliesKey(x, c.of)
	switch act := r.PostForm.Get("act"); act {
	case "judge", "record":
		if act == "record" {
			if c.students, err = s.desk.ReplyStudents(c.replies, c.count, linked(r.PostForm)); err != nil {
				return err
			}
			if len(c.students.Names) == 0 {
				return page.Refused("No reader has a record yet. Choose whose the replies are first.")
			}
		}
		if err := s.jobs.StartShowing(key, &repliesFound{text: p.Text, counted: c}, func(_ int, before any) queue.Work { return s.judgeReplies(c, p.Text, before, act == "record") }); err != nil {
			return err
		}
	case "stop":
		s.jobs.Halt(key)
	case "csv", "json", "pdf", "png", "svg":
		return s.takeReplies(w, r, act, c, s.jobs.Now(key))
	default:
		p.Tally = c.tally(s.jobs.Now(key))
		s.renderReplies(w, http.StatusOK, p)
		return nil
	}
	return page.SeeOther(w, r, fmt.Sprintf("/exercises/%d/replies?of=%s#counted", x.ID, c.of))
}

// mostUnknown is for how many readers a student can be chosen at once.
const mostUnknown = 50

// mostLines is how many lines of a kind the page shows; the table has all.
const mostLines = 100

// linked are the students whom a form has for readers who gave other names.
func linked(f url.Values) map[string]string {
	by := map[string]string{}
	for i, student := range f["student"] {
		if readers := f["reader"]; student != "" && i < len(readers) {
			by[readers[i]] = student
		}
	}
	return by
}

// judgeReplies judges what the readers' decisions cost, unless that was done, and puts it into students' records where that is
// asked for.
func (s *Area) judgeReplies(c *countedReplies, text string, before any, record bool) queue.Work {
	return func(ctx context.Context, publish func(any)) error {
		now := repliesFound{text: text, counted: c}
		if last, ok := before.(*repliesFound); ok {
			now.costs, now.kept = last.costs, last.kept
		}
		show := func() {
			shown := now
			publish(&shown)
		}
		show()
		if now.costs == nil {
			costs, err := s.desk.ReplyCosts(ctx, c.replies, c.count, desk.ReviewGames, func(done, of int) {
				now.done, now.of = done, of
				show()
			})
			if err != nil {
				return err
			}
			now.costs = costs
		}
		if record {
			if err := s.desk.RecordReplies(c.x, c.replies, c.students, now.costs); err != nil {
				return err
			}
			now.kept = "Kept in the records of " + strings.Join(c.students.Names, ", ") + "."
		}
		show()
		return nil
	}
}

func (s *Area) liveReplies(w http.ResponseWriter, r *http.Request) error {
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	j, err := s.jobs.Watched(repliesKey(x, r.FormValue("of")))
	if err != nil {
		return err
	}
	return page.Follow[queue.Shown](w, r, j, func(now queue.Shown) ([]byte, error) {
		found, ok := now.Data.(*repliesFound)
		if !ok {
			return nil, nil
		}
		return s.Text("replies", "replies-live", found.counted.tally(now))
	})
}

// takeReplies answers with the tally as a file.
func (s *Area) takeReplies(w http.ResponseWriter, r *http.Request, as string, c *countedReplies, now queue.Shown) error {
	var costs *reply.Costs
	if found, ok := now.Data.(*repliesFound); ok {
		costs = found.costs
	}
	heading := "Replies: " + c.x.Exercise.Name
	switch as {
	case "csv", "json":
		var out bytes.Buffer
		kind, err := "text/csv", error(nil)
		if as == "json" {
			kind, err = "application/json", page.WriteIndented(&out, findings.RepliesAnswerOf(c.replies, c.count, costs))
		} else {
			err = reply.WriteCSV(&out, c.replies, costs, wording.NotCounted)
		}
		if err != nil {
			return err
		}
		w.Header().Set("Content-Type", kind+"; charset=utf-8")
		w.Header().Set("Content-Disposition", page.Attachment("Replies "+c.x.Exercise.Name, "."+as))
		_, err = w.Write(out.Bytes())
		return err
	case "pdf":
		paper, err := page.PaperOf(r)
		if err != nil {
			return err
		}
		return page.SendPaper(w, r, sheet.RepliesDocument(heading, c.replies, c.count, costs, paper), "Replies "+c.x.Exercise.Name)
	}
	r.Form.Set("format", as)
	wish, err := page.WishOf(r)
	if err != nil {
		return err
	}
	return page.SendPicture(w, sheet.Replies(heading, c.replies, c.count, costs, sheet.Widescreen), wish, "Replies "+c.x.Exercise.Name)
}

// tally is what was counted, as the page shows it.
func (c *countedReplies) tally(now queue.Shown) *repliesTally {
	replies, t := c.replies, c.count
	p := &repliesTally{Of: c.of, Shown: now, Started: now.State != "", Head: wording.Replies(replies, t), Students: c.students.Names, Unknown: c.students.Unknown[:min(len(c.students.Unknown), mostUnknown)], All: c.students.All, Path: fmt.Sprintf("/exercises/%d/replies", c.x.ID)}
	var costs *reply.Costs
	if found, ok := now.Data.(*repliesFound); ok {
		costs, p.Done, p.Routes, p.Kept = found.costs, found.done, found.of, found.kept
	}
	for i := range replies {
		if r := &replies[i]; !r.Counts() {
			if len(p.Refused) == mostLines {
				p.MoreRefused++
				continue
			}
			p.Refused = append(p.Refused, refusedReply{Line: r.Line, Who: r.Who(r.Code), Why: wording.NotCounted(r)})
		}
	}
	for i := range t.Steps {
		p.Steps = append(p.Steps, replyStepOf(replies, &t.Steps[i], costs.Step(i)))
	}
	p.MoreEnds = max(len(t.Ends)-mostLines, 0)
	for i := range t.Ends[:min(len(t.Ends), mostLines)] {
		e := &t.Ends[i]
		p.Ends = append(p.Ends, replyEnd{Who: replies[e.Reply].Who("no name"), Nearest: wording.Near(&e.Nearest), Options: wording.Plural(e.Options, "option"),
			Rack: view.RackStrip("Rack at the end", e.Rack), Spare: view.RackStrip("Spare tiles", e.SpareBest), Spares: e.SpareBest.Size()})
	}
	if t.Over > 1 {
		p.Means = []replyMean{{"Away", view.Minus(wording.Mean(t.Away))}, {"Spare", view.Minus(wording.Mean(t.Spare))}, {"Options", view.Minus(wording.Mean(t.Options))}, {"Clean Charlestons", wording.Share(t.Clean)}}
	}
	if costs != nil {
		p.Note = wording.ReplyCostsNote
		for _, text := range wording.ReplyCosts(replies, t, costs) {
			p.Costs = append(p.Costs, view.Minus(text))
		}
	}
	return p
}

// replyStepOf is what readers did at a step; cost is nil where that is not known.
func replyStepOf(replies []reply.Reply, step *reply.Step, cost *reply.StepCost) replyStep {
	shown := replyStep{Name: wording.ReplyStep(step), Came: wording.Parted(step), Reached: view.Minus(wording.StepReached(step))}
	if cost != nil {
		shown.Cost = view.Minus("It cost " + wording.CostPoints(cost.Mean) + " on the mean.")
	}
	for n, choice := range step.Choices {
		if n == mostLines {
			shown.More = wording.Plural(len(step.Choices)-n, "other choice")
			break
		}
		one := choiceOf(choice, replies)
		if cost != nil {
			one.Cost = view.Minus("cost " + wording.CostPoints(cost.Choices[n].Cost))
		}
		shown.Choices = append(shown.Choices, one)
	}
	return shown
}
