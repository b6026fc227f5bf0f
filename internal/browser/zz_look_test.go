package browser

import (
	"os"
	"strings"
	"testing"
)

func TestZZLook(t *testing.T) {
	base := "http://127.0.0.1:8455"
	for _, line := range strings.Fields(os.Getenv("LOOK")) {
		name, path, _ := strings.Cut(line, "=")
		for lname, look := range map[string]Look{"p": Phone, "d": Desk} {
			url := path
			if strings.HasPrefix(path, "/") && !strings.HasPrefix(path, "/tmp") {
				url = base + path
			} else {
				url = "file://" + path
			}
			p := Open(t, look, url)
			p.Picture("/tmp/look/" + name + "-" + lname + ".png")
		}
	}
}
