package web_test

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"html"
	"maps"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"secondpass/engine/player"
	"secondpass/internal/longrun"
)

var (
	votesJudged   = flag.Int("votes", 1, "follow so many votes while they are judged")
	votesProgress = flag.String("votesprogress", "", "a file in which TestVerdictsStand keeps what it has found, so that it can be broken off")
)

const (
	// voters is how many students vote, stopEvery which of the judgements are stopped as soon as whole games have begun, and gone on with.
	voters, stopEvery = 6, 4
)

// followedVote is what phones, the teacher's screen and the projector showed of a vote while it was judged: how many pictures, how many
// verdicts stood there at the end, how many when it was stopped, and those that were shown and did not stand there at the end.
type followedVote struct {
	Pictures, Verdicts, AtStop int
	TakenBack                  []string
}

// TestVerdictsStand opens votes at all steps of deals, and follows every picture that phones, desk and projector are sent while the
// answers are judged, and until the class has ended: of at most one vote in twenty may a verdict have been shown that the end takes back.
// Every fourth judgement is stopped at the worst moment, when whole games have just begun, and gone on with; when it is over it is asked
// for once more, as from a page that was open beside it.
//
//	go test ./face/web -run TestVerdictsStand -votes 200 -votesprogress "$PWD/votes.progress" -v -timeout 5h
//
// Broken off, it goes on where it was with the same file.
func TestVerdictsStand(t *testing.T) {
	t.Parallel()
	n := *votesJudged
	of := fmt.Sprintf("verdicts of votes, player version %d", player.Version)
	b, door, _ := serveWithDoor(t, t.TempDir())
	b.client.Jar, _ = cookiejar.New(nil)
	var took, pictures, verdicts, early int
	err := longrun.Each(*votesProgress, of, n, func(piece int) (followedVote, error) {
		return followVote(b, door, piece), nil
	}, func(piece int, v followedVote) error {
		for _, text := range v.TakenBack {
			t.Logf("vote %d: shown and taken back: %s", piece, text)
		}
		if len(v.TakenBack) > 0 {
			took++
		}
		pictures, verdicts, early = pictures+v.Pictures, verdicts+v.Verdicts, early+v.AtStop
		if v.Verdicts < voters || v.Pictures <= 2*(voters+2) {
			t.Errorf("vote %d: %d verdicts in %d pictures: nothing was followed", piece, v.Verdicts, v.Pictures)
		}
		if n > 1 {
			fmt.Printf("vote %d: %d of %d so far took a verdict back\n", piece, took, piece+1)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("of %d votes %d showed a verdict that the end took back; %d pictures, %d verdicts at the end and %d where a judgement was stopped", n, took, pictures, verdicts, early)
	if 20*took > n {
		t.Errorf("verdicts are taken back of more than one vote in twenty")
	}
}

// followVote holds a vote at a step of a deal, in a class of its own.
func followVote(b *book, door string, piece int) followedVote {
	at, incoming := piece%9, "table"
	if at > 3 {
		incoming = "mock" // nobody else stops the passing
	}
	step := b.deal("seed", fmt.Sprint(7000+piece), "incoming", incoming)
	for range at {
		b.stepOnce(step)
	}
	path := b.post("/classes", url.Values{"exercise": {number(step)}, "mode": {"vote"}, "start": {"A"}})
	_, text := b.get(path)
	h := &hall{book: b, door: door, code: first(codeField, text), class: path}
	var phones []*book
	for i := range voters {
		phones = append(phones, h.join(fmt.Sprint("Student ", i+1)))
	}
	h.voteOn(phones, piece)
	if s := phones[0].live(); s.Phase != "counted" || s.Result != "" {
		b.t.Errorf("vote %d, before anybody asked: %+v", piece, s)
	}
	var v followedVote
	judge := func(act string) {
		h.act("judge", "round", "1", "act", act)
		h.until(path+"/live", func(event string) bool { return !strings.Contains(event, "Judging") })
	}
	shown := h.whileJudged(phones, func() {
		if piece%stopEvery == 0 {
			h.act("judge", "round", "1", "act", "go")
			h.until(path+"/live", func(event string) bool { return strings.Contains(event, "whole game") })
			judge("stop")
			for _, verdict := range verdictsOf(phones[0].live().HTML) {
				if strings.HasPrefix(verdict, "costs") {
					v.AtStop++
				}
			}
		}
		judge("go")
		judge("go")
	})
	v.take(shown)
	var results []string
	for _, p := range phones {
		results = append(results, p.live().Result)
	}
	h.act("end")
	for i, p := range phones {
		s := p.live()
		if s.Phase != "ended" || !strings.Contains(s.HTML, "Best found") {
			b.t.Errorf("vote %d, at the end: %+v", piece, s)
		}
		if results[i] == "" || !strings.Contains(html.UnescapeString(s.HTML), results[i]) {
			v.TakenBack = append(v.TakenBack, fmt.Sprintf("student %d was told %q before the class ended", i+1, results[i]))
		}
	}
	if status, _ := h.phone().get("/join/" + h.code); status != http.StatusNotFound {
		b.t.Errorf("the code still lets in: %d", status)
	}
	if _, printed := h.get(path + "/sheet"); !strings.Contains(printed, "Student 6") || !strings.Contains(printed, "whole games of each that was played to the end") {
		b.t.Error(shorten(printed))
	}
	return v
}

// voteOn opens the first vote, lets everybody choose by a piece's lots, and closes it.
func (h *hall) voteOn(phones []*book, piece int) {
	h.t.Helper()
	h.act("vote", "route", "Class", "after", "0")
	lots := rand.New(rand.NewPCG(uint64(piece), 1))
	for _, p := range phones {
		s := p.live()
		choice := fmt.Sprintf(`{"said":true,"stop":%t}`, lots.IntN(2) == 0)
		switch s.Kind {
		case "number":
			choice = fmt.Sprintf(`{"said":true,"count":%d}`, lots.IntN(4))
		case "tiles":
			all := picks.FindAllStringSubmatch(s.HTML, -1)
			var tiles []string
			for _, i := range lots.Perm(len(all))[:s.Need] {
				tiles = append(tiles, all[i][1])
			}
			choice = fmt.Sprintf(`{"tiles":%q}`, strings.Join(tiles, " "))
		}
		if status, text := p.sendJSON("/room/choice", fmt.Sprintf(`{"round":1,"seq":1,"made":1,"choice":%s}`, choice)); status != http.StatusOK {
			h.t.Fatalf("%s: %d %s", choice, status, text)
		}
	}
	h.act("close", "round", "1")
	h.untilCounted()
}

// whileJudged follows all that is sent to phones, desk and projector while something is done, and gives it by who was sent it; the last
// of each is how things stand at the end.
func (h *hall) whileJudged(phones []*book, do func()) map[string][]string {
	h.t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	shown := map[string][]string{}
	var mu sync.Mutex
	var all sync.WaitGroup
	watch := func(name string, of *book, stream string) {
		request, err := http.NewRequestWithContext(ctx, "GET", of.address+stream, nil)
		if err != nil {
			h.t.Fatal(err)
		}
		r, err := of.client.Do(request)
		if err != nil || r.StatusCode != http.StatusOK {
			h.t.Fatal(name, r, err)
		}
		all.Go(func() {
			defer r.Body.Close()
			for events := newEvents(r.Body); ; {
				var event any
				if readEvent(events, &event) != nil {
					return
				}
				mu.Lock()
				shown[name] = append(shown[name], textOf(event))
				mu.Unlock()
			}
		})
	}
	watch("desk", h.book, h.class+"/live")
	watch("projector", h.book, h.class+"/projector/live")
	for i, p := range phones {
		watch(fmt.Sprint("phone ", i+1), p, "/room/live")
	}
	do()
	stop()
	all.Wait()
	last := func(name string, of *book, stream string) {
		var end string
		of.until(stream, func(event string) bool {
			var data any
			err := json.Unmarshal([]byte(event), &data)
			end = textOf(data)
			return err == nil
		})
		shown[name] = append(shown[name], end)
	}
	last("desk", h.book, h.class+"/live")
	last("projector", h.book, h.class+"/projector/live")
	for i, p := range phones {
		last(fmt.Sprint("phone ", i+1), p, "/room/live")
	}
	return shown
}

// textOf is all text in an event, in the order of its names.
func textOf(event any) string {
	switch x := event.(type) {
	case string:
		return x
	case map[string]any:
		var text strings.Builder
		for _, name := range slices.Sorted(maps.Keys(x)) {
			text.WriteString(textOf(x[name]) + "\n")
		}
		return text.String()
	}
	return ""
}

// take counts what was shown. That a choice is not told apart is no verdict yet; how much one costs may come out otherwise.
func (v *followedVote) take(shown map[string][]string) {
	for _, name := range slices.Sorted(maps.Keys(shown)) {
		pictures := shown[name]
		end := verdictsOf(pictures[len(pictures)-1])
		v.Pictures += len(pictures)
		v.Verdicts += len(end)
		for _, picture := range pictures {
			for choice, verdict := range verdictsOf(picture) {
				text := fmt.Sprintf("%s: %s: %s, at the end %q", name, choice, verdict, end[choice])
				if kind(end[choice]) != kind(verdict) && kind(verdict) != "not told apart" && !slices.Contains(v.TakenBack, text) {
					v.TakenBack = append(v.TakenBack, text)
				}
			}
		}
	}
}

// kind is a verdict without its figure.
func kind(verdict string) string {
	for _, kind := range []string{"costs", "cost ", "not told apart"} {
		if strings.Contains(verdict, kind) && !strings.Contains(verdict, "nothing") {
			return strings.TrimSuffix(strings.TrimSpace(kind), "s")
		}
	}
	return verdict
}

var (
	rowsShown   = regexp.MustCompile(`<(?:li(?: data-key=[^>]*| class="best")?><span>|tr[^>]*><td>)`)
	choiceShown = regexp.MustCompile(`^(?:<ul[^>]*aria-label="([^"]+)"|([A-Z][^<]*))`)
	ownShown    = regexp.MustCompile(`Your (?:pass|answer|number) (?:is the best that was found|is right|costs? [^.]*|was not told apart from the best)\.`)
	verdict     = regexp.MustCompile(`>(best|right|costs -?[0-9.]+|no difference from the best shown|not told apart from the best)\b`)
)

// verdictsOf reads the verdicts on a screen by the choice, and under "own" what a student is told.
func verdictsOf(screen string) map[string]string {
	found := map[string]string{}
	if own := ownShown.FindString(html.UnescapeString(screen)); own != "" {
		found["own"] = own
	}
	at := rowsShown.FindAllStringIndex(screen, -1)
	for i, row := range at {
		end := len(screen)
		if i+1 < len(at) {
			end = at[i+1][0]
		}
		text := screen[row[1]:end]
		if says := verdict.FindStringSubmatch(text); says != nil {
			m := choiceShown.FindStringSubmatch(text)
			if m == nil {
				m = []string{"", text, ""}
			}
			found[m[1]+m[2]] = says[1]
		}
	}
	return found
}
