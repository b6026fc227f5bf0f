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
}

// HelpPath is the help, opened at what it says about the page.
func (p Page) HelpPath(sections []Section) string {
	at := p.Help
	for _, s := range sections {
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

// Pages are the templates of an area by name, each with the layout and the shared parts.
type Pages struct {
	*Site
	byName map[string]*template.Template
}

// Pages reads the templates of an area: each HTML file is a page by its name, and uses the layout, the files in the
// folder parts beside it, and those of shared.
func (s *Site) Pages(files fs.FS, shared ...fs.FS) (*Pages, error) {
	functions := template.FuncMap{
		"plural": wording.Plural, "sub": func(a, b int) int { return a - b }, "capital": wording.Capital, "counts": view.Counts,
		"workbook": func() bool { return true }, // and not the page of a reader elsewhere
		"sections": func() []Section { return s.sections }, "standing": s.standing,
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
	p := &Pages{s, map[string]*template.Template{}}
	for _, name := range names {
		own, err := common.Clone()
		if err == nil {
			own, err = own.ParseFS(files, name)
		}
		if err != nil {
			return nil, err
		}
		p.byName[strings.TrimSuffix(name, path.Ext(name))] = own
	}
	return p, nil
}

// Render writes a page; a template that fails answers 500 and nothing half done.
func (p *Pages) Render(w http.ResponseWriter, status int, name string, data Page) {
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
