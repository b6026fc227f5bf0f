package onefile

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/ascii85"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"html/template"
	"io/fs"
	"regexp"
	"strings"

	"secondpass/face/reader"
	"secondpass/face/web/page"
	"secondpass/paper/sheet"
)

//go:embed assets page.html index.html
var embedded embed.FS

var layout = template.Must(template.ParseFS(embedded, "page.html", "index.html"))

// Most is how large a file may become, in bytes.
const Most = 3_500_000

// file is what the layout is filled with. All of it but the titles, the names and the first page is the program's own.
type file struct {
	Title, Name, Policy string
	// Shared is where files of a folder stand that its pages have in common; nil where all is in one file.
	Shared        *shared
	Style         template.HTML
	Sprite, First template.HTML
	Content       template.JS
	Key           string
	Listed        bool // it is a lesson, with a list
	Engine        template.HTML
	Worker        template.HTML
	Script        template.HTML
}

// Page is the whole file about a content.
func Page(c *reader.Content, e *Engine) ([]byte, error) {
	f, script, err := fileOf(c)
	if err != nil {
		return nil, err
	}
	style, err := styles()
	if err != nil {
		return nil, err
	}
	worker, err := workerOf(e)
	if err != nil {
		return nil, err
	}
	f.Engine = element("script", ` type="text/plain" id="engine"`, letters(e.Packed))
	f.Worker = element("script", ` type="text/plain" id="worker"`, worker)
	f.Style = element("style", "", style)
	f.Policy = policy + "worker-src blob:; style-src " + hashOf(style) + "; script-src 'wasm-unsafe-eval' " + hashOf(script)
	data, err := f.write("page.html")
	if err == nil && len(data) > Most {
		return nil, fmt.Errorf("the page comes to %d bytes; %d are the most, to be sent and loaded on a telephone", len(data), Most)
	}
	return data, err
}

// policy is what a page may not do, wherever its parts stand: nothing is asked of any other place.
const policy = "default-src 'none'; base-uri 'none'; form-action 'none'; img-src data: blob:; font-src data:; "

// fileOf is the part of a page that its content decides, with its script.
func fileOf(c *reader.Content) (*file, string, error) {
	content, err := json.Marshal(c) // < > & are escaped, so that it ends no script
	if err != nil {
		return nil, "", err
	}
	book, err := reader.Open(content, nil)
	if err != nil {
		return nil, "", err
	}
	first := book.Ask(false, book.Start(), nil)
	if !first.OK {
		return nil, "", fmt.Errorf("the first step cannot be shown")
	}
	script, err := scripts()
	sum := sha256.Sum256([]byte(c.Exercise + c.Lesson))
	return &file{Listed: book.Listed(), Title: first.Title, Name: book.Name(), Sprite: template.HTML(sheet.Sprite()), First: template.HTML(first.HTML), Content: template.JS(content),
		Key: hex.EncodeToString(sum[:8]), Script: element("script", ` type="module"`, script)}, script, err
}

// workerOf is the script of workers.
func workerOf(e *Engine) (string, error) {
	worker, err := embedded.ReadFile("assets/worker.js")
	return string(e.Glue) + "\n" + string(worker), err
}

func (f *file) write(name string) ([]byte, error) {
	var out bytes.Buffer
	err := layout.ExecuteTemplate(&out, name, f)
	return out.Bytes(), err
}

// element is an element of the program's own text, byte for byte, as its hash goes by that.
func element(name, attributes, text string) template.HTML {
	return template.HTML("<" + name + attributes + ">" + text + "</" + name + ">")
}

func hashOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// letters is data as Ascii85 with v in place of <, which might begin a tag.
func letters(data []byte) string {
	out := make([]byte, ascii85.MaxEncodedLen(len(data)))
	out = out[:ascii85.Encode(out, data)]
	return string(bytes.ReplaceAll(out, []byte("<"), []byte("v")))
}

// fontAddress is where a style sheet names a font.
var fontAddress = regexp.MustCompile(`url\((fonts/[^)]+)\)`)

// styles are the workbook's style sheets that a reader's page needs, with their fonts in them, and its own.
func styles() (string, error) {
	var all strings.Builder
	for _, name := range []string{"tokens.css", "look.css", "workbook.css", "play.css", "drills.css"} {
		text, err := page.Asset(name)
		if err != nil {
			return "", err
		}
		all.Write(text)
	}
	own, err := fs.ReadFile(embedded, "assets/reader.css")
	if err != nil {
		return "", err
	}
	all.Write(own)
	var trouble error
	text := fontAddress.ReplaceAllStringFunc(all.String(), func(found string) string {
		font, err := page.Asset(fontAddress.FindStringSubmatch(found)[1])
		if err != nil {
			trouble = err
		}
		return "url(data:font/woff2;base64," + base64.StdEncoding.EncodeToString(font) + ")"
	})
	return text, trouble
}

// scripts are the workbook's script and that of the page, as one module.
func scripts() (string, error) {
	workbook, err := page.Asset("workbook.js")
	if err != nil {
		return "", err
	}
	own, err := embedded.ReadFile("assets/reader.js")
	if err != nil {
		return "", err
	}
	folder, err := embedded.ReadFile("assets/folder.js")
	return string(workbook) + "\n" + string(own) + string(folder), err
}
