//go:build !unix

package cli

// dieOfInterrupt is for systems whose shells look at the signal.
func dieOfInterrupt() {}
