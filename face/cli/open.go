package cli

import (
	"context"
	"errors"
	"fmt"
	"html/template"
	"io"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"time"

	"secondpass/face/cli/command"
	"secondpass/paper/wording"
	"secondpass/store"
	"secondpass/store/folder"
)

// starting is how long a workbook may take from its start until it says where it answers.
const starting = 5 * time.Second

// take takes the right to serve the data folder. Whoever starts the program again without a command means the workbook that is open:
// the browser shows that, and serving is nil.
func (c *serveCmd) take(g *command.Globals) (serving *folder.Serving, err error) {
	for late := time.Now().Add(starting); ; time.Sleep(20 * time.Millisecond) {
		serving, err = folder.Serve(g.DataDir())
		var served *folder.Served
		switch {
		case !c.Unnamed || !errors.As(err, &served) || served.At == "" && time.Now().After(late):
			return serving, err
		case served.At != "":
			fmt.Fprintf(g.Stdout, "The workbook is open already, at %s\n", served.At)
			show(g, served.Opens)
			return nil, nil
		}
	}
}

// openBrowser asks the desktop to show a page: an address, or a file.
func openBrowser(address string) error {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	path, err := exec.LookPath(name)
	if err != nil {
		return fmt.Errorf("%s is not there", name)
	}
	return exec.Command(path, args...).Start()
}

// show opens the workbook in the browser, or says that it must be done by hand.
func show(g *command.Globals, address string) {
	if err := openBrowser(address); err != nil {
		g.Remark("No browser could be opened here (%v); open the address yourself.", err)
	}
}

// notOpened is the page for whoever has no terminal to read.
var notOpened = template.Must(template.New("").Parse(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width,initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>The workbook could not be opened · secondpass</title>
<style>body{font:1.15rem/1.5 system-ui,sans-serif;max-width:38rem;margin:3rem auto;padding:0 1rem;overflow-wrap:anywhere}h1{line-height:1.2}</style>
</head>
<body><main>
<h1>The workbook could not be opened</h1>
<p role="alert"><b>{{.Why}}.</b></p>
<p>{{.Remedy}} Then start secondpass again.</p>
</main></body>
</html>
`))

// remedy is what helps against what keeps the workbook from opening, where that is to be done outside the program.
func remedy(err error) string {
	switch {
	case errors.Is(err, store.ErrReadOnly):
		return "Your account needs the right to write into that folder, and its disk must not be protected against writing."
	case errors.Is(err, store.ErrFull):
		return "Make some room on the disk; what was kept is safe."
	}
	return "Put that right."
}

// tellInBrowser shows why the program did not start where it was started without a command, as by a double click, and nobody can read
// what it says: without a terminal, or on Windows, where the window closes with the program.
func tellInBrowser(stderr io.Writer, err error) {
	readable := runtime.GOOS != "windows" && command.IsTerminal(stderr)
	if err == nil || readable || errors.Is(err, command.ErrInterrupted) || errors.Is(err, context.Canceled) {
		return
	}
	f, noPlace := os.CreateTemp("", "secondpass-*.html") // it stays: the browser reads it when it likes
	if noPlace != nil {
		return // standard error has it
	}
	noPlace = errors.Join(notOpened.Execute(f, struct{ Why, Remedy string }{wording.Capital(strings.TrimSuffix(err.Error(), ".")), remedy(err)}), f.Close())
	if noPlace == nil {
		noPlace = openBrowser(f.Name())
	}
	if noPlace != nil {
		os.Remove(f.Name())
	}
}
