package club

import (
	"net/http"

	"secondpass/club"
	"secondpass/face/web/page"
)

func (f *Front) routeInvitations() {
	f.own.HandleFunc("GET /invitation/{token}", f.show(f.showInvitation))
	f.own.HandleFunc("POST /invitation/{token}/begin", f.data(f.beginAccepting))
	f.own.HandleFunc("POST /invitation/{token}/finish", f.data(f.accept))
}

const invitationPath = "/invitation/"

// invitationPage greets who was invited.
type invitationPage struct {
	Path, Name string
	Role       club.Role
	// Again says that it lets in somebody who is there already.
	Again bool
	// Codes are none yet: the script fills them in.
	Codes []string
}

func (f *Front) showInvitation(w http.ResponseWriter, r *http.Request) error {
	i, err := f.Club.Invited(r.PathValue("token"))
	if err != nil {
		text := f.Sentence(worded(err), "request failed")
		f.entry(w, f.Status(err), "invitation", entryPage{Page: page.Page{Title: "Invitation"}, Error: text})
		return nil
	}
	p := page.Page{Title: "Welcome to the club", Data: invitationPage{invitationPath + r.PathValue("token"), i.Name, i.Role, i.Person != 0, nil}}
	f.entry(w, http.StatusOK, "invitation", entryPage{Page: p})
	return nil
}

// beginAccepting asks the browser for a passkey.
func (f *Front) beginAccepting(r *http.Request) (any, error) {
	if _, ok := f.signing.Take(addressOf(r)); !ok {
		return nil, errTooOften
	}
	i, err := f.Club.Invited(r.PathValue("token"))
	if err != nil {
		return nil, err
	}
	name := r.FormValue("name")
	if i.Person != 0 {
		name = i.Name
	}
	if err := club.CheckName(name); err != nil {
		return nil, page.Refused("%s.", err)
	}
	return f.beginMaking(club.Hash(r.PathValue("token")), name, nil)
}

// accept lets in whom the invitation is for.
func (f *Front) accept(r *http.Request) (any, error) {
	a, q, err := f.answered(r, club.Hash(r.PathValue("token")))
	if err != nil {
		return nil, err
	}
	k, err := f.made(a, q)
	if err != nil {
		return nil, err
	}
	k.Name = browserOf(r)
	p, codes, err := f.Club.Accept(r.PathValue("token"), q.Name, k)
	if err == nil {
		err = f.signIn(r, &p)
	}
	f.watch.signedIn("invitation", err == nil)
	return signedIn{To: "/", Codes: codes}, err
}
