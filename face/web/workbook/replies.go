package workbook

import (
	"fmt"
	"html/template"
	"net/http"
	"strings"

	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/store"
	"secondpass/teach/reply"
	"secondpass/work/queue"
)

// routeReplies is what readers elsewhere did with the tiles of an exercise.
func (s *Area) routeReplies(mux page.Routes) {
	mux.HandleFunc("GET /exercises/{id}/replies", s.Handle(s.showReplies))
	mux.HandleFunc("POST /exercises/{id}/replies", s.Handle(s.countReplies))
	mux.HandleFunc("GET /exercises/{id}/replies/live", s.Handle(s.liveReplies))
}

// repliesPage is the form for collected replies and what they tell. Nothing of it is kept on the disk.
type repliesPage struct {
	ID   int64
	Name string
	// Codes are those of the exercise's own routes; NoCodes says why there are none.
	Codes   []routeCode
	NoCodes string
	Text    string
	Refusal string
	Proof   string
	// Tally is what was counted; nil before anything was.
	Tally *repliesTally
}

// repliesTally is the part that changes while decisions are judged.
type repliesTally struct {
	Path string
	// Of names what was counted, for whoever watches it judged.
	Of string
	queue.Shown
	Started bool
	Done    int
	Routes  int
	Head    string
	// Of many the first are shown: MoreRefused and MoreEnds are how many are not.
	Refused               []refusedReply
	MoreRefused, MoreEnds int
	Steps                 []replyStep
	Ends                  []replyEnd
	Means                 []replyMean
	Costs                 []string
	Note                  string
	// Students are those readers who have a record of that name, Unknown the names of others; any of All can be they. Kept says what was put
	// into records.
	Students, Unknown, All []string
	Kept                   string
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
	Name, Came, Reached, Cost string
	Choices                   []replyChoice
	// More is how many choices are not shown, "" for none.
	More string
}

type replyChoice struct {
	Tiles   template.HTML
	Text    string
	Readers string
	Names   string
	Cost    string
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
	p := newRepliesPage(x)
	if of := r.FormValue("of"); of != "" {
		now := s.jobs.Now(repliesKey(x, of))
		found, there := now.Data.(*repliesFound)
		if !there {
			return page.NotFound("What was collected is not in mind any more. Open Replies and paste it again.")
		}
		p.Text = found.text
		c := *found.counted
		if c.students, err = s.desk.ReplyStudents(c.replies, c.count, nil); err != nil { // some may be new
			return err
		}
		p.Tally = c.tally(now)
	}
	s.renderReplies(w, http.StatusOK, p)
	return nil
}

func (s *Area) renderReplies(w http.ResponseWriter, code int, p *repliesPage) {
	s.Render(w, code, "replies", page.Page{Title: "Replies", Section: "Exercises", Help: "readers", Data: p})
}

func newRepliesPage(x *store.Saved) *repliesPage {
	p := &repliesPage{ID: x.ID, Name: x.Exercise.Name, Proof: wording.ReplyProof}
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

// namesOf is names in a line, the first of many.
func namesOf(names []string) string {
	if more := len(names) - mostNames; more > 0 {
		return strings.Join(names[:mostNames], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(names, ", ")
}

// mostNames is how many names stand in a line.
const mostNames = 30

func choiceOf(c reply.Choice, replies []reply.Reply) replyChoice {
	d := &c.Decision
	shown := replyChoice{Readers: wording.Plural(len(c.Replies), "reader"), Names: namesOf(reply.Names(replies, c.Replies))}
	if d.Phase == charleston.Passing || d.Phase == charleston.Giving {
		shown.Tiles = view.PassedStrip("Passed", d.Own, view.BlindOf(d), d.Step.Direction())
	} else {
		shown.Text = wording.Capital(wording.Decision(*d))
	}
	return shown
}
