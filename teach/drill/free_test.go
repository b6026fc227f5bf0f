package drill

import (
	"context"
	"errors"
	"testing"
	"time"

	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/tile"
)

// A free answer that is one of the choices is judged as the key judged it, on the same games; any other legal decision is
// judged too, and what is not legal is refused.
func TestFreeAnswers(t *testing.T) {
	m := maker(t)
	b, err := m.bench()
	if err != nil {
		t.Fatal(err)
	}
	v := voteView(t, m, 4)
	v.Step, v.Phase = charleston.FirstLeft, charleston.Passing
	all := charleston.Parcels(v.Rack, charleston.PassTiles)
	p := passDrill(Tempting, &v, all[:2], all[len(all)-1:], all[0])
	p.Origin = Origin{Seed: 3, Deal: 9}
	if p.Key, err = b.fixedKey(context.Background(), p.Drill, 7, 96); err != nil {
		t.Fatal(err)
	}
	for i, c := range p.Choices {
		a, err := m.Judge(context.Background(), p.Drill, c)
		if err != nil {
			t.Fatal(err)
		}
		want := p.Key.Answers[i]
		if a.Right != want.Right || a.Cost.Value != want.Cost.Value || i != p.Key.Best() && a.Cost != want.Cost || a.Chance != want.Chance {
			t.Errorf("%s is judged %+v; the key has %+v", c, a, want)
		}
	}
	game := m.counsel.Game
	free, err := p.Free(game, all[len(all)/2].String())
	if err != nil {
		t.Fatal(err)
	}
	a, err := m.Judge(context.Background(), p.Drill, free)
	if err != nil || a.Cost.N != 96 {
		t.Errorf("%+v, %v", a, err)
	}
	try := p.AnsweredFreely(free, a, time.Unix(0, 0), time.Second, 0)
	if try.Answer != free.String() || try.Right != a.Right || try.Cost != a.Cost {
		t.Errorf("kept as %+v", try)
	}
	if r, err := p.ReasonOf(card.Practice(), free); err != nil || r.Against != p.Choices[p.Key.Best()] {
		t.Errorf("%+v, %v", r, err)
	}
	missing := tile.Kind(0)
	for v.Rack[missing] > 0 {
		missing++
	}
	for _, bad := range []string{"", "offer 3", missing.String() + missing.String() + missing.String(), "JJJ"} {
		if _, err := p.Free(game, bad); !errors.Is(err, ErrFree) {
			t.Errorf("%q: %v", bad, err)
		}
	}
	if n := len(p.AllPasses()); n != len(all) {
		t.Errorf("%d passes, %d are legal", n, len(all))
	}
}
