package schema

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"reflect"
	"strings"
)

// comments are those of types and their fields, by package, as sources have them.
type comments struct {
	module, folder string
	packages       map[string]map[string]string
}

// of is the comment of a field of a type, or with "" of the type itself.
func (c *comments) of(t reflect.Type, field string) string {
	name, _, _ := strings.Cut(t.Name(), "[")
	if name == "" || !strings.HasPrefix(t.PkgPath(), c.module) {
		return ""
	}
	read, ok := c.packages[t.PkgPath()]
	if !ok {
		read = readComments(filepath.Join(c.folder, strings.TrimPrefix(t.PkgPath(), c.module)))
		c.packages[t.PkgPath()] = read
	}
	return read[name+"."+field]
}

// readComments reads those of all types of a package; what cannot be read has none.
func readComments(folder string) map[string]string {
	found := map[string]string{}
	files, _ := os.ReadDir(folder)
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), filepath.Join(folder, f.Name()), nil, parser.ParseComments)
		if err != nil {
			continue
		}
		for _, d := range file.Decls {
			decl, ok := d.(*ast.GenDecl)
			if !ok || decl.Tok != token.TYPE {
				continue
			}
			for _, s := range decl.Specs {
				spec := s.(*ast.TypeSpec)
				found[spec.Name.Name+"."] = text(spec.Doc, decl.Doc)
				if form, ok := spec.Type.(*ast.StructType); ok {
					readFields(found, spec.Name.Name, form)
				}
			}
		}
	}
	return found
}

func readFields(found map[string]string, name string, form *ast.StructType) {
	for _, field := range form.Fields.List {
		for _, n := range field.Names {
			found[name+"."+n.Name] = text(field.Doc, field.Comment)
		}
	}
}

// text is the first of some comments that is there, in one line.
func text(groups ...*ast.CommentGroup) string {
	for _, g := range groups {
		if g != nil {
			return strings.Join(strings.Fields(g.Text()), " ")
		}
	}
	return ""
}
