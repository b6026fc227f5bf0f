package liveclass

import (
	"crypto/subtle"
	"encoding/json"
	"net/http"
	"net/url"
	"strconv"

	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/hall"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/teach/class"
)

// Route is the teacher's side of classes, and on this machine the students' as well.
func (c *Classes) Route(mux page.Routes) {
	mux.HandleFunc("GET /classes", c.Handle(c.listClasses))
	mux.HandleFunc("POST /classes", c.Handle(c.newClass))
	mux.HandleFunc("POST /classes/replay", c.Handle(c.replayRecord))
	mux.HandleFunc("GET /classes/{id}/students", c.teacher(c.showLinks))
	mux.HandleFunc("POST /classes/{id}/students", c.teacher(c.keepLinks))
	mux.HandleFunc("GET /classes/{id}/record.json", c.teacher(c.sendRecord))
	mux.HandleFunc("GET /classes/{id}", c.Handle(c.showClass))
	mux.HandleFunc("GET /classes/{id}/sheet", c.teacher(c.showClassSheet))
	mux.HandleFunc("GET /classes/{id}/live", c.teacher(c.liveClass))
	mux.HandleFunc("GET /classes/{id}/projector", c.teacher(c.showProjector))
	mux.HandleFunc("GET /classes/{id}/projector/live", c.teacher(c.liveProjector))
	for path, h := range map[string]teacherHandler{"vote": c.openVote, "close": c.closeVote, "follow": c.followVote, "judge": c.judgeVote,
		"ranking": c.setRanking, "routes": c.keepClassRoutes, "end": c.endClass, "delete": c.deleteClass, "joining": c.setJoining, "remove": c.removeStudent, "door": c.setDoor} {
		mux.HandleFunc("POST /classes/{id}/"+path, c.teacher(h))
	}
	for _, name := range []string{"class.js", "projector.css"} {
		mux.Handle("GET /assets/"+name, page.Files(folder("assets")))
	}
	c.routeStudents(mux)
}

// teacherHandler is what the teacher of a class may do.
type teacherHandler func(w http.ResponseWriter, r *http.Request, rm *hall.Room) error

// errNotTeacher: the browser does not hold the key of the class.
var errNotTeacher = page.Errorf(http.StatusForbidden, "This browser does not hold the key of the class. Open it with the teacher's link, which stands on the class's screen and is printed where the workbook was started.")

// teacher lets only those act who hold the key of the class.
func (c *Classes) teacher(h teacherHandler) http.HandlerFunc {
	return c.Handle(func(w http.ResponseWriter, r *http.Request) error {
		rm, err := c.classOf(r)
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
func (c *Classes) classOf(r *http.Request) (*hall.Room, error) {
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err != nil {
		return nil, page.NotFound("There is no class %s.", r.PathValue("id"))
	}
	return c.hall.Room(id)
}

func keyCookie(rm *hall.Room) string { return "class-" + strconv.Itoa(int(rm.ID)) }

func holdsKey(r *http.Request, rm *hall.Room) bool {
	cookie, err := r.Cookie(keyCookie(rm))
	return err == nil && sameSecret(cookie.Value, rm.Key)
}

func sameSecret(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

func classPath(id int64) string { return "/classes/" + strconv.Itoa(int(id)) }

// TeacherLinks are the ways back into the classes that go on, with their keys.
func (c *Classes) TeacherLinks() ([]string, error) {
	list, err := c.store.Classes()
	if err != nil {
		return nil, err
	}
	var links []string
	for _, open := range list {
		if open.Ended.IsZero() {
			links = append(links, classPath(open.ID)+"?key="+open.Key)
		}
	}
	return links, nil
}

type classesPage struct {
	Classes []store.ClassEntry
	Part    page.Part
}

func (c *Classes) listClasses(w http.ResponseWriter, r *http.Request) error {
	list, err := c.store.Classes()
	if err != nil {
		return err
	}
	var p classesPage
	p.Classes, p.Part = page.PartOf(r, list)
	c.Render(w, http.StatusOK, "classes", page.Page{Title: "Live classes", Section: "Live class", Data: p})
	return nil
}

// newClass opens a class on a lesson, a drill or an exercise. There a vote walks a route of its own, so that those of the sheet stay.
func (c *Classes) newClass(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	seconds, err := secondsOf(r)
	if err != nil {
		return err
	}
	var rm *hall.Room
	if r.PostForm.Has("lesson") || r.PostForm.Has("drill") {
		l, err := c.lessonOf(r)
		if err != nil {
			return err
		}
		if rm, err = c.hall.OpenLesson(l, seconds); err != nil {
			return err
		}
	} else if rm, err = c.openOnExercise(r, seconds); err != nil {
		return err
	}
	setCookie(w, keyCookie(rm), rm.Key, "/classes")
	return page.SeeOther(w, r, classPath(rm.ID))
}

// openOnExercise opens a class on the exercise of a form.
func (c *Classes) openOnExercise(r *http.Request, seconds int) (*hall.Room, error) {
	x, err := c.store.Load(r.PostForm.Get("exercise"))
	if err != nil {
		return nil, err
	}
	start, err := startOf(x, r.PostForm)
	if err != nil {
		return nil, err
	}
	return c.hall.Open(x, class.Mode(r.PostForm.Get("mode")), seconds, start)
}

// startOf is where a form lets a class begin: at one of a route's steps, or without a number where the route stands.
func startOf(x *store.Saved, f url.Values) (hall.Start, error) {
	s := hall.Start{Route: f.Get("start")}
	if s.Route == "" {
		return s, nil
	}
	route, err := x.Exercise.Route(s.Route)
	if err != nil {
		return s, page.Refused("No class: %s.", err)
	}
	if s.At = route.Len(); f.Has("at") {
		if s.At, err = strconv.Atoi(f.Get("at")); err != nil || s.At < 0 || s.At > route.Len() {
			return s, page.Refused("No class: route %s has no step number %q.", route.Name, f.Get("at"))
		}
	}
	return s, nil
}

// openVote puts the decision that is due on a route to the class.
func (c *Classes) openVote(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	after, err := strconv.Atoi(r.PostForm.Get("after"))
	if err != nil {
		return page.Refused("The number of the votes before this one is missing.")
	}
	return c.acted(w, r, rm, rm.OpenVote(after, r.PostForm.Get("route")))
}

// acted answers a teacher's act that went well or did not.
func (c *Classes) acted(w http.ResponseWriter, r *http.Request, rm *hall.Room, err error) error {
	if err != nil {
		return err
	}
	return c.done(w, r, rm)
}

// done answers a teacher's act: a script learns of what it did from the stream, others get the page again.
func (c *Classes) done(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	if r.Header.Get("X-Script") != "" {
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	return page.SeeOther(w, r, classPath(rm.ID))
}

func (c *Classes) closeVote(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	n, err := roundOf(r)
	if err != nil {
		return err
	}
	return c.acted(w, r, rm, rm.CloseVote(n))
}

// roundOf is the number of the vote that a form is about.
func roundOf(r *http.Request) (int, error) {
	n, err := strconv.Atoi(r.PostForm.Get("round"))
	if err != nil {
		return 0, page.Refused("The number of the vote is missing.")
	}
	return n, nil
}

// followVote goes on with one of the choices, or with two as forks.
func (c *Classes) followVote(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	n, err := roundOf(r)
	if err != nil {
		return err
	}
	var choices []class.Choice
	for _, text := range r.PostForm["choice"] {
		var choice class.Choice
		if err := json.Unmarshal([]byte(text), &choice); err != nil {
			return page.Refused("A choice could not be read: %s.", err)
		}
		choices = append(choices, choice)
	}
	return c.acted(w, r, rm, rm.Follow(n, choices, r.PostForm.Get("came")))
}

// setJoining closes the way into the class, or opens it under another code.
func (c *Classes) setJoining(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	return c.acted(w, r, rm, rm.LetIn(r.PostForm.Get("act") == "open"))
}

// removeStudent takes a student out of the class.
func (c *Classes) removeStudent(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	id, err := strconv.Atoi(r.PostForm.Get("student"))
	if err != nil {
		return page.Refused("The number of the student is missing.")
	}
	return c.acted(w, r, rm, rm.Remove(id))
}

func (c *Classes) setRanking(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	return c.acted(w, r, rm, rm.ShowRanking(r.PostForm.Get("show") == "yes"))
}

func (c *Classes) keepClassRoutes(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	if err := rm.KeepRoutes(); err != nil {
		return err
	}
	return page.SeeOther(w, r, view.SheetPath(rm.Exercise))
}

// endClass ends the class, and judges what is not judged yet.
func (c *Classes) endClass(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	going := rm.Now().Ended.IsZero()
	if err := rm.End(); err != nil {
		return err
	}
	if going {
		go c.judgeAll(rm)
	}
	return c.done(w, r, rm)
}

// deleteClass deletes a class with its names and answers; the exercise keeps the routes.
func (c *Classes) deleteClass(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	if r.PostForm.Get("sure") != "yes" {
		return page.Refused("Tick that the names and answers may go for good.")
	}
	if err := c.hall.Delete(rm); err != nil {
		return err
	}
	return page.SeeOther(w, r, "/classes")
}

// setDoor lets phones on the network join, or stops that.
func (c *Classes) setDoor(w http.ResponseWriter, r *http.Request, rm *hall.Room) error {
	if c.public != "" {
		return page.Refused("Phones join at %s/join; there is no other way in to open.", c.public)
	}
	if r.PostForm.Get("act") == "stop" {
		c.CloseDoor()
	} else {
		host := r.PostForm.Get("host")
		if !c.mayListen(host) {
			return page.Refused("%q is no address of this machine.", host)
		}
		if err := c.openDoorSomewhere(host); err != nil {
			return page.Refused("%s.", wording.Capital(err.Error()))
		}
	}
	rm.Touch()
	return c.done(w, r, rm)
}

// everywhere is the host that listens on all networks of this machine.
const everywhere = "0.0.0.0"

func (c *Classes) mayListen(host string) bool {
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
