package club

import (
	"context"
	"net/http"
	"slices"
	"strings"

	"secondpass/club"
	"secondpass/face/web/page"
)

// erasing are the routes by which data of people leave for good, or are taken out of the club.
var erasing = []string{"POST /students/{name}/delete", "POST /classes/{id}/delete", "GET /students.csv", "GET /students/{name}/file", "GET /classes/{id}/record.json",
	"GET /account/workbook/file", "POST /account/workbook/import", "POST /account/workbook/purge", "POST /account/workbook/delete"}

// listed is what the list of what was done says of the use of a route in a workbook. It names nobody: who asked to be forgotten is forgotten there too.
var listed = map[string]string{"POST /students/{name}/delete": "deleted a student for good", "GET /students/{name}/file": "took a student's data out",
	"GET /students.csv": "took the answers of all students out", "POST /classes/{id}/delete": "deleted a class for good", "GET /classes/{id}/record.json": "took the record of a class out"}

// deedKey is where a request keeps what is listed of it.
type deedKey struct{}

// entering are the club's own routes that need no account.
var entering = []string{"GET /{$}", "GET /sign-in", "POST /sign-in/begin", "POST /sign-in/finish", "POST /sign-in/code", "POST /sign-out",
	"GET /invitation/{token}", "POST /invitation/{token}/begin", "POST /invitation/{token}/finish", "GET /join", "GET /join/{code}", "POST /join"}

// DeedOf is what a route is for; in a workbook reading is to look, and a form is to change, where nothing else is said.
func DeedOf(route string) club.Deed {
	path := route[strings.Index(route, " ")+1:]
	under := func(place string) bool { return path == place || strings.HasPrefix(path, place+"/") }
	switch {
	case slices.Contains(entering, route), under("/assets"), under("/healthz"):
		return club.Enter
	case under("/room"), under("/own"):
		return club.Practise
	case slices.Contains(erasing, route):
		return club.Erase
	case under("/account"):
		return club.Account
	case under("/people/audit"), under("/people/workbooks"), under("/workers"): // what workers do is everybody's
		return club.Govern
	case under("/people"):
		return club.Staff
	case strings.HasPrefix(route, "GET "), !strings.Contains(route, " "): // what has no method leads on, or says that nothing is there
		return club.Look
	}
	return club.Change
}

type personKey struct{}

// withPerson says who asks.
func withPerson(ctx context.Context, p *club.Person) context.Context {
	return context.WithValue(ctx, personKey{}, p)
}

// mayCome lets a request come to a route in the workbook of a teacher.
func (f *Front) mayCome(teacher int64) func(*http.Request, string) error {
	return func(r *http.Request, route string) error {
		f.watch.at(r, route)
		deed, role, own := DeedOf(route), club.Visitor, false
		if p, ok := r.Context().Value(personKey{}).(*club.Person); ok {
			role, own = p.Role, p.Workbook == teacher
		}
		if !club.May(role, deed, own) {
			return errMayNot(role, deed)
		}
		if to, ok := r.Context().Value(deedKey{}).(*string); ok {
			*to = listed[route]
		}
		return nil
	}
}

// errMayNot says who may.
func errMayNot(role club.Role, deed club.Deed) error {
	switch {
	case role == club.Visitor:
		return errSignIn
	case deed == club.Erase && role == club.Assistant:
		return page.Errorf(http.StatusForbidden, "Deleting what people did for good, and taking it out of the club, is for the teacher whose workbook this is; you assist in it.")
	case deed == club.Govern:
		return page.Errorf(http.StatusForbidden, "That is for the owner of the club.")
	}
	return page.Errorf(http.StatusForbidden, "Your role in the club, %s, does not allow that.", role)
}

// permitted is who is signed in, where their role allows the deed of a route.
func (f *Front) permitted(r *http.Request, route string) (club.Person, error) {
	p, err := f.who(r)
	if err == nil && !club.May(p.Role, DeedOf(route), true) {
		err = errMayNot(p.Role, DeedOf(route))
	}
	return p, err
}

// accountData answers a script of who is signed in.
func (f *Front) accountData(route string, h func(*http.Request, *club.Person) (any, error)) {
	f.own.HandleFunc(route, f.data(func(r *http.Request) (any, error) {
		p, err := f.permitted(r, route)
		if err != nil {
			return nil, err
		}
		return h(r, &p)
	}))
}

// account is a page of who is signed in, where their role allows its deed.
func (f *Front) account(route string, h func(http.ResponseWriter, *http.Request, *club.Person) error) {
	f.own.HandleFunc(route, f.show(func(w http.ResponseWriter, r *http.Request) error {
		p, err := f.permitted(r, route)
		if r.Method == http.MethodGet && err == errSignIn {
			return page.SeeOther(w, r, signInPath)
		}
		if err != nil {
			return err
		}
		if r.Method == http.MethodPost {
			if err := page.Form(r); err != nil {
				return err
			}
		}
		return h(w, r, &p)
	}))
}
