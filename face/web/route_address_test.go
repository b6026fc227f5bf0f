package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// A route keeps its address and its letter when it is renamed and when others are removed, and the address by its name
// leads on, also deeper and with a question behind it.
func TestRoutesKeepTheirAddress(t *testing.T) {
	t.Parallel()
	b := open(t)
	sheet := strings.TrimSuffix(b.deal(), "/routes/A")
	for _, name := range []string{"Odds", "Runs"} {
		b.post(sheet+"/routes/A/fork", url.Values{"at": {"0"}, "name": {name}})
	}
	b.post(sheet+"/routes/B/rename", url.Values{"name": {"Only evens"}})
	b.post(sheet+"/routes/A/remove", nil)
	for _, letter := range []string{"B", "C"} {
		if code, text := b.get(sheet + "/routes/" + letter); code != 200 || !strings.Contains(text, `">`+letter+`</span> <a href="`+sheet+`"`) {
			t.Errorf("route %s: %d", letter, code)
		}
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	for from, to := range map[string]string{
		"/routes/Runs": "/routes/C", "/routes/runs/hands": "/routes/C/hands", "/routes/Only%20evens": "/routes/B",
		"/routes/Only%20evens/picture?at=1&format=svg": "/routes/B/picture?at=1&format=svg", "/routes/b": "/routes/B",
	} {
		r, err := client.Get(b.address + sheet + from)
		if err != nil {
			t.Fatal(err)
		}
		r.Body.Close()
		if got := r.Header.Get("Location"); r.StatusCode != http.StatusFound || got != sheet+to {
			t.Errorf("%s: %d to %q, wanted %s", from, r.StatusCode, got, sheet+to)
		}
	}
	for _, gone := range []string{"/routes/A", "/routes/Odds"} {
		if code, _ := b.get(sheet + gone); code != 404 {
			t.Errorf("%s answers %d", gone, code)
		}
	}
	// The next route does not get the letter of the one removed.
	if got := b.post(sheet+"/routes/B/fork", url.Values{"at": {"0"}}); got != sheet+"/routes/D" {
		t.Errorf("a fork led to %s", got)
	}
	// Those side by side are asked for by their letters, and by their places as earlier.
	for _, query := range []string{"D,B", "2,0"} {
		if _, text := b.get(sheet + "?routes=" + query); !strings.Contains(text, `name="routes" value="D,B"`) {
			t.Errorf("?routes=%s does not show D beside B", query)
		}
	}
	if code, _ := b.get(sheet + "?routes=A"); code != 404 {
		t.Errorf("a removed route side by side: %d", code)
	}
}
