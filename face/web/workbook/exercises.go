package workbook

import (
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"secondpass/deal"
	"secondpass/desk"
	"secondpass/engine/fit"
	"secondpass/engine/prepared"
	"secondpass/exercise"
	"secondpass/face/web/address"
	"secondpass/face/web/page"
	"secondpass/face/web/view"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/store"
)

func (s *Area) importExercise(w http.ResponseWriter, r *http.Request) error {
	f, head, err := r.FormFile("file")
	if err != nil {
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			return page.Errorf(http.StatusRequestEntityTooLarge, "The file is too large: %d bytes are the most.", big.Limit)
		}
		return page.Refused("No file came. Choose an exercise file first.")
	}
	defer f.Close()
	e, err := exercise.Read(f)
	if err != nil {
		return page.Refused("%s is no exercise file that can be used: %s.", head.Filename, err)
	}
	x, err := s.store.AddFree(e)
	if err != nil {
		return err
	}
	return page.SeeOther(w, r, view.SheetPath(x.ID))
}

// sampleSeed deals the exercise that is ready at the first start.
const sampleSeed = 4711

// sampleExercise makes an exercise with two finished routes, to look at.
func (s *Area) sampleExercise(w http.ResponseWriter, r *http.Request) error {
	x, err := s.addSample()
	if err != nil {
		return err
	}
	return page.SeeOther(w, r, view.SheetPath(x.ID))
}

func (s *Area) addSample() (*store.Saved, error) {
	d := desk.Deal{Card: card.Practice(), House: house.Usual, Seat: charleston.South, Condition: deal.Condition{TwoPlans: true}, Seed: sampleSeed}
	dealt, err := d.Draw()
	if err != nil {
		return nil, err
	}
	e, err := dealt.Begin("Sample: one deal, walked twice", exercise.MockPasses, "")
	if err != nil {
		return nil, err
	}
	// The first pass is the same for both; then one route steers for the nearest section, the other for the next one.
	if err := e.WalkOn(exercise.FirstRoute, 1); err != nil {
		return nil, err
	}
	other, err := e.Fork(exercise.FirstRoute, 1, "")
	if err != nil {
		return nil, err
	}
	aims := nearestSections(prepared.Of(d.Card).Index(), dealt.Rack)
	for i, name := range []string{exercise.FirstRoute, other.Name} {
		if err := e.SetAim(name, aims[i:i+1]); err != nil {
			return nil, err
		}
		if err := e.WalkOn(name, 0); err != nil {
			return nil, err
		}
	}
	return s.store.AddFree(e)
}

// nearestSections is the sections of the card in the order in which a rack is near to them.
func nearestSections(x *fit.Index, rack tile.Rack) []string {
	var names []string
	for _, near := range x.Hands(rack) {
		if name := x.Card().Sections[near.OnCard().Section]; !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// FirstStart puts the sample exercise into a store that has never held one.
func (s *Area) FirstStart() error {
	for _, deleted := range []bool{false, true} {
		if entries, err := s.store.List(deleted); err != nil || len(entries) > 0 {
			return err
		}
	}
	_, err := s.addSample()
	return err
}

func (s *Area) exportExercise(w http.ResponseWriter, r *http.Request) error {
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Content-Disposition", page.Attachment(x.Exercise.Name, ".json"))
	return x.Write(w)
}

func (s *Area) renameExercise(w http.ResponseWriter, r *http.Request) error {
	if err := page.Form(r); err != nil {
		return err
	}
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	name := strings.TrimSpace(r.PostForm.Get("name"))
	if err := exercise.CheckName(name); err != nil {
		return page.Refused("The exercise keeps its name: %s.", err)
	}
	x.Exercise.Name = name
	if err := s.store.Save(x); err != nil {
		return err
	}
	return page.Back(w, r, view.SheetPath(x.ID))
}

func (s *Area) duplicateExercise(w http.ResponseWriter, r *http.Request) error {
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	copied, err := s.store.AddFree(x.Exercise)
	if err != nil {
		return err
	}
	return page.SeeOther(w, r, view.SheetPath(copied.ID))
}

func (s *Area) deleteExercise(w http.ResponseWriter, r *http.Request) error {
	x, err := address.Exercise(s.store, r)
	if err != nil {
		return err
	}
	if _, err := s.store.Delete(strconv.Itoa(int(x.ID))); err != nil {
		return err
	}
	return page.SeeOther(w, r, "/exercises?deleted="+strconv.Itoa(int(x.ID)))
}

func (s *Area) restoreExercise(w http.ResponseWriter, r *http.Request) error {
	e, err := s.store.Restore(r.PathValue("id"))
	if err != nil {
		return err
	}
	return page.SeeOther(w, r, view.SheetPath(e.ID))
}

// numberedOf is a kept exercise as pages show it.
func numberedOf(x *store.Saved) view.Exercise { return view.Exercise{ID: x.ID, Exercise: x.Exercise} }
