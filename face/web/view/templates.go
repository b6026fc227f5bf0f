package view

import (
	"embed"
	"html/template"
	"strings"
)

//go:embed templates
var embedded embed.FS

// drawings are the templates of tiles and bars.
var drawings = template.Must(template.ParseFS(embedded, "templates/drawings.html"))

// fill is a drawing of a template of this package. It cannot fail: the templates and what goes into them are ours, and
// are filled by the tests.
func fill(name string, data any) template.HTML {
	var b strings.Builder
	if err := drawings.ExecuteTemplate(&b, name, data); err != nil {
		panic(err)
	}
	return template.HTML(b.String())
}
