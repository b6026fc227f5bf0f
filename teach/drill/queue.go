package drill

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Queue lists the drills that a student is to try now, by their places in drills: those that are due, the longest
// overdue first, and then, if news is above 0, so many that the student has not tried, those closest to the student's
// rating first. memory is by the drills' numbers. Drills of which told says no are left out, see [Drill.Told]; it is asked only of
// those that would be in the list.
func Queue(student Rating, drills []*Drill, memory map[int64]Memory, now time.Time, news int, told func(*Drill) bool) []int {
	var due, fresh []int
	for i, d := range drills {
		m, tried := memory[d.ID]
		switch {
		case !tried:
			fresh = append(fresh, i)
		case !m.Due.After(now):
			due = append(due, i)
		}
	}
	slices.SortStableFunc(due, func(a, b int) int {
		return memory[drills[a].ID].Due.Compare(memory[drills[b].ID].Due)
	})
	distance := func(i int) float64 { return math.Abs(drills[i].Rating.Value - student.Value) }
	slices.SortStableFunc(fresh, func(a, b int) int { return cmp.Compare(distance(a), distance(b)) })
	due = slices.DeleteFunc(due, func(i int) bool { return !told(drills[i]) })
	for _, i := range fresh {
		if news <= 0 {
			break
		}
		if told(drills[i]) {
			due, news = append(due, i), news-1
		}
	}
	return due
}
