//go:build engine

package onefile

import _ "embed"

// The engine of a release, which the release puts beside this file before it builds the program.
//
//go:embed carried/engine.wasm.gz
var carriedEngine []byte

//go:embed carried/wasm_exec.js
var carriedGlue []byte

func carried() *Engine { return &Engine{carriedEngine, carriedGlue} }
