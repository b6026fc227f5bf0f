package liveclass

import (
	"net"
	"sync"
)

// cappedListener accepts so many connections at once, and so many from one address. What comes beyond is closed: whoever
// holds connections open keeps no room from others.
type cappedListener struct {
	net.Listener
	all, each int

	mu   sync.Mutex
	open int
	by   map[string]int
}

func capped(l net.Listener, all, each int) net.Listener {
	return &cappedListener{Listener: l, all: all, each: each, by: map[string]int{}}
}

func (l *cappedListener) Accept() (net.Conn, error) {
	for {
		conn, err := l.Listener.Accept()
		if err != nil {
			return nil, err
		}
		address := addressOf(conn.RemoteAddr().String())
		if l.enter(address) {
			return &cappedConn{Conn: conn, leave: sync.OnceFunc(func() { l.leave(address) })}, nil
		}
		conn.Close()
	}
}

func (l *cappedListener) enter(address string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.open >= l.all || l.by[address] >= l.each {
		return false
	}
	l.open++
	l.by[address]++
	return true
}

func (l *cappedListener) leave(address string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.open--
	if l.by[address]--; l.by[address] == 0 {
		delete(l.by, address)
	}
}

type cappedConn struct {
	net.Conn
	leave func()
}

func (c *cappedConn) Close() error {
	c.leave()
	return c.Conn.Close()
}

// CloseWrite lets a server say its last word before it closes.
func (c *cappedConn) CloseWrite() error {
	if half, ok := c.Conn.(interface{ CloseWrite() error }); ok {
		return half.CloseWrite()
	}
	return nil
}
