package workbook

import (
	"cmp"
	"errors"
	"html/template"
	"net/http"
	"strings"

	"secondpass/face/reader"
	"secondpass/face/reader/onefile"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/store"
	"secondpass/teach/reply"
)

// routeReplies is what readers elsewhere did with the tiles of an exercise.
func (s *Area) routeReplies(mux *http.ServeMux) {
	mux.HandleFunc("GET /exercises/{id}/replies", s.Handle(s.showReplies))
	mux.HandleFunc("POST /exercises/{id}/replies", s.Handle(s.countReplies))
	mux.HandleFunc("GET /exercises/{id}/reader-page", s.Handle(s.readerPage))
}

// repliesPage is the form for collected replies and what they tell. Nothing of it is kept.
type repliesPage struct {
	ID   int64
	Name string
	// Codes are those of the exercise's own routes; NoCodes says why there are none.
	Codes   []routeCode
	NoCodes string
	Text    string
	Refusal string
	// Head says who was counted; "" before anything was.
	Head    string
	Refused []refusedReply
	Steps   []replyStep
	Ends    []replyEnd
	Means   []replyMean
}

type routeCode struct {
	Head view.RouteHead
	Code string
}

type refusedReply struct {
	Line     int
	Who, Why string
}

// replyStep is one decision with all that readers did there.
type replyStep struct {
	Name, Came string
	Choices    []replyChoice
}

type replyChoice struct {
	Tiles   template.HTML
	Text    string
	Readers string
	Names   string
}

type replyEnd struct {
	Who, Nearest, Options string
	Rack, Spare           template.HTML
	Spares                int
}

type replyMean struct{ What, Value string }

func (s *Area) showReplies(w http.ResponseWriter, r *http.Request) error {
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	s.renderReplies(w, http.StatusOK, newRepliesPage(x))
	return nil
}

// readerPage is the exercise as one file that readers walk elsewhere.
func (s *Area) readerPage(w http.ResponseWriter, r *http.Request) error {
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	show := reader.Showing(cmp.Or(r.FormValue("routes"), string(reader.After)))
	data, err := onefile.Of(r.Context(), s.desk, x.Exercise, show, func(said string) { s.Log.Info(said) })
	switch {
	case errors.Is(err, reader.ErrNotWalkable), errors.Is(err, reader.ErrShowing):
		return page.Refused("There is no reader's page: %s.", err)
	case errors.Is(err, onefile.ErrNoEngine):
		return page.Errorf(http.StatusNotImplemented, "There is no reader's page: %s.", err)
	case err != nil:
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Disposition", page.Attachment(x.Exercise.Name, ".html"))
	_, err = w.Write(data)
	return err
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
	replies := reply.Collect(x.Exercise, p.Text)
	if len(replies) == 0 {
		p.Refusal = "No reply code stands in this text; one begins with " + reply.Sign + "-."
		s.renderReplies(w, http.StatusUnprocessableEntity, p)
		return nil
	}
	tally, err := reply.Count(replies)
	if err != nil {
		return err
	}
	p.tell(replies, tally)
	s.renderReplies(w, http.StatusOK, p)
	return nil
}

func (s *Area) renderReplies(w http.ResponseWriter, code int, p *repliesPage) {
	s.Render(w, code, "replies", page.Page{Title: "Replies", Section: "Exercises", Data: p})
}

func newRepliesPage(x *store.Saved) *repliesPage {
	p := &repliesPage{ID: x.ID, Name: x.Exercise.Name}
	for i, route := range x.Routes {
		code, err := reply.Code(x.Exercise, route)
		if err != nil {
			p.NoCodes = wording.Capital(err.Error()) + "."
			return p
		}
		p.Codes = append(p.Codes, routeCode{view.HeadOf(x.ID, x.Exercise, i), code})
	}
	return p
}

// tell fills in what was counted.
func (p *repliesPage) tell(replies []reply.Reply, t *reply.Tally) {
	p.Head = wording.Replies(replies, t)
	for i := range replies {
		if r := &replies[i]; !r.Counts() {
			p.Refused = append(p.Refused, refusedReply{Line: r.Line, Who: r.Who(r.Code), Why: wording.NotCounted(r)})
		}
	}
	for i := range t.Steps {
		step := &t.Steps[i]
		shown := replyStep{Name: wording.ReplyStep(step), Came: wording.Parted(step)}
		for _, c := range step.Choices {
			shown.Choices = append(shown.Choices, choiceOf(c, replies))
		}
		p.Steps = append(p.Steps, shown)
	}
	for i := range t.Ends {
		e := &t.Ends[i]
		p.Ends = append(p.Ends, replyEnd{Who: replies[e.Reply].Who("no name"), Nearest: wording.Near(&e.Nearest), Options: wording.Plural(e.Options, "option"),
			Rack: view.RackStrip("Rack at the end", e.Rack), Spare: view.RackStrip("Spare tiles", e.SpareBest), Spares: e.SpareBest.Size()})
	}
	if t.Over > 1 {
		p.Means = []replyMean{{"Away", view.Minus(wording.Mean(t.Away))}, {"Spare", view.Minus(wording.Mean(t.Spare))}, {"Options", view.Minus(wording.Mean(t.Options))}, {"Clean Charlestons", wording.Share(t.Clean)}}
	}
}

func choiceOf(c reply.Choice, replies []reply.Reply) replyChoice {
	d := &c.Decision
	shown := replyChoice{Readers: wording.Plural(len(c.Replies), "reader"), Names: strings.Join(reply.Names(replies, c.Replies), ", ")}
	if d.Phase == charleston.Passing || d.Phase == charleston.Giving {
		shown.Tiles = view.PassedStrip("Passed", d.Own, view.BlindOf(d), d.Step.Direction())
	} else {
		shown.Text = wording.Capital(wording.Decision(*d))
	}
	return shown
}
