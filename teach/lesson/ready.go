package lesson

import (
	"embed"
	"fmt"
	"strings"

	"secondpass/teach/drill"
)

// The drills of the ready-made lessons as drill export writes them, and their texts: a title, a word to the students, and the page for the
// teacher, separated by lines of three dashes. docs/lessons.md says by which searches the drills were found.
//
//go:embed ready
var readyFiles embed.FS

// ReadyMade is a lesson that comes with the program.
type ReadyMade struct{ Name, Title string }

// readyNames are the ready-made lessons in the order of a course.
var readyNames = []string{"opening", "plans", "discards", "stopping", "blind", "courtesy"}

// Ready lists the lessons that come with the program, in the order of a course.
func Ready() []ReadyMade {
	var list []ReadyMade
	for _, name := range readyNames {
		title, _, _ := readyText(name)
		list = append(list, ReadyMade{name, title})
	}
	return list
}

// ReadReady is a ready-made lesson by its name: drills on the practice card, with a page for the teacher. Each call makes another one,
// which is the caller's to change.
func ReadReady(name string) (*Lesson, error) {
	for _, known := range readyNames {
		if name == known {
			return readReady(name)
		}
	}
	return nil, fmt.Errorf("there is no ready lesson %q; there are %s", name, strings.Join(readyNames, ", "))
}

func readReady(name string) (*Lesson, error) {
	title, note, teacher := readyText(name)
	l := &Lesson{Title: title, Note: note, Teacher: teacher}
	f, err := readyFiles.Open("ready/" + name + ".json")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	c, drills, err := drill.ReadFile(f)
	if err != nil {
		return nil, err
	}
	for _, d := range drills {
		if err := l.AddDrill(d, c, ""); err != nil {
			return nil, err
		}
	}
	return l, l.Check()
}

func readyText(name string) (title, note, teacher string) {
	text, err := readyFiles.ReadFile("ready/" + name + ".txt")
	if err != nil {
		panic(err) // the files are embedded
	}
	parts := strings.SplitN(string(text), "\n---\n", 3)
	if len(parts) < 3 {
		return strings.TrimSpace(parts[0]), "", ""
	}
	return strings.TrimSpace(parts[0]), strings.TrimSpace(parts[1]), strings.TrimSpace(parts[2])
}
