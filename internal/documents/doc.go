// Package documents tests what the README, the pages in docs and the help texts say: that every command they print can
// be run and prints what is shown, that every file, hand and rack in them is right, and that every page they or the code
// name is there. Nothing else lives here and nobody may import it.
package documents
