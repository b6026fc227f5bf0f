package documents

import (
	"os"
	"testing"

	"github.com/adrg/xdg"
)

// Pages show what the program prints without a configuration of whoever runs the tests.
func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "unconfigured")
	if err == nil {
		err = os.Setenv("XDG_CONFIG_HOME", dir)
	}
	if err != nil {
		panic(err)
	}
	xdg.Reload()
	status := m.Run()
	os.RemoveAll(dir)
	os.Exit(status)
}
