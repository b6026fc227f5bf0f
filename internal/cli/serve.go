package cli

import (
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os/exec"
	"runtime"

	"secondpass/internal/store"
	"secondpass/internal/web"
)

type serveCmd struct {
	Listen    string `default:"127.0.0.1:7520" placeholder:"ADDR" help:"Address to listen on; port 0 takes a free one."`
	NoBrowser bool   `help:"Do not open the browser."`
}

// Help says who can reach the workbook.
func (serveCmd) Help() string {
	return "The workbook answers only this machine unless --listen names another of its addresses. Ctrl-C ends it; everything is saved as you go."
}

func (c *serveCmd) Run(g *Globals) error {
	l, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("--listen %s: %w; another address is right, as in 127.0.0.1:7521", c.Listen, err)
	}
	defer l.Close()
	return g.withStore(func(s *store.Store) error {
		logger := slog.New(slog.NewTextHandler(g.stderr, &slog.HandlerOptions{Level: slog.LevelWarn}))
		w, err := web.New(s, g.cards(), logger)
		if err == nil {
			err = w.FirstStart()
		}
		if err != nil {
			return failure{err}
		}
		address := "http://" + l.Addr().String()
		fmt.Fprintf(g.stdout, "The workbook is open at %s\n", address)
		g.remark("Ctrl-C ends it; everything is saved as you go.")
		if !c.NoBrowser {
			if err := openBrowser(address); err != nil {
				g.remark("No browser could be opened here (%v); open the address yourself.", err)
			}
		}
		if err := w.Serve(g.ctx, l); err != nil && !errors.Is(err, http.ErrServerClosed) {
			return failure{err}
		}
		return nil
	})
}

// openBrowser asks the desktop to show a page.
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
