// Package onefile writes an exercise as one HTML file that readers walk wherever they are: its content, the workbook's style sheets,
// drawings and script, and the engine, package reader built for the browser. The file carries its own content security policy and
// asks nothing of any server.
//
// A released program carries the engine (build tag engine, see carried.go); from a clone the Go tool builds it.
package onefile
