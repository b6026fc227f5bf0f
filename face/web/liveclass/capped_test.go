package liveclass

import (
	"io"
	"net"
	"testing"
	"time"
)

// Of one address a number of connections is served and the next ones are closed, until one of them ends; another address
// is served all the same.
func TestConnectionsAreCapped(t *testing.T) {
	t.Parallel()
	bare, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	l := capped(bare, 4, 3)
	defer l.Close()
	go func() { // greets, and holds the connection until the other side ends it
		for {
			conn, err := l.Accept()
			if err != nil {
				return
			}
			go func() {
				defer conn.Close()
				conn.Write([]byte("hello"))
				io.Copy(io.Discard, conn)
			}()
		}
	}()
	dial := func(from string) (conn net.Conn, served bool) {
		t.Helper()
		d := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(from)}}
		conn, err := d.Dial("tcp", l.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { conn.Close() })
		conn.SetReadDeadline(time.Now().Add(10 * time.Second))
		n, _ := conn.Read(make([]byte, 5))
		return conn, n > 0
	}
	var one net.Conn
	for i := range 5 {
		conn, served := dial("127.0.0.2")
		if served != (i < 3) {
			t.Errorf("connection %d of one address: served %v", i+1, served)
		}
		if i == 0 {
			one = conn
		}
	}
	if _, served := dial("127.0.0.3"); !served {
		t.Error("another address is not served")
	}
	if _, served := dial("127.0.0.4"); served {
		t.Error("more are served than all together may be")
	}
	one.Close()
	for range 100 { // the other side sees the end a moment later
		if _, served := dial("127.0.0.2"); served {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Error("the room of a connection that ended is lost")
}
