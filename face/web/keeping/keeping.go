package keeping

import (
	"embed"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"strings"
	"sync"
	"time"

	"secondpass/face/web/page"
	"secondpass/store/folder"
)

//go:embed templates
var templates embed.FS

// Area is the page of backups of a data folder.
type Area struct {
	*page.Pages
	dir string
	// restore lets the workbook end and begin again with what is in a backup; its error says why it cannot end now.
	restore func(file string) error
	// working is held while the folder is read or written as a whole: one at a time is enough for a disk.
	working sync.Mutex
}

// pages are the templates of the area.
var pages = page.Read(page.Folder(templates, "templates"))

// New makes the page for a data folder. restore lets the workbook end and begin again with what is in a backup.
func New(site *page.Site, dir string, restore func(file string) error) (*Area, error) {
	p, err := site.Pages(pages)
	return &Area{Pages: p, dir: dir, restore: restore}, err
}

// Route is the page and what can be done on it.
func (a *Area) Route(mux page.Routes) {
	mux.HandleFunc("GET /backups", a.Handle(a.list))
	mux.HandleFunc("POST /backups", a.Handle(a.take))
	mux.HandleFunc("POST /backups/check", a.Handle(a.check))
	mux.HandleFunc("POST /backups/restore", a.Handle(a.restoreOne))
	mux.HandleFunc("GET /backups/now/file", a.Handle(a.now))
	mux.HandleFunc("GET /backups/snapshots/{name}/file", a.Handle(a.file))
}

type snapshotLine struct{ Name, Made, Size, Path string }

type backupsPage struct {
	Dir       string
	Snapshots []snapshotLine
	// Asked is the snapshot that is to be restored, "" before one was chosen.
	Asked string
	// Checked is what was checked, "" for nothing.
	Checked  string
	Counts   []string
	Problems []string
}

func (a *Area) list(w http.ResponseWriter, r *http.Request) error {
	said := ""
	if r.FormValue("made") != "" {
		said = "The snapshot is made."
	}
	return a.show(w, backupsPage{}, said)
}

func (a *Area) show(w http.ResponseWriter, p backupsPage, said string) error {
	list, err := folder.ListSnapshots(a.dir)
	if err != nil {
		return err
	}
	p.Dir = a.dir
	for _, s := range list {
		p.Snapshots = append(p.Snapshots, snapshotLine{s.Name, s.Made.Format("2 January 2006, 15:04"), fmt.Sprintf("%d kB", (s.Size+1023)/1024), "/backups/snapshots/" + url.PathEscape(s.Name) + "/file"})
	}
	a.Render(w, http.StatusOK, "backups", page.Page{Title: "Backups", Section: "Help", Said: said, Data: p})
	return nil
}

// take makes a snapshot by hand.
func (a *Area) take(w http.ResponseWriter, r *http.Request) error {
	a.working.Lock()
	defer a.working.Unlock()
	if err := folder.TakeByHand(a.dir, time.Now()); err != nil {
		return err
	}
	return page.SeeOther(w, r, "/backups?made=1")
}

// check reads everything back, or a snapshot.
func (a *Area) check(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	a.working.Lock()
	defer a.working.Unlock()
	name := r.PostForm.Get("snapshot")
	p := backupsPage{Checked: "All that is kept"}
	found := folder.Report{}
	if name == "" {
		found = folder.Check(a.dir)
	} else {
		path, err := a.path(name)
		if err != nil {
			return err
		}
		p.Checked = "The snapshot " + name
		if found, err = folder.CheckBackup(a.dir, path); err != nil {
			found.Problems = []string{strings.ReplaceAll(err.Error(), path, name)}
		}
	}
	p.Counts, p.Problems = found.Counts, found.Problems
	return a.show(w, p, "")
}

// restoreOne asks whether a snapshot is to take the place of all that is kept, then lets the workbook begin again with it. One that is
// damaged changes nothing.
func (a *Area) restoreOne(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	name := r.PostForm.Get("snapshot")
	path, err := a.path(name)
	if err != nil {
		return err
	}
	if r.PostForm.Get("sure") != "yes" {
		return a.show(w, backupsPage{Asked: name}, "")
	}
	a.working.Lock()
	defer a.working.Unlock()
	found, err := folder.CheckBackup(a.dir, path)
	if err != nil {
		found.Problems = []string{strings.ReplaceAll(err.Error(), path, name)}
	}
	if len(found.Problems) > 0 {
		return a.show(w, backupsPage{Checked: "The snapshot " + name, Counts: found.Counts, Problems: found.Problems}, "")
	}
	if err := a.restore(path); err != nil {
		return err
	}
	a.RenderIn(w, http.StatusOK, "backups", "restoring", name)
	return nil
}

func (a *Area) path(name string) (string, error) {
	path, err := folder.SnapshotPath(a.dir, name)
	if errors.Is(err, os.ErrNotExist) {
		err = page.NotFound("There is no snapshot %s.", name)
	}
	return path, err
}

// now is a backup as of now. One that fails in the middle is broken off, so that no browser takes it for whole.
func (a *Area) now(w http.ResponseWriter, r *http.Request) error {
	a.working.Lock()
	defer a.working.Unlock()
	out := &begun{w: w, name: "secondpass " + time.Now().Format("2006-01-02 1504")}
	err := folder.WriteBackup(a.dir, out)
	if err != nil && out.any {
		a.Log.Error("a backup was broken off", "error", err)
		panic(http.ErrAbortHandler)
	}
	return err
}

// begun is an answer that says that it is a file with its first byte.
type begun struct {
	w    http.ResponseWriter
	name string
	any  bool
}

func (b *begun) Write(p []byte) (int, error) {
	if !b.any {
		b.any = true
		b.w.Header().Set("Content-Type", "application/zip")
		b.w.Header().Set("Content-Disposition", page.Attachment(b.name, ".zip"))
	}
	return b.w.Write(p)
}

// file is a snapshot to take away.
func (a *Area) file(w http.ResponseWriter, r *http.Request) error {
	path, err := a.path(r.PathValue("name"))
	if err != nil {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", page.Attachment(strings.TrimSuffix(r.PathValue("name"), ".zip"), ".zip"))
	_, err = io.Copy(w, f)
	return err
}
