// Package web is the workbook in the browser: pages rendered on the server, and live figures that tighten while
// somebody watches.
//
// A [Server] answers requests; it keeps nothing of an exercise in memory but simulations that run. Each change
// is one POST that loads the exercise, acts, and saves it before it answers, so that a killed server loses nothing.
// Simulations are jobs (package live): started by a POST, watched as server-sent events, stopped when nobody watches.
//
// Where things are: package page has what all pages share; server.go wires; package view draws tiles; start.go and exercises.go the first
// page and the list; step.go and decide.go the decision that is due; sheet.go the routes side by side; advice.go, outlook.go and
// review.go what is simulated; play.go the game after the passing; pictures.go files to
// take away; help.go the help; drills.go the drills of a card and drill_work.go what is done with them; practice.go,
// try.go and reading.go a student at work, record.go an exercise that counts, students.go what is kept of students;
// packages experiments and cards are areas of their own.
package web
