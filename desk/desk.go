// Package desk is what both faces do: each thing that a person asks for is one call here, and the command line and the
// browser get the same answer. It opens cards and exercises, asks for judgement, begins and keeps long work, and keeps what
// students did. It computes nothing itself and words nothing: the first is for the packages below, the second for the
// faces, which alone call it.
package desk

import "secondpass/store"

// Desk is one user's workbook: the database and the files behind it. Its methods may be called by several goroutines.
type Desk struct {
	// Store may be nil where only files are asked for.
	Store store.Store
	Files store.Files
}
