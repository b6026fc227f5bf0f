package club

import (
	"net"
	"net/http"
	"net/netip"
	"strings"
)

// fromProxies makes the address of a request that of whom trusted proxies pass on.
func (f *Front) fromProxies(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if real := f.realAddress(r); real.IsValid() {
			r.RemoteAddr = net.JoinHostPort(real.String(), "0")
		}
		next.ServeHTTP(w, r)
	})
}

// realAddress is the last address on the way of a request that is not a trusted proxy's, by X-Forwarded-For, whose entries each
// proxy puts behind those before; what stands before that entry may be made up. Without such a proxy it is none.
func (f *Front) realAddress(r *http.Request) (real netip.Addr) {
	from, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil || !f.trusted(from.Addr()) {
		return real
	}
	var way []string
	for _, line := range r.Header.Values("X-Forwarded-For") {
		way = append(way, strings.Split(line, ",")...)
	}
	for i := len(way) - 1; i >= 0; i-- {
		a, err := netip.ParseAddr(strings.TrimSpace(way[i]))
		if err != nil {
			return real // whatever stands before it is no better
		}
		if real = a.Unmap(); !f.trusted(real) {
			return real
		}
	}
	return real
}

func (f *Front) trusted(a netip.Addr) bool {
	for _, p := range f.Proxies {
		if p.Contains(a.Unmap()) {
			return true
		}
	}
	return false
}

// addressOf is where a request comes from, as far as limits go: an IPv6 network counts as one.
func addressOf(r *http.Request) string {
	from, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	a := from.Addr().Unmap().WithZone("")
	if a.Is6() {
		if p, err := a.Prefix(64); err == nil {
			return p.String()
		}
	}
	return a.String()
}

// strictTransport tells browsers to ask by https alone.
const strictTransport = "Strict-Transport-Security"

// guarded refuses requests by another name than the public one, and makes each cookie one that only travels encrypted.
func (f *Front) guarded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !strings.EqualFold(r.Host, f.Public.Host) {
			http.Error(w, "This club is not served under that name.", http.StatusMisdirectedRequest)
			return
		}
		if f.Public.Scheme == "https" {
			w.Header().Set(strictTransport, "max-age=31536000")
		}
		next.ServeHTTP(&sealed{ResponseWriter: w}, r)
	})
}

// sealed is an answer whose cookies are all Secure, whoever set them.
type sealed struct {
	http.ResponseWriter
	begun bool
}

func (s *sealed) WriteHeader(code int) {
	if !s.begun {
		s.begun = code >= 200
		all := s.Header()["Set-Cookie"]
		for i, c := range all {
			if !strings.Contains(strings.ToLower(c), "; secure") {
				all[i] = c + "; Secure"
			}
		}
	}
	s.ResponseWriter.WriteHeader(code)
}

func (s *sealed) Write(data []byte) (int, error) {
	if !s.begun {
		s.WriteHeader(http.StatusOK)
	}
	return s.ResponseWriter.Write(data)
}

// Unwrap is for http.ResponseController.
func (s *sealed) Unwrap() http.ResponseWriter { return s.ResponseWriter }
