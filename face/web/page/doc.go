// Package page is what every page of the workbook needs: the layout and the templates of an area, errors as pages, forms,
// guards against foreign pages, streams of server-sent events, style sheets and scripts.
//
// It knows no exercise and no store: what errors of other packages mean to a reader comes in as a table ([Known]). Only
// the areas of face/web, and what wires them together, call it.
package page
