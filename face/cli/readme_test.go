package cli

import (
	"bytes"
	"os"
	"regexp"
	"strings"
	"testing"
)

const readme = "../../README.md"

// example is a place in the README: a remark that names a command, what is typed into it after a <,
// and the block that must show what it prints.
var example = regexp.MustCompile("(?s)<!-- example: secondpass ([^<>\n]*?)(?: < \"([^\"]*)\")? -->\n```\n(.*?)```\n")

// TestReadmeShowsRealOutput runs the README's examples. UPDATE_README=1 writes what they print.
func TestReadmeShowsRealOutput(t *testing.T) {
	text, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	updated := example.ReplaceAllStringFunc(string(text), func(place string) string {
		found++
		parts := example.FindStringSubmatch(place)
		args := append([]string{"--data", t.TempDir()}, strings.Fields(parts[1])...)
		var out, complaints bytes.Buffer
		typed := strings.ReplaceAll(parts[2], "|", "\n")
		if status := Main(args, strings.NewReader(typed), &out, &complaints); status != exitDone {
			t.Fatalf("secondpass %s: exit status %d\n%s", parts[1], status, complaints.String())
		}
		block := "$ secondpass " + parts[1] + "\n" + out.String()
		if block != parts[3] {
			t.Logf("secondpass %s prints\n%s", parts[1], block)
		}
		head, _, _ := strings.Cut(place, "```\n")
		return head + "```\n" + block + "```\n"
	})
	if found < 2 {
		t.Fatalf("%d examples found in the README", found)
	}
	if updated == string(text) {
		return
	}
	if os.Getenv("UPDATE_README") == "" {
		t.Fatal("the README shows other output than the program prints; UPDATE_README=1 go test ./face/cli -run Readme mends it")
	}
	if err := os.WriteFile(readme, []byte(updated), 0o644); err != nil {
		t.Fatal(err)
	}
}
