package web_test

import (
	"context"
	"html"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var toldField = regexp.MustCompile(`name="told" value="([^"]*)"`)

// The workbook ends when it is stopped from its page, by nobody else's page, and not before its owner has read who else loses it:
// what came after the question was asked is asked again.
func TestStopFromThePage(t *testing.T) {
	t.Parallel()
	for _, key := range []string{"", "THEKEYOFTHISTEST"} {
		w, dir := begun(t, key)
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		ended := make(chan error, 1)
		go func() { ended <- w.Serve(context.Background(), l) }()
		jar, err := cookiejar.New(nil)
		if err != nil {
			t.Fatal(err)
		}
		client := &http.Client{Jar: jar}
		ask := func(method, path string, form url.Values, origin string) (int, string) {
			t.Helper()
			r, err := http.NewRequest(method, "http://"+l.Addr().String()+path, strings.NewReader(form.Encode()))
			if err != nil {
				t.Fatal(err)
			}
			if method == http.MethodPost {
				r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			}
			if origin != "" {
				r.Header.Set("Origin", origin)
			}
			answer, err := client.Do(r)
			if err != nil {
				t.Fatal(err)
			}
			defer answer.Body.Close()
			text, err := io.ReadAll(answer.Body)
			if err != nil {
				t.Fatal(err)
			}
			return answer.StatusCode, html.UnescapeString(string(text))
		}
		stop := func(page string) (int, string) {
			t.Helper()
			form := url.Values{}
			for _, m := range toldField.FindAllStringSubmatch(page, -1) {
				form.Add("told", m[1])
			}
			return ask(http.MethodPost, "/stop", form, "")
		}
		if key != "" {
			if code, _ := ask(http.MethodPost, "/stop", nil, ""); code != http.StatusForbidden {
				t.Errorf("without the key: %d", code)
			}
			ask(http.MethodGet, "/?key="+key, nil, "")
		}
		code, before := ask(http.MethodGet, "/stop", nil, "")
		if code != http.StatusOK || strings.Contains(before, "Live classes") || strings.Contains(before, "open to the network") != (key != "") {
			t.Errorf("key %q: %d\n%s", key, code, shorten(before))
		}
		if code, _ := ask(http.MethodPost, "/stop", nil, "http://elsewhere.example"); code != http.StatusForbidden {
			t.Errorf("from a page elsewhere: %d", code)
		}
		if code, text := ask(http.MethodPost, "/classes", url.Values{"exercise": {"1"}, "mode": {"vote"}}, ""); code != http.StatusOK {
			t.Fatalf("no class: %d\n%s", code, shorten(text))
		}
		code, again := stop(before)
		if code != http.StatusConflict || !strings.Contains(again, "Live classes that have not ended: 1.") {
			t.Errorf("with a class that came meanwhile: %d\n%s", code, shorten(again))
		}
		select {
		case err := <-ended:
			t.Fatalf("the workbook ended unasked: %v", err)
		default:
		}
		if code, text := stop(again); code != http.StatusOK || !strings.Contains(text, "The workbook is stopped") || !strings.Contains(text, dir) || slices.ContainsFunc([]string{"<script", "<a ", "<form"}, func(s string) bool { return strings.Contains(text, s) }) {
			t.Errorf("stopped: %d\n%s", code, shorten(text))
		}
		if err := <-ended; err != nil {
			t.Errorf("the workbook ends with %v", err)
		}
		if c, err := net.Dial("tcp", l.Addr().String()); err == nil {
			c.Close()
			t.Error("somebody still answers")
		}
	}
}
