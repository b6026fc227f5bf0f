// Package web is the workbook in the browser: pages rendered on the server, and live figures that tighten while
// somebody watches.
//
// A [Server] wires the areas together and answers requests; the help alone is a page of its own. It keeps nothing of an
// exercise in memory but simulations that run. Each change is one POST that loads, acts, and saves before it answers, so
// that a killed server loses nothing. Simulations are jobs (package work/queue): started by a POST, watched as server-sent
// events, stopped when nobody watches.
//
// The areas, none of which knows another: workbook has the exercises, play the game after the passing, practice the
// drills, students and lessons, experiments and cards what their names say, liveclass a class with phones. Under them
// stand page, which has what all pages share, view, which draws what is shown without request or store, address, which
// finds what an address names. The tests here ask the whole server, most of them through a browser.
package web
