package page

import (
	"crypto/subtle"
	"net/http"
)

// keyCookie holds the key of a workbook that is open to the network.
const keyCookie = "workbook"

// Locked lets only those in who hold a key: by the address that has it as its field "key", which leaves a cookie.
func (s *Site) Locked(key string, next http.Handler) http.Handler {
	is := func(given string) bool { return subtle.ConstantTimeCompare([]byte(given), []byte(key)) == 1 }
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodGet && is(r.URL.Query().Get("key")) {
			http.SetCookie(w, &http.Cookie{Name: keyCookie, Value: key, Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode})
			without := *r.URL
			q := without.Query()
			q.Del("key")
			without.Scheme, without.Host, without.RawQuery = "", "", q.Encode()
			http.Redirect(w, r, without.String(), http.StatusSeeOther)
			return
		}
		if c, err := r.Cookie(keyCookie); err == nil && is(c.Value) {
			next.ServeHTTP(w, r)
			return
		}
		http.Error(w, "This workbook asks for its key. Open the address with the key that was printed where the workbook was started.", http.StatusForbidden)
	})
}
