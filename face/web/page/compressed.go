package page

import (
	"net/http"

	"github.com/klauspost/compress/gzhttp"
)

// Compressed sends texts compressed to browsers that take them so. Streams of events pass as they are, each at once; pictures and PDFs are
// compressed already.
func Compressed(next http.Handler) http.Handler {
	wrap, err := gzhttp.NewWrapper(gzhttp.MinSize(1024), gzhttp.EnableZstd(false), gzhttp.ContentTypes([]string{"text/html", "text/css", "text/javascript", "text/plain", "application/json", "image/svg+xml"}))
	if err != nil {
		panic(err) // the options are those above
	}
	return wrap(next)
}
