package club

import (
	"slices"
	"strings"
	"testing"
)

// The whole of who may do what: for each deed the roles that may do it to what is their own, and to what is somebody else's.
func TestMay(t *testing.T) {
	everybody := []Role{Owner, Teacher, Assistant, Student, Visitor}
	table := map[Deed]struct{ own, foreign []Role }{
		Enter:    {everybody, everybody},
		Practise: {own: []Role{Student}},
		Look:     {own: []Role{Owner, Teacher, Assistant}},
		Change:   {own: []Role{Owner, Teacher, Assistant}},
		Erase:    {own: []Role{Owner, Teacher}},
		Account:  {own: []Role{Owner, Teacher, Assistant}},
		Staff:    {own: []Role{Owner, Teacher}},
		Govern:   {own: []Role{Owner}, foreign: []Role{Owner}},
		"other":  {},
	}
	for deed, want := range table {
		for _, role := range append(everybody, "somebody else") {
			if own, foreign := May(role, deed, true), May(role, deed, false); deed != Enter && (own != slices.Contains(want.own, role) || foreign != slices.Contains(want.foreign, role)) {
				t.Errorf("%q, %s: own %v, foreign %v", role, deed, own, foreign)
			}
		}
	}
}

func TestCodes(t *testing.T) {
	seen := map[string]bool{}
	codes, hashes := newCodes()
	for i, code := range codes {
		if len(code) != 19 || seen[code] {
			t.Errorf("%q: four groups of four, each once", code)
		}
		seen[code] = true
		for _, typed := range []string{code, " " + code + " ", "  " + code[:4] + code[5:], strings.ToLower(code), strings.NewReplacer("O", "0", "I", "1").Replace(code)} {
			if codeHash(typed) != hashes[i] {
				t.Errorf("%q is not taken for %q", typed, code)
			}
		}
	}
	if len(codes) != CodesEach {
		t.Errorf("%d codes", len(codes))
	}
}
