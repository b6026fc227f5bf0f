package exercises

import (
	"reflect"

	"secondpass/exercise"
	"secondpass/exercise/comparison"
	"secondpass/face/cli/command"
	"secondpass/paper/findings"
)

func (*Fit) Answers() command.Answers     { return command.EachLine(fitResult{}, command.Refusal{}) }
func (*Deal) Answers() command.Answers    { return command.One(dealJSON{}) }
func (*Compare) Answers() command.Answers { return command.One(compared{}) }

func (*exerciseListCmd) Answers() command.Answers    { return command.One([]command.ListedLine{}) }
func (*exerciseShowCmd) Answers() command.Answers    { return command.One(compared{}) }
func (*exerciseRenameCmd) Answers() command.Answers  { return command.One(command.Made{}) }
func (*exerciseDeleteCmd) Answers() command.Answers  { return command.One(command.Made{}) }
func (*exerciseRestoreCmd) Answers() command.Answers { return command.One(command.Made{}) }
func (*exerciseExportCmd) Answers() command.Answers {
	return command.One(exercise.Exercise{}, command.Made{})
}
func (*exerciseImportCmd) Answers() command.Answers { return command.One(command.Made{}) }
func (*exerciseCodeCmd) Answers() command.Answers   { return command.One(codeJSON{}) }
func (*ReaderPage) Answers() command.Answers        { return command.One(command.Made{}) }
func (*Replies) Answers() command.Answers           { return command.One(findings.RepliesAnswer{}) }

// standingFields are the fields of how a rack stands, as standingOf writes them.
func standingFields() []reflect.StructField {
	fields := []reflect.StructField{{Name: "Rack", Type: reflect.TypeFor[string](), Tag: `json:"rack"`}}
	for _, m := range comparison.Measures {
		f := reflect.StructField{Name: "F" + m.Key, Type: reflect.TypeFor[string](), Tag: reflect.StructTag(`json:"` + m.Key + `,omitempty" about:"` + m.Label + ": " + m.Note + `."`)}
		switch {
		case m.Groups && m.Many:
			f.Type = reflect.TypeFor[[]nearest]()
		case m.Groups:
			f.Type = reflect.TypeFor[nearest]()
		case m.Unit != "":
			f.Type = reflect.TypeFor[int]()
		case m.Verdict:
			f.Type = reflect.TypeFor[bool]()
		}
		fields = append(fields, f)
	}
	return fields
}

// JSONForm is a value with the fields of how a rack stands.
func (standing) JSONForm() any { return reflect.Zero(reflect.StructOf(standingFields())).Interface() }

// decided is the fields of a decision, as stepJSON writes them before how the rack stands after it.
type decided struct {
	Step      string `json:"step" about:"Where it was due."`
	Passed    string `json:"passed,omitempty" about:"The tiles that were passed or given."`
	Came      string `json:"came,omitempty" about:"The tiles that came."`
	Blind     int    `json:"blind,omitempty" about:"How many incoming tiles were handed on unseen."`
	Stop      bool   `json:"stop,omitempty" about:"The vote after the first left."`
	Offer     int    `json:"offer,omitempty" about:"The number named at the courtesy."`
	Exchanged int    `json:"exchanged,omitempty" about:"How many tiles were exchanged."`
}

// JSONForm is a value with the fields of a decision and of how the rack stands after it.
func (stepped) JSONForm() any {
	return reflect.Zero(reflect.StructOf(append(reflect.VisibleFields(reflect.TypeFor[decided]()), standingFields()...))).Interface()
}
