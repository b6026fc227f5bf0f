package onefile

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"secondpass/face/reader"
	"secondpass/paper/draw"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/rules/tile"
)

// File is a file of a folder.
type File struct {
	Name string
	Data []byte
}

// shared is the files that pages of a folder have in common, by their names; Engine is "" where a page needs none.
type shared struct{ Icon, Manifest, Style, Engine string }

// index is the list of what is in a folder.
type index struct {
	Title, Policy, Says string
	Shared              *shared
	Entries             []entry
	Script              template.HTML
}

// entry is a page in the list. Key is that under which the browser keeps what its reader does.
type entry struct{ File, Name, Key, Says string }

// Most pages of a folder, and the name of its list.
const (
	MostPages = 200
	indexName = "index.html"
)

// ErrPages is a folder of no page, or of too many.
var ErrPages = errors.New("a folder is one")

// besides is what the pages of a folder may beyond those of one file: what stands beside them. A browser that opens them from the disk
// knows no 'self'.
const besides = "img-src data: blob: 'self' file:; manifest-src 'self'; worker-src blob: 'self'; style-src 'self' file:; script-src 'wasm-unsafe-eval' 'self' file: "

// Folder is the files of a folder with a page about each content and a list of them. The engine is in it once. Where it is hosted it
// can be installed, and works without a network once it was seen; from the disk it works too.
func Folder(title string, contents []*reader.Content, e *Engine) ([]File, error) {
	if err := enough(len(contents)); err != nil {
		return nil, err
	}
	s, files, err := sharedFiles(e)
	if err != nil {
		return nil, err
	}
	list := index{Title: title, Says: saysOf(contents), Shared: &shared{Icon: s.Icon, Manifest: s.Manifest, Style: s.Style}}
	for _, c := range contents {
		f, script, err := fileOf(c)
		if err != nil {
			return nil, err
		}
		f.Shared, f.Policy = s, beside(script)
		data, err := f.write("page.html")
		if err != nil {
			return nil, err
		}
		name := fileName(f.Name, files)
		list.Entries = append(list.Entries, entry{File: name, Name: f.Name, Key: f.Key})
		files = append(files, File{name, data})
	}
	if files, err = list.add(files); err != nil {
		return nil, err
	}
	return kept(files)
}

// enough says why a folder cannot have so many pages, or nil.
func enough(pages int) error {
	if pages == 0 || pages > MostPages {
		return fmt.Errorf("%w of 1 to %d pages, not of %d", ErrPages, MostPages, pages)
	}
	return nil
}

// saysOf is what a folder has in it.
func saysOf(contents []*reader.Content) string {
	var what []string
	lessons := 0
	for _, c := range contents {
		if c.Lesson != "" {
			lessons++
		}
	}
	if n := len(contents) - lessons; n > 0 {
		what = append(what, wording.Plural(n, "exercise"))
	}
	if lessons > 0 {
		what = append(what, wording.Plural(lessons, "lesson"))
	}
	return wording.Capital(strings.Join(what, " and ")) + " to do in your browser, on a telephone too."
}

// beside is the policy of a page of a folder, whose own script is this.
func beside(script string) string {
	return strings.Replace(policy, "img-src data: blob:; ", "", 1) + besides + hashOf(script)
}

// add puts the list among the files.
func (l *index) add(files []File) ([]File, error) {
	var script strings.Builder
	for _, name := range []string{"assets/index.js", "assets/folder.js"} {
		text, err := embedded.ReadFile(name)
		if err != nil {
			return nil, err
		}
		script.Write(text)
	}
	l.Script, l.Policy = element("script", ` type="module"`, script.String()), beside(script.String())
	var out bytes.Buffer
	if err := layout.ExecuteTemplate(&out, "index.html", l); err != nil {
		return nil, err
	}
	manifest, err := json.MarshalIndent(map[string]any{
		"name": l.Title, "short_name": l.Title, "start_url": "./", "scope": "./", "display": "standalone", "background_color": "#DFE6ED", "theme_color": "#DFE6ED",
		"icons": []map[string]string{{"src": iconOf(192), "sizes": "192x192", "type": "image/png"}, {"src": iconOf(512), "sizes": "512x512", "type": "image/png"}},
	}, "", "  ")
	return append(files, File{indexName, out.Bytes()}, File{l.Shared.Manifest, manifest}), err
}

// iconOf is the file of an icon, so many pixels wide.
func iconOf(pixels int) string { return "icon-" + strconv.Itoa(pixels) + ".png" }

// sharedFiles are what all pages of a folder have in common. Style and engine are called by what is in them, so that no page is
// shown with those of another version.
func sharedFiles(e *Engine) (*shared, []File, error) {
	style, err := styles()
	if err != nil {
		return nil, nil, err
	}
	worker, err := workerOf(e)
	if err != nil {
		return nil, nil, err
	}
	var script bytes.Buffer
	script.WriteString("globalThis.secondpassEngine = ")
	carried := json.NewEncoder(&script)
	carried.SetEscapeHTML(false) // no page: every letter counts
	if err := carried.Encode(map[string]string{"engine": letters(e.Packed), "worker": worker}); err != nil {
		return nil, nil, err
	}
	engine := script.Bytes()
	s := &shared{Icon: iconOf(192), Manifest: "folder.webmanifest", Style: "style-" + digest([]byte(style)) + ".css", Engine: "engine-" + digest(engine) + ".js"}
	files := []File{{s.Style, []byte(style)}, {s.Engine, engine}}
	for _, pixels := range []int{192, 512} {
		data, err := icon().PNG(&draw.Light, pixels)
		if err != nil {
			return nil, nil, err
		}
		files = append(files, File{iconOf(pixels), data})
	}
	return s, files, nil
}

func digest(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:6])
}

// kept adds the script that keeps all files for use without a network.
func kept(files []File) ([]File, error) {
	work, err := embedded.ReadFile("assets/service-worker.js")
	if err != nil {
		return nil, err
	}
	all := sha256.New()
	names := []string{"./"}
	slices.SortFunc(files, func(a, b File) int { return cmp.Compare(a.Name, b.Name) })
	for _, f := range files {
		fmt.Fprintln(all, f.Name, len(f.Data))
		all.Write(f.Data)
		names = append(names, f.Name)
	}
	list, err := json.Marshal(names)
	script := fmt.Sprintf("const kept = %q, files = %s;\n%s", hex.EncodeToString(all.Sum(nil)[:8]), list, work)
	return append(files, File{"service-worker.js", []byte(script)}), err
}

// fileName is what the page of an exercise is called: plain letters, whatever the exercise is called, and none of those there are.
func fileName(name string, there []File) string {
	plain := strings.Trim(strings.Map(func(r rune) rune {
		if r < unicode.MaxASCII && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			return unicode.ToLower(r)
		}
		return '-'
	}, name), "-")
	for strings.Contains(plain, "--") {
		plain = strings.ReplaceAll(plain, "--", "-")
	}
	plain = cmp.Or(plain, "exercise")
	for n := 1; ; n++ {
		file := plain + ".html"
		if n > 1 {
			file = plain + "-" + strconv.Itoa(n) + ".html"
		}
		if file != indexName && !slices.ContainsFunc(there, func(f File) bool { return f.Name == file }) {
			return file
		}
	}
}

// iconSize is the width of the icon as it is drawn.
const iconSize = 512

// icon is a flower on paper, with room round it for phones that cut icons round.
func icon() *draw.Scene {
	s := &draw.Scene{Width: iconSize, Height: iconSize, Title: "A flower", Background: draw.Paper}
	const width = .4 * iconSize
	sheet.Strip(s, (iconSize-width)/2, (iconSize-1.52*width)/2, width, sheet.List([]tile.Kind{tile.Flower}))
	return s
}
