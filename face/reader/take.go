package reader

import (
	"fmt"
	"net/url"
	"strconv"

	"secondpass/exercise"
	"secondpass/paper/draw"
	"secondpass/paper/sheet"
	"secondpass/rules/charleston"
	"secondpass/teach/reply"
)

// with puts a template behind what is shown.
func (b *Book) with(html, name string, data any) (string, error) {
	more, err := b.fill(name, data)
	return html + more, err
}

// withCode puts the code of a route of the reader's behind what is shown, with which the teacher can count it. A route without a
// decision has nothing to tell.
func (b *Book) withCode(html string, r *exercise.Route) (string, error) {
	if len(r.Decisions) <= len(b.start.Routes[0].Decisions) || b.isTeachers(r) {
		return html, nil
	}
	code, err := reply.Code(b.x, r)
	if err != nil {
		return html, err
	}
	t, err := b.x.Replay(r)
	if err != nil {
		return html, err
	}
	return b.with(html, "reply-code", struct {
		Number      int64
		Badge, Code string
		Over        bool
	}{b.number, r.ID, code, t.Now.Phase() == charleston.Over})
}

// svg is a drawing to take away.
func svg(name string, scene *draw.Scene) (Answer, error) {
	return Answer{OK: true, File: &File{Name: name + ".svg", Type: "image/svg+xml", Text: string(scene.SVG(&draw.Light))}}, nil
}

// sheetPicture is the routes asked for, side by side.
func (b *Book) sheetPicture(query url.Values) (Answer, error) {
	shown, err := b.shown(query.Get("routes"))
	if err != nil {
		return Answer{}, err
	}
	columns := make([]exercise.Column, len(shown))
	for i, n := range shown {
		if columns[i], err = b.x.Column(b.x.Routes[n]); err != nil {
			return Answer{}, err
		}
	}
	return svg("sheet", sheet.Routes(b.x, columns, nil, sheet.Natural))
}

// stepPicture is one step of a route.
func (b *Book) stepPicture(r *exercise.Route, text string) (Answer, error) {
	column, err := b.x.Column(r)
	if err != nil {
		return Answer{}, err
	}
	at, err := strconv.Atoi(text)
	if err != nil || at < 0 || at >= len(column.Trail.Snapshots) {
		return Answer{}, fmt.Errorf("route %s has no step number %q", r.Name, text)
	}
	return svg(fmt.Sprintf("step %d", at+1), sheet.Pass(&column, at, sheet.Natural))
}
