package workbook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"net/http"

	"secondpass/exercise"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/paper/draw"
	"secondpass/paper/sheet"
	"secondpass/paper/wording"
	"secondpass/store"
)

// picture is one picture of an exercise.
type picture struct {
	Name string
	// Path is its address, to which what is asked of it is added; Look the page that it shows, "" for the sheet.
	Path, Look string
	// Route is the route that it is of, nil for all of them.
	Route *view.RouteHead
	draw  func(sheet.Shape) *draw.Scene
}

// Size is how large it is without a size of its own, in pixels.
func (p *picture) Size() string {
	scene := p.draw(sheet.Natural)
	width := page.PictureWidth(scene)
	return fmt.Sprintf("%d × %d", width, scene.PNGHeight(width))
}

// pictureList is all pictures of some routes: the sheet, the comparison, and of each route the strip and the steps.
func (s *Area) pictureList(x *store.Saved, picked []int, columns []exercise.Column) []picture {
	figures := s.pictureFigures(x, picked)
	query := ""
	for i, n := range picked {
		query += map[bool]string{true: ","}[i > 0] + x.Routes[n].ID
	}
	all := []picture{
		{Name: "The sheet", Path: fmt.Sprintf("/exercises/%d/picture?routes=%s", x.ID, query), draw: func(shape sheet.Shape) *draw.Scene { return sheet.Routes(x.Exercise, columns, figures, shape) }},
		{Name: "The comparison", Path: fmt.Sprintf("/exercises/%d/picture?of=comparison&routes=%s", x.ID, query), draw: func(shape sheet.Shape) *draw.Scene {
			return sheet.Comparison(x.Exercise.Name, columns, figures, shape)
		}},
	}
	looks := view.ClassesOf(x.Exercise, picked)
	for i, n := range picked {
		head, column := view.HeadOf(x.ID, x.Exercise, n), &columns[i]
		head.Class = looks[i]
		all = append(all, picture{Name: "Strip of route " + head.Badge, Path: head.Path + "/picture?of=strip", Route: &head,
			draw: func(shape sheet.Shape) *draw.Scene { return sheet.RouteStrip(x.Exercise, column, shape) }})
		for at, snap := range column.Trail.Snapshots {
			if snap.Decision.Own.Len()+snap.Decision.Came.Len() > 0 {
				all = append(all, picture{Name: fmt.Sprintf("%d %s, route %s", snap.Decision.Step, wording.Capital(snap.Decision.Step.String()), head.Badge), Path: fmt.Sprintf("%s/picture?at=%d", head.Path, at),
					Look: view.MomentPath(x.ID, head.Badge, at), Route: &head, draw: func(shape sheet.Shape) *draw.Scene { return sheet.Pass(column, at, shape) }})
			}
		}
	}
	return all
}

func (s *Area) showPictures(w http.ResponseWriter, r *http.Request) error {
	x, picked, columns, err := s.picked(r)
	if err != nil {
		return err
	}
	s.Render(w, http.StatusOK, "pictures", page.Page{Title: "Pictures of " + x.Exercise.Name, Section: "Exercises", Help: "pictures", Data: struct {
		ID                     int64
		Name, Query, LeavesOut string
		Pictures               []picture
	}{x.ID, x.Exercise.Name, r.FormValue("routes"), sheet.LeavesOut(len(columns), sheet.Widescreen), s.pictureList(x, picked, columns)}})
	return nil
}

// allPictures is every picture of the routes in one archive: the sheet and the comparison also as slides, the strips transparent, to lie over a
// video.
func (s *Area) allPictures(w http.ResponseWriter, r *http.Request) error {
	x, picked, columns, err := s.picked(r)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for i, p := range s.pictureList(x, picked, columns) {
		for _, form := range []struct {
			ending string
			shape  sheet.Shape
		}{{"", sheet.Natural}, {" slide", sheet.Widescreen}} {
			if p.Route != nil && form.shape != sheet.Natural {
				continue
			}
			scene := p.draw(form.shape)
			if p.Look == "" && p.Route != nil && form.shape == sheet.Natural {
				scene.Background = draw.None
			}
			png, err := scene.PNG(&draw.Light, page.PictureWidth(scene))
			if err != nil {
				return err
			}
			// PNG is compressed already.
			file, err := out.CreateHeader(&zip.FileHeader{Name: fmt.Sprintf("%02d %s%s.png", i+1, p.Name, form.ending), Method: zip.Store})
			if err == nil {
				_, err = file.Write(png)
			}
			if err != nil {
				return err
			}
		}
	}
	if err := out.Close(); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", page.Attachment(x.Exercise.Name+" pictures", ".zip"))
	_, err = w.Write(b.Bytes())
	return err
}
