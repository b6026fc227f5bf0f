package web

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"net/http"
	"path"
	"strings"

	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/tile"
)

//go:embed templates
var templateFiles embed.FS

// pages are the templates by name, each with the layout and the shared parts.
type pages map[string]*template.Template

// page is what the layout needs; Data is the page's own.
type page struct {
	Title string
	// Section is the entry of the bar that is marked as where one is.
	Section string
	// Wide sheets print in landscape.
	Wide bool
	// Said is a sentence about what was just done; Undo, if set, is where a POST takes it back.
	Said, Undo string
	Data       any
}

// Sprite is the tile drawings, once a page.
func (page) Sprite() template.HTML { return template.HTML(sheet.Sprite()) }

var functions = template.FuncMap{
	"plural": wording.Plural, "sub": func(a, b int) int { return a - b }, "sections": func() []section { return bar },
	"capital": capital, "counts": counts,
	"preview": func(text string) typedRack { return previewRack(text, tile.Usual) },
}

// section is an entry of the bar at the top.
type section struct{ Name, Path string }

var bar = []section{{"Exercises", "/exercises"}, {"Drills", "/drills"}, {"Lessons", "/lessons"}, {"Experiments", "/experiments"}, {"Live class", "/classes"}, {"Cards", "/cards"}, {"Help", "/help"}}

// counts is 0 to n-1, for choices of a number.
func counts(n int) []int {
	c := make([]int, n)
	for i := range c {
		c[i] = i
	}
	return c
}

// capital writes a sentence's first letter large.
func capital(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

func parsePages() (pages, error) {
	shared, err := template.New("").Funcs(functions).ParseFS(templateFiles, "templates/layout.html", "templates/parts/*.html")
	if err != nil {
		return nil, err
	}
	files, err := templateFiles.ReadDir("templates")
	if err != nil {
		return nil, err
	}
	p := pages{}
	for _, f := range files {
		if f.IsDir() || f.Name() == "layout.html" {
			continue
		}
		own, err := shared.Clone()
		if err == nil {
			own, err = own.ParseFS(templateFiles, "templates/"+f.Name())
		}
		if err != nil {
			return nil, err
		}
		p[strings.TrimSuffix(f.Name(), path.Ext(f.Name()))] = own
	}
	return p, nil
}

// render writes a page; a template that fails answers 500 and nothing half done.
func (s *Server) render(w http.ResponseWriter, status int, name string, p page) {
	s.renderIn(w, status, name, "layout", p)
}

// renderIn writes a page in a layout of its own.
func (s *Server) renderIn(w http.ResponseWriter, status int, name, layout string, data any) {
	html, err := s.pages.text(name, layout, data)
	if err != nil {
		s.log.Error("page not rendered", "page", name, "error", err)
		http.Error(w, "The page could not be made.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	w.Write(html) // the reader may have gone; there is nobody to tell
}

// text fills one template of a page.
func (p pages) text(name, part string, data any) ([]byte, error) {
	t, ok := p[name]
	if !ok {
		return nil, fmt.Errorf("no page %q", name)
	}
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, part, data); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
