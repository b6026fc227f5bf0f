package club

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"

	"secondpass/club"
	"secondpass/face/web/page"
	"secondpass/store"
)

// usedUp is what a workbook has of what a teacher may have.
type usedUp struct {
	Kept, Most string // bytes; "" where there is no most
	KeptShare  int    // in percent
	Worked, Of string // today
	WorkShare  int
}

func (f *Front) usedUp(teacher int64) (u usedUp, err error) {
	held, err := f.Teachers.Held(teacher)
	if err != nil {
		return u, err
	}
	worked, err := f.Teachers.Worked(teacher, f.Club.Now())
	if err != nil {
		return u, err
	}
	u.Kept, u.Worked = megabytes(held), duration(worked)
	if f.Storage > 0 {
		u.Most, u.KeptShare = megabytes(f.Storage), int(100*held/f.Storage)
	}
	if f.Work > 0 {
		u.Of, u.WorkShare = duration(f.Work), int(100*worked/f.Work)
	}
	return u, nil
}

// megabytes is a number of bytes in words.
func megabytes(n int64) string {
	switch mb := float64(n) / (1 << 20); {
	case mb < 0.1:
		return "less than 0.1 MB"
	case mb < 10:
		return fmt.Sprintf("%.1f MB", mb)
	default:
		return fmt.Sprintf("%.0f MB", mb)
	}
}

// purge throws away what was deleted.
func (f *Front) purge(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	if err := f.Teachers.Purge(p.Workbook); err != nil {
		return err
	}
	if err := f.Club.Note(club.Entry{At: f.Club.Now(), By: p.Name, Deed: "threw away what was deleted"}); err != nil {
		return err
	}
	return page.SeeOther(w, r, accountPath+"?said=purged")
}

// eraseOwn deletes the account and the workbook of who asks, who types the own name.
func (f *Front) eraseOwn(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	if r.PostForm.Get("name") != p.Name {
		return page.Refused("Nothing was deleted: what you typed is not your name in the club, %s.", p.Name)
	}
	if err := f.erase(p, p.Workbook); err != nil {
		return err
	}
	if err := f.sessions.Destroy(r.Context()); err != nil {
		return err
	}
	return page.SeeOther(w, r, signInPath+"?said=deleted")
}

// erase deletes a workbook and ends what goes on in it.
func (f *Front) erase(by *club.Person, workbook int64) error {
	if err := f.Club.Erase(by, workbook); err != nil {
		return err
	}
	f.books.drop(workbook)
	return nil
}

// eraseWorkbook deletes a workbook for good: of a teacher, whose name is typed first, or of one who has left, with the word delete.
func (f *Front) eraseWorkbook(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	workbook, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	if err != nil {
		return store.ErrNoTeacher
	}
	people, err := f.Club.People()
	if err != nil {
		return err
	}
	word := "delete"
	for _, one := range people {
		if one.Workbook == workbook && one.Role != club.Assistant {
			word = one.Name
		}
	}
	if r.PostForm.Get("name") != word {
		return page.Refused("Nothing was deleted: type %s to say that it is meant.", word)
	}
	if workbook == p.Workbook {
		return page.Refused("Your own workbook is deleted under Account.")
	}
	if err := f.erase(p, workbook); err != nil {
		return err
	}
	return page.SeeOther(w, r, "/people?said=erased")
}

// orphanLine is a workbook in which nobody works.
type orphanLine struct {
	ID   int64
	Kept string
}

func (f *Front) orphans() (lines []orphanLine, err error) {
	ids, err := f.Club.Orphans()
	for _, id := range ids {
		held, err := f.Teachers.Held(id)
		if err != nil && !errors.Is(err, store.ErrNoTeacher) {
			return nil, err
		}
		lines = append(lines, orphanLine{id, megabytes(held)})
	}
	return lines, err
}
