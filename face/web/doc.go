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
// take away; record.go an exercise that counts for a student; help.go the help. Packages practice, experiments, cards and
// liveclass are areas of their own.
package web
