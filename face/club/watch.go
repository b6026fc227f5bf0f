package club

import (
	"context"
	"io"
	"net/http"
	"net/netip"
	"strconv"
	"strings"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// watch counts what happens. Labels are routes and statuses, never addresses of pages or names.
type watch struct {
	registry *prometheus.Registry
	requests *prometheus.CounterVec
	taken    *prometheus.HistogramVec
	open     prometheus.Gauge
	signs    *prometheus.CounterVec
}

func newWatch() *watch {
	w := &watch{registry: prometheus.NewRegistry(),
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "secondpass_requests_total", Help: "Requests answered, by route and status."}, []string{"route", "status"}),
		taken: prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "secondpass_request_seconds", Help: "How long answers took; streams are left out.",
			Buckets: []float64{.005, .01, .025, .05, .1, .25, .5, 1, 2.5, 10}}, []string{"method"}),
		open:  prometheus.NewGauge(prometheus.GaugeOpts{Name: "secondpass_requests_open", Help: "Requests that are being answered now, with streams."}),
		signs: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "secondpass_sign_ins_total", Help: "Tries to sign in, by way and whether they did."}, []string{"way", "done"})}
	w.registry.MustRegister(w.requests, w.taken, w.open, w.signs, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return w
}

// count lets something be counted when it is asked for.
func (w *watch) count(name, help string, now func() float64) {
	w.registry.MustRegister(prometheus.NewGaugeFunc(prometheus.GaugeOpts{Name: "secondpass_" + name, Help: help}, now))
}

func (w *watch) signedIn(way string, done bool) {
	w.signs.WithLabelValues(way, strconv.FormatBool(done)).Inc()
}

type routeKey struct{}

// at says at which route a request has come; of several the last counts.
func (w *watch) at(r *http.Request, route string) {
	if to, ok := r.Context().Value(routeKey{}).(*string); ok {
		*to = route
	}
}

// noted is an answer with its status.
type noted struct {
	http.ResponseWriter
	status int
}

func (n *noted) WriteHeader(code int) {
	if n.status == 0 {
		n.status = code
	}
	n.ResponseWriter.WriteHeader(code)
}

func (n *noted) Write(data []byte) (int, error) {
	if n.status == 0 {
		n.status = http.StatusOK
	}
	return n.ResponseWriter.Write(data)
}

// Unwrap is for http.ResponseController.
func (n *noted) Unwrap() http.ResponseWriter { return n.ResponseWriter }

// watched answers the questions of machines about the server, and counts and logs all others.
func (f *Front) watched(next http.Handler) http.Handler {
	metrics := promhttp.HandlerFor(f.watch.registry, promhttp.HandlerOpts{})
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.URL.Path {
		case "/healthz":
			f.health(w)
			return
		case "/metrics":
			// What comes through a proxy asks by the public name, and says for whom.
			if from, err := netip.ParseAddrPort(r.RemoteAddr); err != nil || !from.Addr().IsLoopback() || r.Header.Get("X-Forwarded-For") != "" || strings.EqualFold(r.Host, f.Public.Host) {
				http.Error(w, "Metrics are for this machine alone.", http.StatusForbidden)
				return
			}
			metrics.ServeHTTP(w, r)
			return
		}
		route, began := "none", time.Now()
		answer := &noted{ResponseWriter: w}
		f.watch.open.Inc()
		defer func() {
			f.watch.open.Dec()
			taken := time.Since(began)
			if answer.Header().Get("Content-Type") != "text/event-stream" {
				f.watch.taken.WithLabelValues(methodOf(r)).Observe(taken.Seconds())
			}
			f.watch.requests.WithLabelValues(route, strconv.Itoa(answer.status)).Inc()
			f.Log.Info("answered", "route", route, "status", answer.status, "ms", taken.Milliseconds())
		}()
		next.ServeHTTP(answer, r.WithContext(context.WithValue(r.Context(), routeKey{}, &route)))
	})
}

// methodOf is the method of a request, one of few.
func methodOf(r *http.Request) string {
	switch r.Method {
	case http.MethodGet, http.MethodPost:
		return r.Method
	}
	return "other"
}

// health says whether people can be served.
func (f *Front) health(w http.ResponseWriter) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	if err := f.Teachers.There(); err != nil {
		f.Log.Error("what is kept cannot be reached", "cause", err)
		w.WriteHeader(http.StatusServiceUnavailable)
		io.WriteString(w, "what is kept cannot be reached\n")
		return
	}
	io.WriteString(w, "well\n")
}
