//go:build !engine

package onefile

// carried is none: the Go tool builds the engine.
func carried() *Engine { return nil }
