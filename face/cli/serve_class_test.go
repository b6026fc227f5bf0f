//go:build unix

package cli

import (
	"encoding/json"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"secondpass/store/sql"
)

// visitor is somebody's browser, at an address.
type visitor struct {
	t      *testing.T
	client http.Client
	at     string
}

func visit(t *testing.T, at string) *visitor {
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return &visitor{t, http.Client{Jar: jar}, at}
}

func (v *visitor) text(r *http.Response, err error) string {
	v.t.Helper()
	if err != nil {
		v.t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil || r.StatusCode != http.StatusOK {
		v.t.Fatalf("%s: %s, %v\n%s", r.Request.URL, r.Status, err, text)
	}
	return string(text)
}

func (v *visitor) get(path string) string {
	v.t.Helper()
	return v.text(v.client.Get(v.at + path))
}

func (v *visitor) post(path string, form url.Values) string {
	v.t.Helper()
	return v.text(v.client.PostForm(v.at+path, form))
}

// withClasses starts a server with a door for phones.
func withClasses(t *testing.T, dir string) (cmd *exec.Cmd, teacher, door string) {
	t.Helper()
	cmd, said := serveSaying(t, dir, "--json", "--class", "127.0.0.1:0")
	var open opened
	if err := json.Unmarshal([]byte(said), &open); err != nil || len(open.Join) == 0 {
		t.Fatalf("%s: %v", said, err)
	}
	return cmd, open.Address, strings.TrimSuffix(strings.TrimSuffix(open.Join[0], "/join"), "/")
}

// While a class goes on, a second server of its folder is refused and takes no answers; what the first has acknowledged is there
// when it is killed and another goes on.
func TestOneServerOfAClass(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "data")
	commandLine(t, dir, "compare", "--rack", "228b 14699c 7d EW F J", "--aim", "Runs", "--save", "Monday")
	first, address, door := withClasses(t, dir)
	teacher := visit(t, address)
	code := regexp.MustCompile(`class="bigcode">([A-Z0-9]{5})<`).FindStringSubmatch(teacher.post("/classes", url.Values{"exercise": {"1"}, "mode": {"vote"}}))
	if code == nil {
		t.Fatal("the class has no code")
	}
	phone := visit(t, door)
	phone.get("/join")
	phone.post("/join", url.Values{"code": {code[1]}, "name": {"Plum"}})
	teacher.post("/classes/1/vote", url.Values{"route": {"Class"}, "after": {"0"}})
	choose := func(seq, tiles string) {
		t.Helper()
		phone.text(phone.client.Post(phone.at+"/room/choice", "application/json", strings.NewReader(`{"round":1,"seq":`+seq+`,"made":1,"choice":{"tiles":"`+tiles+`"}}`)))
	}
	choose("1", "14c 7d")
	if out, err := exec.Command("secondpass", "serve", "--no-browser", "--listen", "127.0.0.1:0", "--class", "127.0.0.1:0", "--data", dir).CombinedOutput(); err == nil || !strings.Contains(string(out), "served already, at "+address) {
		t.Errorf("a second server: %v\n%s", err, out)
	}
	choose("2", "16c 7d")
	if err := first.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	first.Wait()
	_, _, door = withClasses(t, dir)
	phone.at = door // cookies go by host without port
	phone.get("/room")
	choose("3", "EW 7d")
	kept, err := sql.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	c, err := kept.LoadClass(1)
	if err != nil || len(c.Unread) > 0 || len(c.Rounds) != 1 || len(c.Students) != 1 {
		t.Fatalf("the class is %+v, %v", c, err)
	}
	if v := c.Rounds[0].Votes[1]; v.Seq != 3 || v.Choice.Own.String() != "7d EW" {
		t.Errorf("kept is %+v", v)
	}
}
