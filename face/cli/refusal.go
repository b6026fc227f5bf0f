package cli

import (
	"cmp"
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/alecthomas/kong"
)

// refused says in our words why a command line cannot be read, and what would be right. The parser has one kind of error for
// all, so that its sentences tell which it is.
func refused(err error) error {
	var parse *kong.ParseError
	if !errors.As(err, &parse) {
		return err
	}
	node := parse.Context.Selected()
	if node == nil {
		node = parse.Context.Model.Node
	}
	for _, r := range refusals {
		if m := regexp.MustCompile(r.said).FindStringSubmatch(err.Error()); m != nil {
			return errors.New(r.ours(node, m))
		}
	}
	return fmt.Errorf("the command line cannot be read; %s --help shows what is right", called(node))
}

// refusals are what the parser says, as regular expressions, and what we say instead.
var refusals = []struct {
	said string
	ours func(n *kong.Node, m []string) string
}{
	{`^unknown flag (.+?)(?:, did you mean (?:one of )?(.+)\?)?$`, func(n *kong.Node, m []string) string {
		text := fmt.Sprintf("%s has no flag %s; ", cmp.Or(path(n), program), m[1])
		if strings.Contains(m[2], "--") {
			return text + "perhaps " + strings.ReplaceAll(strings.ReplaceAll(m[2], `"`, ""), ",", " or") + " is right"
		}
		return text + called(n) + " --help lists those it has"
	}},
	{`^unexpected argument (.+?)(?:, did you mean (?:one of )?(.+)\?)?$`, func(n *kong.Node, m []string) string {
		if names := commandsOf(n); len(names) > 0 {
			return fmt.Sprintf("%s has no command %s; right is one of %s", cmp.Or(path(n), program), m[1], strings.Join(names, ", "))
		}
		return fmt.Sprintf("%s is one argument too many; right is: %s", m[1], usage(n))
	}},
	{`^unexpected (?:flag argument|token) "?(.+?)"?$`, func(n *kong.Node, m []string) string {
		return fmt.Sprintf("%s is one argument too many; right is: %s", m[1], usage(n))
	}},
	{`^missing flags: (.+)$`, func(n *kong.Node, m []string) string {
		return fmt.Sprintf("%s is missing; right is: %s", strings.ReplaceAll(m[1], "=", " "), usage(n))
	}},
	{`^(?:expected|missing positional arguments) "?(<.+)$`, func(n *kong.Node, m []string) string {
		return fmt.Sprintf("%s is missing; right is: %s", strings.ToUpper(strings.TrimSpace(marks().ReplaceAllString(m[1], ""))), usage(n))
	}},
	{`^(\S+?)(?:=\S+)?(?:, (\S+?)(?:=\S+)?)? must be one of (.+) but got "(.*)"$`, func(n *kong.Node, m []string) string {
		choices := strings.FieldsFunc(m[3], func(r rune) bool { return r == '"' || r == ',' })
		return fmt.Sprintf("%s %q: one of %s is right", nameOf(m[1], m[2]), m[4], strings.Join(choices, ", "))
	}},
	{`(?s)^(?:-\w, )?\[?(--[\w-]+|<[\w-]+>)[^:]*: (.+)$`, badValue},
}

// marks are what the parser puts around the names of arguments.
var marks = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`[<>."\[\]]`) })

// gotten is the value that the parser quotes.
var gotten = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`(?s)got "(.*?)"(?: \((.*?)\))?(?:[;:]|$)`) })

// badValue says what value a flag or an argument takes.
func badValue(n *kong.Node, m []string) string {
	name, right := nameOf(m[1]), "its help says what is right"
	if value := valueOf(n, m[1]); value != nil {
		right = kindOf(value)
	}
	got := gotten().FindStringSubmatch(m[2])
	switch {
	case got == nil || got[1] == "" || got[1] == "EOL":
		return fmt.Sprintf("%s has no value; %s", name, right)
	}
	return fmt.Sprintf("%s %q: %s", name, got[1], right)
}

// kindOf says what sort of value is right.
func kindOf(v *kong.Value) string {
	t := v.Target.Type()
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	switch {
	case t == reflect.TypeFor[time.Duration]():
		return "a time is right, as in 15s or 2m"
	case t.Kind() == reflect.Bool:
		return "the flag alone is right, or true or false behind a ="
	case t.Kind() >= reflect.Int && t.Kind() <= reflect.Int64:
		return "a whole number is right"
	case t.Kind() >= reflect.Uint && t.Kind() <= reflect.Uint64:
		return "a whole number from 0 up is right"
	case t.Kind() == reflect.Float32 || t.Kind() == reflect.Float64:
		return "a number is right, as in 0.005"
	}
	if v.Tag != nil && v.Tag.PlaceHolder != "" {
		return v.Tag.PlaceHolder + " is right"
	}
	return "a text is right"
}

// valueOf is the flag or argument of a command by the name that the parser gives it.
func valueOf(n *kong.Node, name string) *kong.Value {
	for _, group := range n.AllFlags(false) {
		for _, f := range group {
			if "--"+f.Name == name {
				return f.Value
			}
		}
	}
	for _, p := range n.Positional {
		if "<"+p.Name+">" == name {
			return p
		}
	}
	return nil
}

// nameOf is a flag by its long name, an argument as usage writes it.
func nameOf(names ...string) string {
	name := names[0]
	for _, other := range names {
		if strings.HasPrefix(other, "--") {
			name = other
		}
	}
	if arg, ok := strings.CutPrefix(name, "<"); ok {
		return strings.ToUpper(strings.TrimSuffix(arg, ">"))
	}
	return name
}

// called is how a person types a command.
func called(n *kong.Node) string {
	return strings.TrimSpace(program + " " + strings.TrimPrefix(path(n), program))
}

// path is the names of a command and of those above it.
func path(n *kong.Node) string {
	if n.Parent == nil {
		return ""
	}
	return strings.TrimSpace(path(n.Parent) + " " + n.Name)
}

// usage is how a command is written.
func usage(n *kong.Node) string {
	text := called(n)
	for _, p := range n.Positional {
		arg := strings.ToUpper(p.Name)
		if !p.Required {
			arg = "[" + arg + "]"
		}
		text += " " + arg
	}
	for _, group := range n.AllFlags(false) {
		for _, f := range group {
			if f.Required && f.Short != 0 {
				text += fmt.Sprintf(" -%c %s", f.Short, strings.Trim(f.FormatPlaceHolder(), `"`))
			} else if f.Required {
				text += fmt.Sprintf(" --%s %s", f.Name, strings.Trim(f.FormatPlaceHolder(), `"`))
			}
		}
	}
	return text
}

// commandsOf is the names of the commands below one.
func commandsOf(n *kong.Node) []string {
	var names []string
	for _, c := range n.Children {
		if !c.Hidden {
			names = append(names, c.Name)
		}
	}
	return names
}

// given looks at what a command line gives: which flags, each at most once, and nothing empty, as where a variable of the
// shell is not set.
func given(parsed *kong.Context) (flags []string, err error) {
	for _, p := range parsed.Path {
		switch {
		case p.Resolved: // by the settings of the user, which fill in what is not given
		case p.Flag != nil:
			many := p.Flag.Target.Kind() == reflect.Slice
			if slices.Contains(flags, p.Flag.Name) && !many {
				return nil, fmt.Errorf("--%s is given twice; once is right", p.Flag.Name)
			}
			flags = append(flags, p.Flag.Name)
			if blank(p.Flag.Value) {
				return nil, fmt.Errorf("--%s is empty; %s, or leave the flag out", p.Flag.Name, kindOf(p.Flag.Value))
			}
		case p.Positional != nil && blank(p.Positional):
			return nil, fmt.Errorf("%s is empty; right is: %s", strings.ToUpper(p.Positional.Name), usage(parsed.Selected()))
		}
	}
	return flags, nil
}

// blank says that a text was given and holds nothing.
func blank(v *kong.Value) bool {
	switch t := v.Target; t.Kind() {
	case reflect.String:
		return strings.TrimSpace(t.String()) == ""
	case reflect.Slice:
		for i := range t.Len() {
			if t.Index(i).Kind() == reflect.String && strings.TrimSpace(t.Index(i).String()) == "" {
				return true
			}
		}
		return t.Len() == 0
	}
	return false
}
