package page

import (
	"embed"
	"io/fs"
	"net"
	"net/http"
	"strings"
)

//go:embed assets
var assetFiles embed.FS

// Assets serves the style sheets, scripts and fonts of all areas under /assets/. The browser may keep them: they change only with the
// program.
func Assets() http.Handler {
	files, err := fs.Sub(assetFiles, "assets")
	if err != nil {
		panic(err) // the folder is embedded
	}
	return Files(files)
}

// Files serves those of an area under /assets/, as Assets does.
func Files(files fs.FS) http.Handler {
	serve := http.FileServerFS(files)
	return http.StripPrefix("/assets/", http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "max-age=3600")
		serve.ServeHTTP(w, r)
	}))
}

// Limits of what one request may bring.
const (
	maxForm   = 1 << 20 // bytes of a form
	maxImport = 8 << 20 // bytes of a file, at addresses that end in /import
)

// Guard sets what every answer carries, bounds what a request may bring, and refuses what pages of other origins make
// a browser send.
func Guard(next http.Handler) http.Handler {
	bounded := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'self'; img-src 'self' data:; frame-ancestors 'none'; base-uri 'none'; form-action 'self'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		limit := int64(maxForm)
		if strings.HasSuffix(r.URL.Path, "/import") {
			limit = maxImport
		}
		r.Body = http.MaxBytesReader(w, r.Body, limit)
		next.ServeHTTP(w, r)
	})
	return http.NewCrossOriginProtection().Handler(bounded)
}

// ServedAt adds an address, as host:port, to those by which the site may be asked.
func (s *Site) ServedAt(address string) {
	if host, _, err := net.SplitHostPort(address); err == nil {
		s.hosts[host] = true
	}
}

// GuardHost refuses requests by another name than the site's own: a page elsewhere could otherwise point a name of its
// own at this machine and read along (DNS rebinding).
func (s *Site) GuardHost(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host := r.Host
		if h, _, err := net.SplitHostPort(host); err == nil {
			host = h
		}
		if !s.hosts[strings.ToLower(strings.Trim(host, "[]"))] {
			http.Error(w, "This workbook is not served under that name.", http.StatusForbidden)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// Asset is one style sheet, script or font.
func Asset(name string) ([]byte, error) { return assetFiles.ReadFile("assets/" + name) }
