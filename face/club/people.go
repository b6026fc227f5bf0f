package club

import (
	"net/http"
	"strconv"

	"secondpass/club"
	"secondpass/face/web/page"
)

func (f *Front) routePeople() {
	f.account("GET /people", f.showPeople)
	f.account("POST /people/invite", f.invite)
	f.account("POST /people/{id}/again", f.inviteAgain)
	f.account("POST /people/{id}/end", f.endPerson)
	f.account("POST /people/invitations/{id}/withdraw", f.withdraw)
	f.account("POST /people/workbooks/{id}/delete", f.eraseWorkbook)
	f.account("GET /people/audit", f.showAudit)
}

type personLine struct {
	ID, Workbook int64
	Name, Joined string
	Role         club.Role
	You          bool
}

type openLine struct {
	ID            int64
	Name, Expires string
	Role          club.Role
	Again         bool
}

type peoplePage struct {
	People []personLine
	Open   []openLine
	Govern bool
	// Link is an invitation that was just made, for whom; it is shown once.
	Link, For string
	// Ending is somebody whose account is to be ended, if that is meant.
	Ending *personLine
	// Orphans are workbooks in which nobody works any more; the owner of the club sees them.
	Orphans []orphanLine
}

func (f *Front) showPeople(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	said := map[string]string{"ended": "The account is ended.", "withdrawn": "The invitation is withdrawn.", "erased": "The workbook is deleted for good, with all accounts in it."}[r.FormValue("said")]
	return f.renderPeople(w, p, peoplePage{}, said)
}

func (f *Front) renderPeople(w http.ResponseWriter, p *club.Person, shown peoplePage, said string) error {
	people, open, err := f.Club.Managed(p)
	if err != nil {
		return err
	}
	if shown.Govern = club.May(p.Role, club.Govern, true); shown.Govern {
		if shown.Orphans, err = f.orphans(); err != nil {
			return err
		}
	}
	for _, one := range people {
		shown.People = append(shown.People, lineOf(&one, p))
	}
	for _, i := range open {
		shown.Open = append(shown.Open, openLine{i.ID, i.Name, when(i.Expires), i.Role, i.Person != 0})
	}
	title := "Your assistants"
	if shown.Govern {
		title = "People of the club"
	}
	f.Render(w, http.StatusOK, "people", page.Page{Title: title, Section: "Account", Said: said, Data: shown})
	return nil
}

func lineOf(one, looking *club.Person) personLine {
	return personLine{one.ID, one.Workbook, one.Name, when(one.Joined), one.Role, one.ID == looking.ID}
}

// invite shows the link of a new invitation, once.
func (f *Front) invite(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	name, role := r.PostForm.Get("name"), club.Role(r.PostForm.Get("role"))
	if role == "" {
		role = club.Assistant
	}
	if err := club.CheckName(name); err != nil {
		return page.Refused("%s.", err)
	}
	if role != club.Owner && role != club.Teacher && role != club.Assistant {
		return page.Refused("The role %q: owner, teacher or assistant is right.", role)
	}
	token, err := f.Club.Invite(p, role, name)
	if err != nil {
		return err
	}
	return f.renderPeople(w, p, peoplePage{Link: f.address() + invitationPath + token, For: name}, "")
}

// numberOf is the number in the address.
func numberOf(r *http.Request) (int64, error) {
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err != nil {
		return 0, club.ErrNobody
	}
	return id, nil
}

func (f *Front) inviteAgain(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	id, err := numberOf(r)
	if err != nil {
		return err
	}
	token, whom, err := f.Club.Again(p, id)
	if err != nil {
		return err
	}
	return f.renderPeople(w, p, peoplePage{Link: f.address() + invitationPath + token, For: whom.Name}, "")
}

// endPerson asks first.
func (f *Front) endPerson(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	id, err := numberOf(r)
	if err != nil {
		return err
	}
	if r.PostForm.Get("sure") != "yes" {
		people, _, err := f.Club.Managed(p)
		if err != nil {
			return err
		}
		for _, one := range people {
			if one.ID == id {
				line := lineOf(&one, p)
				return f.renderPeople(w, p, peoplePage{Ending: &line}, "")
			}
		}
	}
	if _, err := f.Club.End(p, id); err != nil {
		return err
	}
	return page.SeeOther(w, r, "/people?said=ended")
}

func (f *Front) withdraw(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	id, err := numberOf(r)
	if err != nil {
		return club.ErrNoInvitation
	}
	if err := f.Club.Withdraw(p, id); err != nil {
		return err
	}
	return page.SeeOther(w, r, "/people?said=withdrawn")
}

// entriesShown is how many lines of the list of what was done the page has.
const entriesShown = 500

type entryLine struct{ At, By, Deed, About string }

func (f *Front) showAudit(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	all, err := f.Club.Entries(entriesShown)
	if err != nil {
		return err
	}
	var lines []entryLine
	for _, e := range all {
		by := e.By
		if by == "" {
			by = "(command line)"
		}
		lines = append(lines, entryLine{when(e.At), by, e.Deed, e.About})
	}
	f.Render(w, http.StatusOK, "audit", page.Page{Title: "What was done", Section: "Account", Data: lines})
	return nil
}
