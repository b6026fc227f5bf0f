package documents

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/adrg/xdg"
)

// Pages show what the program prints without the configuration and the cache of whoever runs the tests.
func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "unconfigured")
	if err == nil {
		err = errors.Join(os.Setenv("XDG_CONFIG_HOME", dir), os.Setenv("XDG_CACHE_HOME", filepath.Join(dir, "cache")))
	}
	if err != nil {
		panic(err)
	}
	xdg.Reload()
	status := m.Run()
	os.RemoveAll(dir)
	os.Exit(status)
}
