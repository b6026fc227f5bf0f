// Package sheet draws what an exercise is made of, with package draw: tiles, racks, passes, whole exercise sheets and
// comparisons. Sprite gives the tile drawings to web pages, from the same data.
//
// Rack, Pass, Routes and Comparison are pictures for people, in a natural size or in that of a slide or
// a square; set Background to None for a transparent one. RoutesDocument is a sheet for paper, AddStrip adds tiles to
// any document.
//
// The package formats what it is given and computes nothing but where things stand.
package sheet
