package club

import (
	"errors"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"secondpass/club"
	"secondpass/face/web/page"
	"secondpass/store"
)

func (f *Front) routeMoving() {
	f.account("GET /account/workbook/file", f.takeOut)
	f.account("POST /account/workbook/import", f.bringIn)
}

// takeOut answers with all that the workbook holds, one file: a backup such as that of a data folder.
func (f *Front) takeOut(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	return f.withFile(func(path string) error {
		if err := f.Teachers.MoveOut(p.Workbook, path); err != nil {
			return err
		}
		if err := f.Club.Note(club.Entry{At: f.Club.Now(), By: p.Name, Deed: "took a workbook out"}); err != nil {
			return err
		}
		file, err := os.Open(path)
		if err != nil {
			return err
		}
		defer file.Close()
		w.Header().Set("Content-Type", "application/zip")
		w.Header().Set("Content-Disposition", page.Attachment("secondpass "+time.Now().Format("2006-01-02 1504"), ".zip"))
		_, err = io.Copy(w, file)
		return err
	})
}

// bringIn puts the backup of a data folder into a workbook that holds nothing.
func (f *Front) bringIn(w http.ResponseWriter, r *http.Request, p *club.Person) error {
	sent, head, err := r.FormFile("file")
	if err != nil {
		return page.Refused("No file came, or it is too large. Choose a backup of a data folder first.")
	}
	defer sent.Close()
	err = f.withFile(func(path string) error {
		file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
		if err != nil {
			return err
		}
		_, err = io.Copy(file, sent)
		if closed := file.Close(); err == nil {
			err = closed
		}
		if err != nil {
			return err
		}
		return f.Teachers.MoveIn(p.Workbook, path)
	})
	switch {
	case errors.Is(err, store.ErrNotEmpty):
		return page.Refused("Your workbook holds something already. A backup is brought in before anything else is.")
	case errors.Is(err, store.ErrKeptByAnother):
		return page.Refused("A class or student of %s is in the club already, in another workbook: their codes and links lead there.", head.Filename)
	case err != nil && f.Status(err) == http.StatusInternalServerError:
		f.Log.Warn("a backup was not taken", "error", err)
		return page.Refused("The file %s cannot be used: it is no sound backup of a data folder. The program's command check-data says what is wrong with it.", head.Filename)
	case err != nil:
		return err
	}
	if err := f.Club.Note(club.Entry{At: f.Club.Now(), By: p.Name, Deed: "brought a data folder in"}); err != nil {
		return err
	}
	return page.SeeOther(w, r, accountPath+"?said=moved")
}

// withFile does work with the path of a file that is not there yet, and of which nothing is left.
func (f *Front) withFile(work func(path string) error) error {
	f.moving.Lock()
	defer f.moving.Unlock()
	dir, err := os.MkdirTemp("", "secondpass-*")
	if err != nil {
		return store.OfDisk(err)
	}
	defer os.RemoveAll(dir)
	return work(filepath.Join(dir, "workbook.zip"))
}
