package page

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"sync"

	"secondpass/face/web/view"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
)

// The layout, and the page for what went wrong.
//
//go:embed layouts own
var embedded embed.FS

// Folder is a folder of embedded files, such as the templates of an area.
func Folder(embedded embed.FS, name string) fs.FS {
	f, err := fs.Sub(embedded, name)
	if err != nil {
		panic(err) // no path of a file system, which is a mistake of the program
	}
	return f
}

// Page is what the layout needs; Data is the page's own.
type Page struct {
	Title string
	// Section is the entry of the bar that is marked as where one is.
	Section string
	// Help is the place of the help that is about the page, "" for that of its section.
	Help string
	// Wide sheets print in landscape.
	Wide bool
	// Said is a sentence about what was just done; Undo, if set, is where a POST takes it back.
	Said, Undo string
	Data       any

	site *Site // on which it is shown
}

// Sections is the bar at the top.
func (p Page) Sections() []Section { return p.site.sections }

// Standing is the sentence that stands on each page, "" while all is well.
func (p Page) Standing() string { return p.site.standing() }

// HelpPath is the help, opened at what it says about the page.
func (p Page) HelpPath() string {
	at := p.Help
	for _, s := range p.site.sections {
		if at == "" && s.Name == p.Section {
			at = s.Help
		}
	}
	if at == "" {
		return "/help"
	}
	return "/help#" + at
}

// Sprite is the tile drawings, once a page.
func (Page) Sprite() template.HTML { return template.HTML(sheet.Sprite()) }

// Templates are those of an area by name, each with the layout and the shared parts.
type Templates func() (map[string]*template.Template, error)

// Read says where the templates of an area are: each HTML file is a page by its name, and uses the layout, the files in the folder parts beside
// it, and those of shared. They are read when they are first needed, once for all workbooks of a program.
func Read(files fs.FS, shared ...fs.FS) Templates {
	return sync.OnceValues(func() (map[string]*template.Template, error) { return read(files, shared) })
}

func read(files fs.FS, shared []fs.FS) (map[string]*template.Template, error) {
	functions := template.FuncMap{
		"plural": wording.Plural, "sub": func(a, b int) int { return a - b }, "capital": wording.Capital, "counts": view.Counts,
		"workbook": func() bool { return true }, // and not the page of a reader elsewhere
	}
	common, err := template.New("").Funcs(functions).ParseFS(Folder(embedded, "layouts"), "*.html")
	for _, f := range shared {
		if err == nil {
			common, err = common.ParseFS(f, "*.html")
		}
	}
	if parts, _ := fs.Glob(files, "parts/*.html"); err == nil && len(parts) > 0 {
		common, err = common.ParseFS(files, "parts/*.html")
	}
	if err != nil {
		return nil, err
	}
	names, err := fs.Glob(files, "*.html")
	if err != nil {
		return nil, err
	}
	byName := map[string]*template.Template{}
	for _, name := range names {
		own, err := common.Clone()
		if err == nil {
			own, err = own.ParseFS(files, name)
		}
		if err != nil {
			return nil, err
		}
		byName[strings.TrimSuffix(name, path.Ext(name))] = own
	}
	return byName, nil
}

// Pages are the pages of an area in one workbook.
type Pages struct {
	*Site
	byName map[string]*template.Template
}

// Pages shows the templates of an area.
func (s *Site) Pages(from Templates) (*Pages, error) {
	byName, err := from()
	return &Pages{s, byName}, err
}

// Render writes a page; a template that fails answers 500 and nothing half done.
func (p *Pages) Render(w http.ResponseWriter, status int, name string, data Page) {
	data.site = p.Site
	p.RenderIn(w, status, name, "layout", data)
}

// RenderIn writes a page in a layout of its own.
func (p *Pages) RenderIn(w http.ResponseWriter, status int, name, layout string, data any) {
	html, err := p.Text(name, layout, data)
	if err != nil {
		p.Log.Error("page not rendered", "page", name, "error", err)
		http.Error(w, "The page could not be made.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	w.Write(html) // the reader may have gone; there is nobody to tell
}

// Text fills one template of a page.
func (p *Pages) Text(name, part string, data any) ([]byte, error) {
	t, ok := p.byName[name]
	if !ok {
		return nil, fmt.Errorf("no page %q", name)
	}
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, part, data); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
