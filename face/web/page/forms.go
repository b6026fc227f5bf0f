package page

import (
	"net/http"
	"path"
	"strings"
)

// FormsLead sends a browser that opens the address of a form again, from its history or a bookmark, to the page that the form
// stands on: the nearest address above it that is a page.
func FormsLead(mux *http.ServeMux) http.Handler {
	routed := func(method, address string) string {
		r, err := http.NewRequest(method, "http://localhost", nil)
		if err != nil {
			return ""
		}
		r.URL.Path = address
		_, pattern := mux.Handler(r)
		_, place, own := strings.Cut(pattern, " ")
		if !own {
			return "" // the pattern without a method takes what nobody else does
		}
		return place
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet {
			mux.ServeHTTP(w, r)
			return
		}
		form := routed(http.MethodPost, r.URL.Path)
		if form == "" || form == routed(http.MethodGet, r.URL.Path) || strings.HasSuffix(routed(http.MethodGet, r.URL.Path), path.Base(r.URL.Path)) {
			mux.ServeHTTP(w, r)
			return
		}
		for above := path.Dir(r.URL.Path); above != "/"; above = path.Dir(above) {
			if routed(http.MethodGet, above) != "" {
				http.Redirect(w, r, above, http.StatusSeeOther)
				return
			}
		}
		mux.ServeHTTP(w, r)
	})
}
