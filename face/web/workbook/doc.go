// Package workbook is the pages of exercises: the first page and the list, the decision that is due, the routes side by
// side, what is simulated of them, and what is taken away or recorded for a student.
//
// It keeps nothing of an exercise in memory but simulations that run: each change is one POST that loads the exercise, acts,
// and saves it before it answers. The game after the passing is drawn by another area, which face/web hands in. Only
// face/web makes an [Area] and routes to it.
package workbook
