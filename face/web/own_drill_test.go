package web_test

import (
	"net/url"
	"strings"
	"testing"
)

// A teacher's own drill of a typed rack: made, said in the teacher's words, found by the filters, put into a lesson. What cannot be one
// comes back as it was typed.
func TestOwnDrill(t *testing.T) {
	t.Parallel()
	b := practice(t)
	_, text := b.get("/drills")
	_, text, _ = strings.Cut(text, `href="/drills/new?card=`)
	id, _, _ := strings.Cut(text, `"`)
	f := url.Values{"card": {id}, "rack": {"2222b 3333b F N 9c 1d R"}, "step": {"first-across"}, "question": {"What goes across?"}}
	for wrong, want := range map[string]string{
		"answers=9c+1d+R":                 "1 answers; 2 to 8 are right",
		"answers=9c+1d+R%0AGG+G":          "no legal decision",
		"answers=&rack=1b":                "a rack of 1 tiles",
		"answers=&rack=":                  "nothing is asked about",
		"answers=&step=vote&game=nothing": "record",
	} {
		typed, _ := url.ParseQuery(f.Encode() + "&answers=")
		more, _ := url.ParseQuery(wrong)
		for name, v := range more {
			typed[name] = v
		}
		code, text := b.send("POST", "/drills/own", typed.Encode())
		if code != 422 || !strings.Contains(strings.ToLower(text), strings.ToLower(want)) || !strings.Contains(text, `value="What goes across?"`) {
			t.Errorf("%s: %d, %s", wrong, code, shorten(text))
		}
	}
	f.Set("answers", "9c 1d R\r\n\r\n2b 3b N")
	if to := b.post("/drills/own", f); to != "/drills?card="+id {
		t.Fatalf("making leads to %s", to)
	}
	if text := b.watchWork("/drills/live?what=own&card=" + id); !strings.Contains(text, `/drills/4`) {
		t.Fatalf("no drill came of it: %s", shorten(text))
	}
	const words = "Four of a kind are half a hand <b>."
	b.post("/drills/4/words", url.Values{"question": {"What goes across?"}, "reason-2": {words}})
	_, text = b.get("/drills/4")
	for _, want := range []string{"<h1>What goes across?</h1>", "The teacher says: Four of a kind are half a hand &lt;b&gt;.", "made by hand"} {
		if !strings.Contains(text, want) {
			t.Errorf("the drill lacks %q", want)
		}
	}
	if code, text := b.send("POST", "/drills/4/words", url.Values{"reason-1": {strings.Repeat("x", 601)}}.Encode()); code != 422 || !strings.Contains(text, "600 are the most") || !strings.Contains(text, "xxx") {
		t.Errorf("a long reason: %d, %s", code, shorten(text))
	}
	for query, there := range map[string]bool{
		"kind=own": true, "step=first-across": true, "step=play": false, "kind=own&theme=multiples": false, "kind=own&difficulty=easy": true, "kind=own&difficulty=hard": false,
	} {
		if _, text := b.get("/drills?" + query); strings.Contains(text, `name="drill" value="4"`) != there {
			t.Errorf("%s lists it: %v, wanted %v", query, !there, there)
		}
	}
	// A second drill at the same moment starts with what this one asks.
	if _, text := b.get("/drills/new?drill=4"); !strings.Contains(text, "9c 1d R\n23b N") || !strings.Contains(text, `name="drill" value="4"`) {
		t.Errorf("the form for other answers: %s", shorten(text))
	}
	for path, want := range map[string]int{"/drills/new?drill=99": 404, "/drills/new?card=x": 404, "/drills/new?exercise=99&route=A&at=0": 404, "/drills?step=x": 404, "/drills?difficulty=x": 404} {
		if code, _ := b.get(path); code != want {
			t.Errorf("%s: %d, wanted %d", path, code, want)
		}
	}
}
