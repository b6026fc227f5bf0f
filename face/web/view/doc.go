// Package view is what pages show, made of what was computed: racks and hands as tiles, figures with their intervals as
// bars, and the templates that draw them.
//
// It imports no net/http and no store, so that a reader's browser can run it too; internal/architecture builds it for
// that. It decides nothing and keeps nothing. The areas of face/web call it.
package view
