package view

import (
	"embed"
	"html/template"
	"io/fs"
	"strings"
)

//go:embed templates
var embedded embed.FS

// Parts are the templates of hands, steps, charts and drills, which pages of several areas use.
func Parts() fs.FS {
	f, err := fs.Sub(embedded, "templates/parts")
	if err != nil {
		panic(err) // the folder is embedded
	}
	return f
}

// markup is the templates of tiles and bars.
var markup = template.Must(template.ParseFS(embedded, "templates/drawings.html"))

// fill is a drawing of a template of this package. It cannot fail: the templates and what goes into them are ours, and
// are filled by the tests.
func fill(name string, data any) template.HTML {
	var b strings.Builder
	if err := markup.ExecuteTemplate(&b, name, data); err != nil {
		panic(err)
	}
	return template.HTML(b.String())
}
