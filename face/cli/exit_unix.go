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
	if !signal.Ignored(os.Interrupt) && syscall.Kill(os.Getpid(), syscall.SIGINT) == nil {
		time.Sleep(time.Minute) // the thread that is to take it may have to wait for a processor
	}
}
