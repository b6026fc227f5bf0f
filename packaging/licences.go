package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	cdx "github.com/CycloneDX/cyclonedx-go"
)

// dependency is a module that is in the program.
type dependency struct{ Path, Version, Dir string }

// modules are those that are in the program or in its engine for readers' pages, on any system.
func (r *release) modules() ([]dependency, error) {
	seen := map[string]dependency{}
	for _, at := range []struct{ system, processor, of string }{{"linux", "amd64", "./cmd/secondpass"}, {"windows", "amd64", "./cmd/secondpass"}, {"darwin", "arm64", "./cmd/secondpass"}, {"js", "wasm", "./face/reader/engine"}} {
		data, err := r.run([]string{"GOOS=" + at.system, "GOARCH=" + at.processor, "CGO_ENABLED=0"}, "go", "list", "-deps", "-tags=engine", "-json=Module", at.of)
		if err != nil {
			return nil, err
		}
		for in := json.NewDecoder(bytes.NewReader(data)); ; {
			var p struct {
				Module *struct {
					dependency
					Main bool
				}
			}
			if err := in.Decode(&p); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				return nil, err
			}
			if p.Module != nil && !p.Module.Main {
				seen[p.Module.Path] = p.Module.dependency
			}
		}
	}
	var all []dependency
	for _, d := range seen {
		all = append(all, d)
	}
	slices.SortFunc(all, func(a, b dependency) int { return strings.Compare(a.Path, b.Path) })
	return all, nil
}

// licence is what files with the terms of a module are called.
var licence = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|patents)([.-].*)?$`)

// licences are the terms of all that is in the program, by module; one without any is an error.
func (r *release) licences(modules []dependency) ([]entry, error) {
	root, err := r.run(nil, "go", "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	of := append([]dependency{{Path: "go", Dir: strings.TrimSpace(string(root))}}, modules...)
	var all []entry
	for _, d := range of {
		names, err := os.ReadDir(d.Dir)
		if err != nil {
			return nil, err
		}
		found := false
		for _, f := range names {
			if f.IsDir() || !licence.MatchString(f.Name()) || strings.HasSuffix(f.Name(), ".go") {
				continue
			}
			data, err := os.ReadFile(filepath.Join(d.Dir, f.Name()))
			if err != nil {
				return nil, err
			}
			found = true
			all = append(all, entry{name: "licences/" + strings.ReplaceAll(d.Path, "/", "_") + "/" + f.Name(), data: data})
		}
		if !found {
			return nil, fmt.Errorf("%s has no file with its licence", d.Path)
		}
	}
	// Fonts and scripts that lie in the source, with their terms beside them.
	for _, pattern := range []string{"face/web/page/assets/LICENSE-*.txt", "face/web/page/assets/fonts/OFL-*.txt"} {
		files, err := filepath.Glob(filepath.Join(r.root, pattern))
		if err != nil || len(files) == 0 {
			return nil, fmt.Errorf("%s: no licence there (%v)", pattern, err)
		}
		for _, file := range files {
			data, err := os.ReadFile(file)
			if err != nil {
				return nil, err
			}
			all = append(all, entry{name: "licences/assets/" + filepath.Base(file), data: data})
		}
	}
	return all, nil
}

// contents is the list of what is in the program, as CycloneDX has it.
func (r *release) contents(modules []dependency) ([]byte, error) {
	bom := cdx.NewBOM()
	bom.Metadata = &cdx.Metadata{Timestamp: r.at.Format("2006-01-02T15:04:05Z"), Component: &cdx.Component{BOMRef: "secondpass", Type: cdx.ComponentTypeApplication, Name: "secondpass", Version: r.version}}
	var components []cdx.Component
	for _, d := range modules {
		url := "pkg:golang/" + d.Path + "@" + d.Version
		components = append(components, cdx.Component{BOMRef: url, Type: cdx.ComponentTypeLibrary, Name: d.Path, Version: d.Version, PackageURL: url})
	}
	bom.Components = &components
	var out bytes.Buffer
	err := cdx.NewBOMEncoder(&out, cdx.BOMFileFormatJSON).SetPretty(true).Encode(bom)
	return out.Bytes(), err
}
