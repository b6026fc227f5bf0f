package web

import (
	"crypto/subtle"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"secondpass/engine/fit"
	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/store"
	"secondpass/teach/class"
)

// routeClasses is the teacher's side of classes, and on this machine the students' as well.
func (s *Server) routeClasses(mux *http.ServeMux) {
	mux.HandleFunc("GET /classes", s.Handle(s.listClasses))
	mux.HandleFunc("POST /classes", s.Handle(s.newClass))
	mux.HandleFunc("GET /classes/{id}", s.Handle(s.showClass))
	mux.HandleFunc("GET /classes/{id}/sheet", s.teacher(s.showClassSheet))
	mux.HandleFunc("GET /classes/{id}/live", s.teacher(s.liveClass))
	for path, h := range map[string]teacherHandler{"vote": s.openVote, "close": s.closeVote, "follow": s.followVote, "judge": s.judgeVote,
		"ranking": s.setRanking, "routes": s.keepClassRoutes, "end": s.endClass, "delete": s.deleteClass, "door": s.setDoor} {
		mux.HandleFunc("POST /classes/{id}/"+path, s.teacher(h))
	}
	s.routeStudents(mux)
}

// teacherHandler is what the teacher of a class may do.
type teacherHandler func(w http.ResponseWriter, r *http.Request, rm *room) error

// errNotTeacher: the browser does not hold the key of the class.
var errNotTeacher = page.Errorf(http.StatusForbidden, "This browser does not hold the key of the class. Open it with the teacher's link, which stands on the class's screen and is printed where the workbook was started.")

// teacher lets only those act who hold the key of the class.
func (s *Server) teacher(h teacherHandler) http.HandlerFunc {
	return s.Handle(func(w http.ResponseWriter, r *http.Request) error {
		rm, err := s.classOf(r)
		if err != nil {
			return err
		}
		if !holdsKey(r, rm) {
			return errNotTeacher
		}
		if r.Method == http.MethodPost {
			if err := page.Form(r); err != nil {
				return err
			}
		}
		return h(w, r, rm)
	})
}

// classOf is the class of the address.
func (s *Server) classOf(r *http.Request) (*room, error) {
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err != nil {
		return nil, page.NotFound("There is no class %s.", r.PathValue("id"))
	}
	return s.hall.room(id)
}

func keyCookie(rm *room) string { return "class-" + strconv.Itoa(int(rm.ID)) }

func holdsKey(r *http.Request, rm *room) bool {
	c, err := r.Cookie(keyCookie(rm))
	return err == nil && sameSecret(c.Value, rm.Key)
}

func sameSecret(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

func classPath(id int64) string { return "/classes/" + strconv.Itoa(int(id)) }

// TeacherLinks are the ways back into the classes that go on, with their keys.
func (s *Server) TeacherLinks() ([]string, error) {
	list, err := s.store.Classes()
	if err != nil {
		return nil, err
	}
	var links []string
	for _, c := range list {
		if c.Ended.IsZero() {
			links = append(links, classPath(c.ID)+"?key="+c.Key)
		}
	}
	return links, nil
}

func (s *Server) listClasses(w http.ResponseWriter, r *http.Request) error {
	list, err := s.store.Classes()
	if err != nil {
		return err
	}
	s.Render(w, http.StatusOK, "classes", page.Page{Title: "Live classes", Section: "Live class", Data: list})
	return nil
}

// newClass opens a class on an exercise. A vote walks a route of its own, so that those of the sheet stay.
func (s *Server) newClass(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	x, err := s.store.Load(r.PostForm.Get("exercise"))
	if err != nil {
		return err
	}
	seconds := 0
	if text := strings.TrimSpace(r.PostForm.Get("seconds")); text != "" {
		if seconds, err = strconv.Atoi(text); err != nil {
			return page.Refused("Seconds for each vote: %q is no number.", text)
		}
	}
	mode := class.Mode(r.PostForm.Get("mode"))
	name, err := s.classRoute(x, mode, r.PostForm.Get("start"))
	if err != nil {
		return err
	}
	c, err := class.New(mode, seconds, name, s.hall.now())
	if err != nil {
		return page.Refused("No class: %s.", err)
	}
	if mode == class.Together {
		if err := s.store.Save(x); err != nil {
			return err
		}
	}
	rm, err := s.hall.add(c, x.ID)
	if err != nil {
		return err
	}
	setCookie(w, keyCookie(rm), rm.Key, "/classes")
	return page.SeeOther(w, r, classPath(rm.ID))
}

// classRoute makes the route that a class walks: from the deal, or from where another route stands.
func (s *Server) classRoute(x *store.Saved, mode class.Mode, start string) (string, error) {
	if mode == class.Duplicate {
		if x.Incoming == exercise.EnteredPasses {
			return "", page.Refused("In a duplicate class nobody can type what comes. Take an exercise with mock passes or simulated players.")
		}
		return x.Routes[0].Name, nil
	}
	from, keep := x.Routes[0], 0
	if start != "" {
		var err error
		if from, err = x.Route(start); err != nil {
			return "", page.Refused("No class: %s.", err)
		}
		if keep = len(from.Decisions); from.Len() > keep {
			return "", page.Refused("Route %s is in its play already; a class works on the passing.", from.Name)
		}
	}
	name := "Class"
	for i := 2; ; i++ {
		if _, err := x.Route(name); err != nil {
			break
		}
		name = fmt.Sprintf("Class %d", i)
	}
	fork, err := x.Fork(from.Name, keep, name)
	if err != nil {
		return "", page.Refused("No class: %s.", err)
	}
	t, err := x.Replay(fork)
	if err != nil {
		return "", err
	}
	if t.Now.Phase() == charleston.Over {
		return "", page.Refused("Route %s has come to the end of the passing. Begin the class at the deal or at another route.", from.Name)
	}
	return name, nil
}

// plansAsked is how many of the nearest hands are offered as plans.
const plansAsked = 3

// openVote puts the decision that is due on a route to the class.
func (s *Server) openVote(w http.ResponseWriter, r *http.Request, rm *room) error {
	x, err := s.store.Load(strconv.Itoa(int(rm.Exercise)))
	if err != nil {
		return err
	}
	route, err := x.Route(r.PostForm.Get("route"))
	if err != nil {
		return page.Refused("No vote: %s.", err)
	}
	t, err := x.Replay(route)
	if err != nil {
		return err
	}
	q, err := class.Ask(&t.Now, nearestNames(s.Cards.Index(x.Card), &t))
	if err != nil {
		return page.Refused("No vote: %s.", err)
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	if r.PostForm.Get("after") != strconv.Itoa(len(rm.Rounds)) { // a second tap on the button
		return s.done(w, r, rm)
	}
	round, err := rm.OpenVote(route.Name, len(route.Decisions), q, s.hall.now())
	if err != nil {
		return page.Refused("No vote: %s.", err)
	}
	if err := s.store.SaveRound(rm.ID, round); err != nil {
		rm.Rounds = rm.Rounds[:len(rm.Rounds)-1]
		return err
	}
	rm.failed = ""
	rm.tell()
	rm.setTimer()
	return s.done(w, r, rm)
}

// nearestNames are the nearest hands of a rack, which may be named as plans.
func nearestNames(x *fit.Index, t *exercise.Trail) []string {
	var names []string
	hands := x.Hands(t.Now.Rack())
	for i := range hands[:min(plansAsked, len(hands))] {
		names = append(names, hands[i].OnCard().Name)
	}
	return names
}

// done answers a teacher's act: a script learns of what it did from the stream, others get the page again.
func (s *Server) done(w http.ResponseWriter, r *http.Request, rm *room) error {
	if r.Header.Get("X-Script") != "" {
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	return page.SeeOther(w, r, classPath(rm.ID))
}

func (s *Server) closeVote(w http.ResponseWriter, r *http.Request, rm *room) error {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	round := rm.Round()
	if round == nil || r.PostForm.Get("round") != strconv.Itoa(round.N) {
		return s.done(w, r, rm)
	}
	round.Close(s.hall.now())
	if err := s.store.SaveRound(rm.ID, round); err != nil {
		return err
	}
	rm.tell()
	rm.setTimer()
	return s.done(w, r, rm)
}

// followVote goes on with one of the choices, or with two as forks.
func (s *Server) followVote(w http.ResponseWriter, r *http.Request, rm *room) error {
	var choices []class.Choice
	for _, text := range r.PostForm["choice"] {
		var c class.Choice
		if err := json.Unmarshal([]byte(text), &c); err != nil {
			return page.Refused("A choice could not be read: %s.", err)
		}
		choices = append(choices, c)
	}
	if len(choices) < 1 || len(choices) > 2 {
		return page.Refused("Tick one choice to follow, or two for forks; %d are ticked.", len(choices))
	}
	rm.mu.Lock()
	defer rm.mu.Unlock()
	round := rm.Round()
	if round == nil || r.PostForm.Get("round") != strconv.Itoa(round.N) || len(round.Follows) > 0 {
		return s.done(w, r, rm)
	}
	x, err := s.store.Load(strconv.Itoa(int(rm.Exercise)))
	if err != nil {
		return err
	}
	follows, err := walkOn(x, round, choices, r.PostForm.Get("came"))
	if err != nil {
		return err
	}
	routes := slices.Clone(rm.Routes)
	if err := rm.Follow(round.N, follows...); err != nil {
		return page.Refused("%s.", wording.Capital(err.Error()))
	}
	if err := s.store.SaveFollow(x, rm.SavedClass, round); err != nil {
		round.Follows, rm.Routes = nil, routes
		return err
	}
	rm.tell()
	return s.done(w, r, rm)
}

// walkOn takes the choices on the exercise: the first on the round's route, a second one on a fork of it.
func walkOn(x *store.Saved, round *class.Round, choices []class.Choice, came string) ([]class.Follow, error) {
	route, err := x.Route(round.Route)
	if err != nil {
		return nil, page.Refused("The class cannot go on: %s.", err)
	}
	if route.Len() != round.At {
		return nil, page.Errorf(http.StatusConflict, "Route %s was changed on the sheet since the vote was opened. Vote again from where it stands now.", route.Name)
	}
	names := []string{route.Name}
	if len(choices) == 2 {
		fork, err := x.Fork(route.Name, round.At, "")
		if err != nil {
			return nil, page.Refused("No fork: %s.", err)
		}
		names = append(names, fork.Name)
	}
	var follows []class.Follow
	for i, c := range choices {
		d := round.Question.Decision(c)
		if x.Incoming == exercise.EnteredPasses {
			if err := entered(x, &d, came); err != nil {
				return nil, err
			}
		}
		if _, err := x.Do(names[i], d); err != nil {
			return nil, page.Refused("The class cannot go on with that: %s.", err)
		}
		follows = append(follows, class.Follow{Choice: c.Bare(), Route: names[i]})
	}
	return follows, nil
}

// entered fills in what came from real tiles; at the courtesy the seat across is taken to agree.
func entered(x *store.Saved, d *exercise.Decision, came string) error {
	switch d.Phase {
	case charleston.Naming:
		d.Exchanged = d.Count
	case charleston.Passing, charleston.Giving:
		p, err := exercise.ParseParcel(came, x.Set)
		if err != nil {
			return page.Refused("What came: %s.", err)
		}
		d.Came = p
	}
	return nil
}

func (s *Server) setRanking(w http.ResponseWriter, r *http.Request, rm *room) error {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	was := rm.Ranking
	rm.Ranking = r.PostForm.Get("show") == "yes"
	if err := s.store.SaveClass(rm.SavedClass); err != nil {
		rm.Ranking = was
		return err
	}
	rm.tell()
	return s.done(w, r, rm)
}

func (s *Server) keepClassRoutes(w http.ResponseWriter, r *http.Request, rm *room) error {
	if rm.Mode != class.Duplicate {
		return page.Refused("Only in a duplicate class do students have routes of their own.")
	}
	if err := s.keepRoutes(rm); err != nil {
		return err
	}
	return page.SeeOther(w, r, sheetPath(rm.Exercise))
}

// endClass ends the class: its code lets nobody in any more, and what is not judged yet is judged now.
func (s *Server) endClass(w http.ResponseWriter, r *http.Request, rm *room) error {
	rm.mu.Lock()
	defer rm.mu.Unlock()
	code := rm.Code
	err := rm.End(s.hall.now())
	if errors.Is(err, class.ErrEnded) {
		return s.done(w, r, rm)
	}
	if err != nil {
		return page.Refused("The class goes on: %s.", err)
	}
	rm.Code = ""
	if err := s.store.SaveClass(rm.SavedClass); err != nil {
		rm.Code, rm.Ended = code, time.Time{}
		return err
	}
	rm.tell()
	go s.judgeAll(rm)
	return s.done(w, r, rm)
}

// deleteClass deletes a class with its names and answers; the exercise keeps the routes.
func (s *Server) deleteClass(w http.ResponseWriter, r *http.Request, rm *room) error {
	if r.PostForm.Get("sure") != "yes" {
		return page.Refused("Tick that the names and answers may go for good.")
	}
	if err := s.store.DeleteClass(rm.ID); err != nil {
		return err
	}
	s.hall.forget(rm)
	return page.SeeOther(w, r, "/classes")
}

// setDoor lets phones on the network join, or stops that.
func (s *Server) setDoor(w http.ResponseWriter, r *http.Request, rm *room) error {
	if r.PostForm.Get("act") == "stop" {
		s.CloseDoor()
	} else {
		host := r.PostForm.Get("host")
		if !s.mayListen(host) {
			return page.Refused("%q is no address of this machine.", host)
		}
		if err := s.openDoorSomewhere(host); err != nil {
			return page.Refused("%s.", wording.Capital(err.Error()))
		}
	}
	rm.mu.Lock()
	rm.desk.ring()
	rm.mu.Unlock()
	return s.done(w, r, rm)
}

// everywhere is the host that listens on all networks of this machine.
const everywhere = "0.0.0.0"

func (s *Server) mayListen(host string) bool {
	if host == everywhere {
		return true
	}
	for _, a := range networkAddresses() {
		if a.String() == host {
			return true
		}
	}
	return false
}
