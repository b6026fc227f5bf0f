package page

import (
	"net"
	"net/http"
	"net/netip"
	"os"
	"strings"
)

// OwnAddress refuses requests by another name than the address at which they arrive, and of this machine's name: see
// [Site.GuardHost].
func OwnAddress(next http.Handler) http.Handler {
	name, _ := os.Hostname()
	name = strings.ToLower(name)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host := strings.ToLower(strings.Trim(hostOf(r.Host), "[]"))
		local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
		if ok && (host == hostOf(local.String()) || name != "" && (host == name || host == name+".local") ||
			host == "localhost" && isLoopback(hostOf(local.String()))) {
			next.ServeHTTP(w, r)
			return
		}
		http.Error(w, "This is not served under that name.", http.StatusForbidden)
	})
}

// hostOf is an address without its port.
func hostOf(address string) string {
	if h, _, err := net.SplitHostPort(address); err == nil {
		address = h
	}
	a, err := netip.ParseAddr(strings.Trim(address, "[]"))
	if err != nil {
		return address
	}
	return a.WithZone("").Unmap().String()
}

func isLoopback(host string) bool {
	a, err := netip.ParseAddr(host)
	return err == nil && a.IsLoopback()
}
