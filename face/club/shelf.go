package club

import (
	"errors"
	"io/fs"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"secondpass/club"
	"secondpass/desk"
	"secondpass/face/web/page"
)

func (f *Front) routeShelf() {
	f.account("GET /shelf", f.showShelf)
	f.account("POST /shelf", f.give)
	f.account("POST /shelf/{id}/take", f.takeCopy)
	f.account("POST /shelf/{id}/remove", f.takeBack)
}

type sharedLine struct {
	club.Shared
	When string
	// For is whom it is for, "" for all; Ours says that this workbook has given it, Back that who looks may take it back.
	ForWhom    string
	Ours, Back bool
}

type shelfPage struct {
	Shared    []sharedLine
	Originals []desk.Original
	Others    []club.Person
}

// deskOf is what somebody's workbook holds.
func (f *Front) deskOf(p *club.Person) *desk.Desk {
	s, files := f.Teachers.Kept(p.Workbook)
	return &desk.Desk{Store: s, Files: files}
}

func (f *Front) showShelf(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	said := ""
	switch name := r.FormValue("name"); r.FormValue("said") {
	case "given":
		said = "The copy is on the shelf."
	case "taken":
		said = "It is in your workbook now, as " + name + "."
	case "back":
		said = "It is off the shelf. Copies that others have made stay theirs."
	}
	var shown shelfPage
	people, err := f.Club.People()
	if err != nil {
		return err
	}
	names := map[int64]string{}
	for _, one := range people {
		if one.Role != club.Assistant {
			names[one.Workbook] = one.Name
			if one.Workbook != p.Workbook {
				shown.Others = append(shown.Others, one)
			}
		}
	}
	all, err := f.Club.Shelf(p)
	if err != nil {
		return err
	}
	for _, s := range all {
		shown.Shared = append(shown.Shared, sharedLine{s, when(s.At), names[s.For], s.From == p.Workbook, club.MayTakeBack(p, &s)})
	}
	if shown.Originals, err = f.deskOf(p).Originals(); err != nil {
		return err
	}
	f.Render(w, http.StatusOK, "shelf", page.Page{Title: "The club's shelf", Section: "Account", Said: said, Data: shown})
	return nil
}

// give puts a copy of something in the workbook on the shelf.
func (f *Front) give(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	sort, ref, ok := strings.Cut(r.PostForm.Get("what"), " ")
	if !ok {
		return page.Refused("Choose what to give a copy of.")
	}
	whom, err := strconv.ParseInt(r.PostForm.Get("for"), 10, 64)
	if err != nil {
		return page.Refused("Choose for whom the copy is.")
	}
	name, file, err := f.deskOf(p).Copy(desk.Copied(sort), ref)
	if errors.Is(err, fs.ErrNotExist) {
		return page.NotFound("There is no card %q in your workbook.", ref)
	}
	if err == nil {
		err = f.Club.Share(p, club.Shared{Sort: sort, Name: name, Remark: strings.TrimSpace(r.PostForm.Get("remark")), For: whom, File: file})
	}
	if err != nil {
		return f.refusedCopy(err)
	}
	return page.SeeOther(w, r, "/shelf?said=given")
}

// refusedCopy is an error that the user may see: of files that cannot be read as much as of the club.
func (f *Front) refusedCopy(err error) error {
	if worded(err) == err && f.Status(err) == http.StatusInternalServerError {
		f.Log.Warn("no copy", "error", err)
		return page.Refused("The copy cannot be made: what it is a copy of cannot be read.")
	}
	return err
}

// takeCopy puts a copy from the shelf into the workbook.
func (f *Front) takeCopy(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	id, err := numberOf(r)
	if err != nil {
		return club.ErrNotShared
	}
	s, err := f.Club.TakeShared(p, id)
	if err != nil {
		return err
	}
	name, err := f.deskOf(p).TakeCopy(desk.Copied(s.Sort), s.Name, s.File)
	if err != nil {
		return f.refusedCopy(err)
	}
	return page.SeeOther(w, r, "/shelf?said=taken&name="+url.QueryEscape(name))
}

func (f *Front) takeBack(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	id, err := numberOf(r)
	if err != nil {
		return club.ErrNotShared
	}
	if err := f.Club.TakeBack(p, id); err != nil {
		return err
	}
	return page.SeeOther(w, r, "/shelf?said=back")
}
