package liveclass

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"sync"
	"syscall"
	"time"

	"secondpass/face/web/page"
	"secondpass/hall"
)

// DoorPort is where phones join when no other port is asked for.
const DoorPort = "7521"

// door is the second listener, by which phones on the network join classes. It serves the students' pages and nothing
// else.
type door struct {
	mu       sync.Mutex
	listener net.Listener
	stop     context.CancelFunc
	stopped  chan struct{}
}

// Limits of what may come through the door. A whole hall may sit behind one address, so that a student is counted alone,
// and only strangers by their address: five hundred phones open a few files each before they have joined.
const (
	strangerRate  = 200 // requests a second of one address
	strangerBurst = 6000
	studentRate   = 20 // requests a second of one student
	studentBurst  = 200
	// A phone holds up to six connections while it loads a page.
	connections    = 4000
	connectionsOne = 3000 // of one address
)

// OpenDoor lets phones join at an address beyond this machine, such as 0.0.0.0:7521. An open door is closed first.
func (c *Classes) OpenDoor(address string) error {
	c.CloseDoor()
	l, err := net.Listen("tcp", address)
	if err != nil {
		return fmt.Errorf("phones cannot join there: %w", err)
	}
	l = capped(l, connections, connectionsOne)
	ctx, stop := context.WithCancel(context.Background())
	server := &http.Server{Handler: c.doorHandler(), ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second,
		IdleTimeout: time.Minute, MaxHeaderBytes: 8 << 10, ErrorLog: slog.NewLogLogger(c.Log.Handler(), slog.LevelDebug),
		BaseContext: func(net.Listener) context.Context { return ctx }}
	stopped := make(chan struct{})
	go func() {
		defer close(stopped)
		if err := server.Serve(l); err != nil && !errors.Is(err, http.ErrServerClosed) {
			c.Log.Error("the listener for phones has ended", "error", err)
		}
	}()
	c.door.mu.Lock()
	defer c.door.mu.Unlock()
	c.door.listener, c.door.stopped = l, stopped
	c.door.stop = func() { stop(); server.Close() }
	return nil
}

// CloseDoor ends the second listener; classes go on, and phones find their places again when it is back.
func (c *Classes) CloseDoor() {
	c.door.mu.Lock()
	defer c.door.mu.Unlock()
	if c.door.listener == nil {
		return
	}
	c.door.stop()
	<-c.door.stopped
	c.door.listener = nil
}

// openDoorSomewhere opens at a host's usual port, or a free one where that is taken.
func (c *Classes) openDoorSomewhere(host string) error {
	err := c.OpenDoor(net.JoinHostPort(host, DoorPort))
	if errors.Is(err, syscall.EADDRINUSE) {
		err = c.OpenDoor(net.JoinHostPort(host, "0"))
	}
	return err
}

// DoorAddresses is where phones can join, as host:port, those of home and school networks first; empty while the door
// is closed. They are looked up each time, for machines change networks.
func (c *Classes) DoorAddresses() []string {
	c.door.mu.Lock()
	defer c.door.mu.Unlock()
	if c.door.listener == nil {
		return nil
	}
	return AddressesOf(c.door.listener.Addr())
}

// Doors is where phones come in, as in http://192.0.2.7:7521; empty while they cannot.
func (c *Classes) Doors() []string {
	if c.public != "" {
		return []string{c.public}
	}
	doors := c.DoorAddresses()
	for i, a := range doors {
		doors[i] = "http://" + a
	}
	return doors
}

// AddressesOf is by which addresses of this machine others reach what listens, as host:port.
func AddressesOf(listening net.Addr) []string {
	host, port, err := net.SplitHostPort(listening.String())
	if err != nil {
		return nil
	}
	if a, err := netip.ParseAddr(host); err == nil && !a.IsUnspecified() {
		return []string{net.JoinHostPort(host, port)}
	}
	var addresses []string
	for _, a := range networkAddresses() {
		addresses = append(addresses, net.JoinHostPort(a.String(), port))
	}
	return addresses
}

// networkAddresses are those of this machine that others can reach, IPv4 in private ranges first. Those of IPv6 are
// left out where IPv4 is there: they are long to type, and many change by the day.
func networkAddresses() []netip.Addr {
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	var private, public, six []netip.Addr
	for _, i := range all {
		p, err := netip.ParsePrefix(i.String())
		if err != nil {
			continue
		}
		switch a := p.Addr(); {
		case a.IsLoopback() || a.IsLinkLocalUnicast() || a.IsMulticast():
		case a.Is4() && a.IsPrivate():
			private = append(private, a)
		case a.Is4():
			public = append(public, a)
		default:
			six = append(six, a)
		}
	}
	if four := append(private, public...); len(four) > 0 {
		return four
	}
	return six
}

// PhoneRoutes is what phones need: the way into a class, and the class.
func (c *Classes) PhoneRoutes() *page.Mux {
	mux := &page.Mux{}
	served := page.Assets()
	for _, name := range phoneAssets {
		mux.Handle("GET /assets/"+name, served)
	}
	c.routeStudents(mux)
	if c.beside != nil {
		c.beside(mux)
	}
	return mux
}

// Phones is the same for the workbook's own listener, where that is open to the network: it lets requests of phones in as the door
// does, and gives all others to next.
func (c *Classes) Phones(next http.Handler) http.Handler {
	mux := c.PhoneRoutes()
	door := c.limited(c.Visits(page.Guard(mux)))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if _, pattern := mux.Handler(r); pattern != "" {
			door.ServeHTTP(w, r)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// doorHandler is all that a stranger on the network meets.
func (c *Classes) doorHandler() http.Handler {
	mux := c.PhoneRoutes()
	mux.Handle("GET /{$}", http.RedirectHandler("/join", http.StatusSeeOther))
	mux.HandleFunc("/", c.phone(func(http.ResponseWriter, *http.Request) error {
		return page.NotFound("There is nothing here but the way into a class.")
	}))
	return c.limited(page.OwnAddress(c.Visits(page.Guard(mux))))
}

// limited answers 429 to a student, or an address of strangers, that asks too often.
func (c *Classes) limited(next http.Handler) http.Handler {
	students := hall.NewLimits(studentRate, studentBurst, nil, c.hall.Clock)
	strangers := hall.NewLimits(strangerRate, strangerBurst, nil, c.hall.Clock)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		limits, who := strangers, addressOf(r.RemoteAddr)
		if cookie, err := r.Cookie(studentCookie); err == nil && c.hall.Knows(cookie.Value) {
			limits, who = students, cookie.Value
		}
		if _, ok := limits.Take(who); !ok {
			w.Header().Set("Retry-After", "2")
			http.Error(w, "Too many requests at once. Wait a moment, then open the page again.", http.StatusTooManyRequests)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// addressOf is where a request comes from, as far as limits go: an IPv6 network counts as one.
func addressOf(remote string) string {
	host, _, err := net.SplitHostPort(remote)
	if err != nil {
		return remote
	}
	a, err := netip.ParseAddr(host)
	if err != nil || a.Unmap().Is4() {
		return host
	}
	p, err := a.WithZone("").Prefix(64)
	if err != nil {
		return host
	}
	return p.String()
}
