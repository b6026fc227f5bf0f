//go:build unix

package cli

import (
	"os"
	"os/signal"
	"syscall"
	"time"
)

// dieOfInterrupt ends the process by SIGINT where it has a terminal.
func dieOfInterrupt() {
	terminal, err := os.Open("/dev/tty")
	if err != nil {
		return
	}
	terminal.Close()
	signal.Reset(os.Interrupt)
	if syscall.Kill(os.Getpid(), syscall.SIGINT) == nil {
		time.Sleep(time.Second / 4) // until the signal is here; it may be ignored
	}
}
