package drill

import "testing"

// triesAbout are tries of a kind with racks about a theme, so many of them right.
func triesAbout(kind Kind, theme Theme, n, right int) []Try {
	list := make([]Try, n)
	for i := range list {
		list[i] = Try{Kind: string(kind), Step: "first-right", Right: i < right, Themes: []Theme{theme}}
	}
	return list
}

// What is named to practise next is where a student is surely right less often than in all together; nothing is named where that is not
// shown. The intervals of shares are Wilson's, which package stat checks against R.
func TestWhatToPractiseNext(t *testing.T) {
	good := triesAbout(Stopping, Flowers, 40, 34)
	for _, c := range []struct {
		name  string
		tries []Try
		theme Theme
		kind  Kind
	}{
		{"nothing", nil, "", ""},
		{"all alike", good, "", ""},
		{"a weak theme", append(triesAbout(Stopping, Multiples, 20, 4), good...), Multiples, ""},
		{"too few to say", append(triesAbout(Stopping, Multiples, 7, 0), good...), "", ""},
		{"not shown", append(triesAbout(Stopping, Multiples, 10, 7), good...), "", ""},
		{"a weak kind", append(triesAbout(Breaking, Flowers, 20, 4), good...), "", Breaking},
		{"the weaker of two", append(append(triesAbout(Stopping, Multiples, 20, 8), triesAbout(Stopping, OneSuit, 20, 2)...), good...), OneSuit, ""},
	} {
		r := NewProgress(c.tries, nil)
		switch {
		case r.Next == nil && c.theme == "" && c.kind == "":
		case r.Next == nil:
			t.Errorf("%s: nothing is named", c.name)
		case r.Next.Theme != c.theme || r.Next.Kind != c.kind:
			t.Errorf("%s: %+v", c.name, r.Next)
		}
	}
	r := NewProgress(append(triesAbout(Stopping, Multiples, 4, 1), triesAbout(Stopping, Flowers, 2, 2)...), nil)
	if len(r.Themes) != 2 || r.Themes[0].Name != "flowers" || r.Themes[1].Tries != 4 || r.Themes[1].Right.Value != 0.25 {
		t.Errorf("by theme: %+v", r.Themes)
	}
}
