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

//go:embed assets page.html
var embedded embed.FS

var layout = template.Must(template.ParseFS(embedded, "page.html"))

// Most is how large a file may become, in bytes.
const Most = 3_500_000

// file is what the layout is filled with. All of it but the title, the name and the first page is the program's own.
type file struct {
	Title, Name, Policy string
	Style               template.HTML
	Sprite, First       template.HTML
	Content             template.JS
	Key                 string
	Engine              template.HTML
	Worker, Script      template.HTML
}

// Page is the whole file about a content.
func Page(c *reader.Content, e *Engine) ([]byte, error) {
	content, err := json.Marshal(c) // < > & are escaped, so that it ends no script
	if err != nil {
		return nil, err
	}
	book, err := reader.Open(content, nil)
	if err != nil {
		return nil, err
	}
	first := book.Ask(false, book.Start(), nil)
	if !first.OK {
		return nil, fmt.Errorf("the first step cannot be shown")
	}
	style, err := styles()
	if err != nil {
		return nil, err
	}
	script, err := scripts()
	if err != nil {
		return nil, err
	}
	worker, err := embedded.ReadFile("assets/worker.js")
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256([]byte(c.Exercise))
	f := file{Title: first.Title, Name: book.Name(), Sprite: template.HTML(sheet.Sprite()), First: template.HTML(first.HTML), Content: template.JS(content),
		Key: hex.EncodeToString(sum[:8]), Engine: template.HTML(letters(e.Packed)),
		Worker: element("script", ` type="text/plain" id="worker"`, string(e.Glue)+"\n"+string(worker)),
		Style:  element("style", "", style), Script: element("script", ` type="module"`, script)}
	f.Policy = "default-src 'none'; base-uri 'none'; form-action 'none'; img-src data: blob:; font-src data:; worker-src blob:; style-src " + hashOf(style) +
		"; script-src 'wasm-unsafe-eval' " + hashOf(script)
	var out bytes.Buffer
	if err := layout.ExecuteTemplate(&out, "page.html", f); err != nil {
		return nil, err
	}
	if out.Len() > Most {
		return nil, fmt.Errorf("the page comes to %d bytes; %d are the most, to be sent and loaded on a telephone", out.Len(), Most)
	}
	return out.Bytes(), nil
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
	for _, name := range []string{"tokens.css", "look.css", "workbook.css"} {
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
	return string(workbook) + "\n" + string(own), err
}
