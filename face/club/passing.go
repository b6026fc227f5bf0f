package club

import (
	"bytes"
	"context"
	"crypto/subtle"
	"errors"
	"io"
	"log/slog"
	"math/rand/v2"
	"net"
	"net/http"
	"net/http/httputil"
	"net/netip"
	"strings"
	"time"

	"secondpass/face/web/page"
	"secondpass/store/sql"
)

// Headers by which processes pass requests on to each other.
const (
	passSecret = "Secondpass-Secret"   // of the process that is asked
	passFor    = "Secondpass-For"      // the address of who asks
	passWrong  = "Secondpass-Not-Here" // of an answer: the workbook is in yet another process
)

const (
	// passedMost is the most bytes of a request that is passed on; a file of somebody's own account is not.
	passedMost = 9 << 20
	// passWithin is how long another process is sought that has the workbook.
	passWithin = 8 * time.Second
	// passAgain is how soon it is sought again, each time later up to passRarely: a whole class may seek it at once.
	passAgain, passRarely = 25 * time.Millisecond, 200 * time.Millisecond
	// reachWithin is how long a process may take to let a connection in.
	reachWithin = time.Second
)

// newPasser is what carries requests to other processes, as they are.
func newPasser() *http.Transport {
	return &http.Transport{DialContext: (&net.Dialer{Timeout: reachWithin, KeepAlive: 5 * time.Second}).DialContext,
		DisableCompression: true, MaxIdleConnsPerHost: 64, IdleConnTimeout: 30 * time.Second}
}

type passedKey struct{}

// passed says that another process has passed a request on.
func passed(r *http.Request) bool { return r.Context().Value(passedKey{}) != nil }

// fromProcesses knows the requests that other processes pass on, and by them whose they are. One that says so without the secret is
// refused: it is meant for a process that was here before, or made up.
func (f *Front) fromProcesses(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		secret, from := r.Header.Get(passSecret), r.Header.Get(passFor)
		r.Header.Del(passSecret)
		r.Header.Del(passFor)
		if secret != "" {
			if f.process == nil || subtle.ConstantTimeCompare([]byte(secret), []byte(f.process.Secret())) != 1 {
				notHere(w)
				return
			}
			if a, err := netip.ParseAddr(from); err == nil {
				r.RemoteAddr = netip.AddrPortFrom(a, 0).String()
			}
			r = r.WithContext(context.WithValue(r.Context(), passedKey{}, true))
		}
		next.ServeHTTP(w, r)
	})
}

// notHere tells another process that what it passes on belongs elsewhere.
func notHere(w http.ResponseWriter) {
	w.Header().Set(passWrong, "yes")
	w.WriteHeader(http.StatusMisdirectedRequest)
}

// toTeacher gives a request to the workbook of a teacher, here or in the process where it is open. here answers it here.
func (f *Front) toTeacher(w http.ResponseWriter, r *http.Request, teacher int64, here func(*book, http.ResponseWriter, *http.Request)) {
	var body []byte
	for begun, tries := time.Now(), 0; ; tries++ {
		one, leave, at, err := f.books.of(teacher)
		switch {
		case err != nil:
			f.Fail(w, r, err)
			return
		case at == nil:
			defer leave()
			if tries > 0 {
				r.Body = io.NopCloser(bytes.NewReader(body))
			}
			here(one, w, r)
			return
		case passed(r):
			f.books.gone(teacher, at)
			notHere(w)
			return
		}
		if tries == 0 {
			if body, err = io.ReadAll(http.MaxBytesReader(w, r.Body, passedMost)); err != nil {
				f.Fail(w, r, err)
				return
			}
		}
		if err = f.passOn(w, r, body, at); err == nil {
			return
		}
		f.books.gone(teacher, at)
		if r.Context().Err() != nil { // who asked has gone, or this process ends
			http.Error(w, errEnding.Error(), http.StatusServiceUnavailable)
			return
		}
		if !mayRepeat(r, err) {
			f.Fail(w, r, page.Errorf(http.StatusServiceUnavailable, "The connection within the club was lost before it was said whether this is done. See whether it is, before you do it again."))
			return
		}
		if time.Since(begun) > passWithin {
			f.Fail(w, r, page.Errorf(http.StatusServiceUnavailable, "Your workbook cannot be reached at the moment. Try it once more."))
			return
		}
		wait := min(passAgain<<min(tries, 5), passRarely)
		time.Sleep(wait*3/4 + rand.N(wait/2))
	}
}

// errNotThere: the process that was asked does not have the workbook.
var errNotThere = errors.New("the workbook is not in that process")

// mayRepeat says that a request which was passed on and not answered was not done, or does no harm when it is done twice: phones send
// a choice by its number, and again until it is kept.
func mayRepeat(r *http.Request, err error) bool {
	var at *net.OpError
	return errors.Is(err, errNotThere) || errors.As(err, &at) && at.Op == "dial" ||
		r.Method == http.MethodGet || r.Method == http.MethodHead || strings.HasPrefix(r.URL.Path, "/room/")
}

// passOn has a request answered by another process; after an error nothing is answered yet.
func (f *Front) passOn(w http.ResponseWriter, r *http.Request, body []byte, at *sql.Peer) (failed error) {
	from := r.RemoteAddr
	if a, err := netip.ParseAddrPort(from); err == nil {
		from = a.Addr().String()
	}
	proxy := httputil.ReverseProxy{
		Transport: f.passer,
		Rewrite: func(p *httputil.ProxyRequest) {
			p.Out.URL.Scheme, p.Out.URL.Host, p.Out.Host = "http", at.Address, p.In.Host
			p.Out.Header.Set(passSecret, at.Secret)
			p.Out.Header.Set(passFor, from)
			p.Out.Body, p.Out.ContentLength, p.Out.TransferEncoding = http.NoBody, int64(len(body)), nil
			if len(body) > 0 {
				p.Out.GetBody = func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(body)), nil }
				p.Out.Body, _ = p.Out.GetBody()
			}
		},
		ModifyResponse: func(answer *http.Response) error {
			if answer.Header.Get(passWrong) != "" {
				return errNotThere
			}
			answer.Header.Del(strictTransport) // it is said already
			return nil
		},
		ErrorHandler: func(_ http.ResponseWriter, _ *http.Request, err error) { failed = err },
		ErrorLog:     slog.NewLogLogger(f.Log.Handler(), slog.LevelDebug),
	}
	proxy.ServeHTTP(w, r)
	return failed
}
