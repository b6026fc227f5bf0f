package card

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"secondpass/rules/tile"
)

func ExampleRead() {
	text := "card Demo\nsection Evens\n25 exposed FFF 22x 444y 66z 8888x\n"
	c, _, err := Read("demo.card", []byte(text), tile.Usual)
	fmt.Println(len(c.Hands), len(c.Variants), c.Hands[0].Name, c.Variants[0].Groups, err)
	_, _, err = Read("demo.card", []byte("card Demo\nsection Evens\n25 exposed FFF 22x 444 66z\n"), tile.Usual)
	fmt.Println(err)
	// Output:
	// 1 6 Evens 1 [FFF 22b 444c 66d 8888b] <nil>
	// demo.card:3:20: found ranks without a suit letter in "444"; right would be a suit letter x, y, z, b, c or d at the end of the word
}

// expandLine reads one hand line on a card of its own.
func expandLine(t interface{ Fatalf(string, ...any) }, line string) *Card {
	c, _, err := Read("test.card", []byte("card T\nsection S\n"+line), tile.Usual)
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	return c
}

func variantTexts(c *Card) []string {
	var texts []string
	for _, v := range c.Variants {
		texts = append(texts, groupsText(v.Groups))
	}
	return texts
}

// inSuits is the same group in each of the suits, which no card needs and the counting does.
func inSuits(group, letters string) string {
	words := ""
	for _, l := range letters {
		words += " " + group + string(l)
	}
	return words
}

// The counts follow from the notation by hand: 3! suit assignments, 3 for one suit,
// 3 pairs of suits where two play the same part, shifts that keep ranks in 1-9.
func TestExpandCounts(t *testing.T) {
	tests := []struct {
		name, line string
		want       int
	}{
		{"three suits", "25 exposed FFF 22x 444y 66z 8888x", 6},
		{"one suit", "25 exposed FFF 22222x 44x 7777x", 3},
		{"two suits", "25 exposed FFF 22222x 44x 7777y", 6},
		{"two suits alike", "25 exposed FFFFFF" + inSuits("2222", "xy"), 3},
		{"three suits alike", "25 exposed FFFFF" + inSuits("222", "xyz"), 1},
		{"named suit", "25 exposed FFF 22222b 44b 7777b", 1},
		{"named suit beside x", "25 exposed FFF 22222b 44x 7777x", 3},
		{"slide of one rank", "25 exposed FFFFFF" + inSuits("2222", "xy") + " ; slide", 27},
		{"slide of a run of five, three suits", "25 exposed 1111x 22x 333y 44y 555z ; slide", 30},
		{"slide of a run of five, one suit", "25 exposed 11x 22x 333x 4x 55x NNN R ; slide", 15},
		{"even shifts", "25 exposed FF 222x 44x 6666x NN S ; slide 2", 6},
		{"even shifts from 1", "25 exposed FF 111x 33x 5555x NN S ; slide 2", 9},
		{"alternatives", "25 exposed FFFFF (NN SS|EE WW) 15b 3c 7d 0", 2},
		{"alternatives that coincide", "25 exposed FFFFF (NN SS|SS NN) 15b 3c 7d 0", 1},
		{"alternatives glued", "25 exposed FFFFF 22x(NN|SS)4444x R", 6},
		{"slide by the ranks chosen", "25 exposed FFFFF (111x|999x) NNN RRR ; slide", 27},
		{"a choice without ranks stands once", "25 exposed FFFFF (111x|NNN) EEE RRR ; slide", 28},
		{"dragons of suits", "25 exposed FFFFF DDDx DDDy NNN", 3},
		{"white dragon with a rank word", "25 exposed FFFF 407x 444y 777z N", 6},
		{"all honours", "25 exposed NNNNN EEE WWW SSS", 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := expandLine(t, tt.line)
			if len(c.Variants) != tt.want {
				t.Errorf("%s stands for %d variants, want %d: %v", tt.line, len(c.Variants), tt.want, variantTexts(c))
			}
		})
	}
}

// The order is that of the notation: leftmost alternative slowest, then
// bcd bdc cbd cdb dbc dcb, then shifts upward.
func TestExpandOrder(t *testing.T) {
	got := variantTexts(expandLine(t, "25 exposed FFFF (NN|SS) (E|W) 333x 4444y ; slide 2"))
	if want := "FFFF NN E 111b 2222c"; got[0] != want {
		t.Errorf("first variant %q, want %q", got[0], want)
	}
	if want := "FFFF NN E 333b 4444c"; got[1] != want {
		t.Errorf("second variant %q, want %q", got[1], want)
	}
	if want := "FFFF NN E 111b 2222d"; got[4] != want {
		t.Errorf("fifth variant %q, want %q", got[4], want)
	}
	if want := "FFFF NN W 111b 2222c"; got[24] != want {
		t.Errorf("variant 25 is %q, want %q", got[24], want)
	}
	if want := "FFFF SS E 111b 2222c"; got[48] != want {
		t.Errorf("variant 49 is %q, want %q", got[48], want)
	}
}

func TestGroups(t *testing.T) {
	c := expandLine(t, "25 concealed 1122b 00x 0 4073b NEW ; no jokers ; name \"Odd # one; here\" ; note \"two  blanks\"")
	got := fmt.Sprint(c.Variants[0].Groups)
	if want := "[11b 22b 00 0 4b 0 7b 3b N E W]"; got != want {
		t.Errorf("groups %s, want %s", got, want)
	}
	h := c.Hands[0]
	if h.Name != "Odd # one; here" || h.Note != "two  blanks" || h.Jokers || !h.Concealed || h.Points != 25 {
		t.Errorf("hand %+v", h)
	}
	if c.TakesJokers(&c.Variants[0]) {
		t.Error("a hand without jokers takes one")
	}
}

func TestNames(t *testing.T) {
	text := "\uFEFFcard My  card # remark\r\nseason\t2026\r\nsection A; b\r\n" +
		"5 exposed FFFFF NNN EEE WWW ; name \"X\"\r\n10 exposed FFFFF NNN EEE SSS\r\n"
	c, warnings, err := Read("t", []byte(text), tile.Usual)
	if err != nil || len(warnings) > 0 {
		t.Fatal(err, warnings)
	}
	if c.Name != "My  card" || c.Season != "2026" || c.Sections[0] != "A; b" || c.Hands[0].Name != "X" || c.Hands[1].Name != "A; b 2" {
		t.Errorf("%+v", c)
	}
	for name, want := range map[string][]int{"a; B": {0, 1}, "x": {0}, "A; b 2": {1}} {
		if got, err := c.Find(name); err != nil || !slices.Equal(got, want) {
			t.Errorf("Find(%q) = %v, %v; want %v", name, got, err, want)
		}
	}
	if _, err := c.Find("Evens"); err == nil {
		t.Error("Find of an unknown section: no error")
	}
}

func TestProblems(t *testing.T) {
	const good = "25 exposed FFF 22x 444y 66z 8888x\n"
	head := "card T\nsection S\n"
	tests := []struct {
		name, text string
		want       []string // line:column: a part of the message, in order
	}{
		{"too few tiles", head + "25 exposed FFF 22x 444y 66z 888x", []string{"3:12: found 13 tiles; right would be 14 tiles"}},
		{"an alternative of another length", head + "25 exposed FFF 22x 444y 66z (8888x|888x)", []string{"3:12: found 13 tiles with one choice"}},
		{"unknown word", head + "25 exposed FFF 22x 444q 66z 8888x", []string{`3:20: found the unknown word "444q"`}},
		{"lower case honour", head + "25 exposed fff 22x 444y 66z 8888x", []string{`3:12: found the unknown word "fff"`}},
		{"joker written", head + "25 exposed JJJ 22x 444y 66z 8888x", []string{`3:12: found the unknown word "JJJ"`}},
		{"rank without suit", head + "25 exposed FFF 22 444y 66z 8888x", []string{`3:16: found ranks without a suit letter in "22"`}},
		{"zero and rank without suit", head + "25 exposed FFF 02 444y 66z 8888x", []string{`3:17: found ranks without a suit`}},
		{"dragon without suit", head + "25 exposed DDD 22x 444y 66z 8888x", []string{`3:12: found a dragon without a suit`}},
		{"group of seven", head + "25 exposed FFFFFFF 22x 444y 66z", []string{"3:12: found a group of 7"}},
		{"slide with no ranks", head + "25 exposed NNNNN EEE WWW SSS ; slide", []string{"3:12: found a slide with no ranks"}},
		{"slide of dragons and zeros", head + "25 exposed 00x DDDDx NNNN EEEE ; slide", []string{"3:12: found a slide with no ranks"}},
		{"five of a kind in pairs", head + "25 exposed NN NN N EEEE WWWW S", []string{"3:12: found a variant that no set of tiles can make, NN NN N EEEE WWWW S: 5 of N where no joker can stand"}},
		{"nine flowers", head + "25 exposed FF FF FF FF F EEEE S", []string{"9 of F where no joker"}},
		{"more jokers than there are", head + "25 exposed NNNNN NNNNN NNN S ; no jokers", []string{"3:12: found a variant that no set"}},
		{"nine jokers", head + "25 exposed NNNNNN NNNNNN NN", []string{"10 tiles more than the set has"}},
		{"unknown option", head + "25 exposed FFF 22x 444y 66z 8888x ; slid", []string{`3:37: found the unknown option "slid"`}},
		{"slide 3", head + "25 exposed FFF 22x 444y 66z 8888x ; slide 3", []string{`3:37: found the unknown option "slide 3"`}},
		{"two options after one ;", head + "25 exposed FFF 22x 444y 66z 8888x ; slide no jokers", []string{`3:37: found the unknown option`}},
		{"option twice", head + "25 exposed FFF 22x 444y 66z 8888x ; slide ; slide 2", []string{`3:45: found the option "slide" a second time`}},
		{"name twice in a line", head + "25 exposed FFF 22x 444y 66z 8888x ; name \"a\" ; name \"b\"", []string{`3:48: found the option "name" a second time`}},
		{"empty option", head + "25 exposed FFF 22x 444y 66z 8888x ;", []string{"3:36: found an empty option"}},
		{"name without quotes", head + "25 exposed FFF 22x 444y 66z 8888x ; name x", []string{"3:37: found the unknown option"}},
		{"name alone", head + "25 exposed FFF 22x 444y 66z 8888x ; name", []string{`3:37: found option "name" without one text in quotes`}},
		{"text after the quotes", head + "25 exposed FFF 22x 444y 66z 8888x ; name \"x\" y", []string{"3:37: found option"}},
		{"points zero", head + "0 exposed FFF 22x 444y 66z 8888x", []string{`3:1: found points "0"`}},
		{"points with a sign", head + "+25 exposed FFF 22x 444y 66z 8888x", []string{`3:1: found points "+25"`}},
		{"negative points", head + "-25 exposed FFF 22x 444y 66z 8888x", []string{`3:1: found points "-25"`}},
		{"leading zero", head + "025 exposed FFF 22x 444y 66z 8888x", []string{`3:1: found points "025"`}},
		{"a fraction", head + "2.5 exposed FFF 22x 444y 66z 8888x", []string{`3:1: found points "2.5"`}},
		{"points in words", head + "many exposed FFF 22x 444y 66z 8888x", []string{`3:1: found points "many"`}},
		{"huge points", head + "99999999999999999999 exposed FFF 22x 444y 66z 8888x", []string{`3:1: found points`}},
		{"no exposure", head + "25 FFF 22x 444y 66z 8888x", []string{`3:4: found "FFF"; right would be exposed or concealed`}},
		{"wrong exposure", head + "25 open FFF 22x 444y 66z 8888x", []string{`3:4: found "open"; right would be exposed or concealed`}},
		{"nothing after the points", head + "25", []string{"3:3: found nothing after the points", "3:3: found no groups"}},
		{"unknown statement", "card T\nsektion S\n", []string{`2:1: found "sektion"`}},
		{"hand before any section", "card T\n" + good, []string{"2:1: found a hand before any section"}},
		{"card twice", "card T\ncard U\nsection S\n" + good, []string{`2:1: found "card" a second time (it stands in line 1)`}},
		{"no card", "section S\n" + good, []string{"1:1: found no line that names the card"}},
		{"card without a name", "card # T\nsection S\n" + good, []string{`1:1: found "card" without a name`}},
		{"section twice", head + good + "section S\n", []string{`4:9: found section "S" a second time (it stands in line 2)`}},
		{"hand name twice", head + "25 exposed FFF 22x 444y 66z 8888x ; name \"A\"\n30 exposed FFFF 22x 444y 66z 888x ; name \"A\"\n",
			[]string{`4:37: found the hand name "A" a second time (it stands in line 3)`}},
		{"a given name that is another's default", head + good + "30 exposed FFFF 22x 444y 66z 888x ; name \"S 1\"\n",
			[]string{`3:1: found a hand called "S 1"`}},
		{"unclosed quote", head + "25 exposed FFF 22x 444y 66z 8888x ; name \"A # b", []string{"3:42: found a quote that is not closed"}},
		{"no UTF-8", head + "25 exposed é\xff", []string{"3:13: found the byte 0xff"}},
		{"empty alternative", head + "25 exposed FFF 22x 444y 66z (8888x|)", []string{"3:36: found an empty alternative"}},
		{"empty brackets", head + "25 exposed FFF 22x 444y 66z 8888x ()", []string{"3:36: found an empty alternative"}},
		{"nested alternatives", head + "25 exposed FFF 22x 444y 66z (8888x|(N))", []string{"3:36: found alternatives inside alternatives"}},
		{"unclosed alternatives", head + "25 exposed FFF 22x 444y 66z (8888x|", []string{"3:29: found alternatives that are not closed"}},
		{"bar outside", head + "25 exposed FFF 22x | 444y 66z 8888x", []string{"3:20: found '|' outside alternatives"}},
		{"several errors of a file", "card T\n25 FFF 2\nsection\n7 exposed 22q 3 ; foo\n",
			[]string{"2:1: found a hand before", "2:4: found \"FFF\"", "2:8: found ranks", "3:1: found a section without", "4:11: found the unknown word", "4:15: found ranks", "4:19: found the unknown option"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c, _, err := Read("f", []byte(tt.text), tile.Usual)
			if err == nil {
				t.Fatalf("no error, card %+v", c)
			}
			lines := strings.Split(err.Error(), "\n")
			if len(lines) != len(tt.want) {
				t.Fatalf("%d errors, want %d:\n%v", len(lines), len(tt.want), err)
			}
			for i, want := range tt.want {
				if !strings.Contains(lines[i], want) {
					t.Errorf("error %d is %q, want %q", i+1, lines[i], want)
				}
			}
		})
	}
}

func TestSameHandTwice(t *testing.T) {
	text := "card T\nsection S\n25 exposed FFF 22222x 44x 7777y\n30 exposed FFF 22222z 44z 7777y\n"
	c, warnings, err := Read("f", []byte(text), tile.Usual)
	if err != nil || len(warnings) != 1 || warnings[0].Line != 4 || len(c.Hands) != 2 {
		t.Fatalf("%v, %v", warnings, err)
	}
}

func TestTooManyVariants(t *testing.T) {
	line := "25 exposed " + strings.Repeat("(1x|2x|3x|4x|5x|6x|7x|8x|9x)", 14)
	_, _, err := Read("f", []byte("card T\nsection S\n"+line), tile.Usual)
	if err == nil || !strings.Contains(err.Error(), "3:12: found a") {
		t.Errorf("error %v", err)
	}
}

func TestHouseSetOfJokers(t *testing.T) {
	set, err := tile.NewSet(8, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := Read("f", []byte("card T\nsection S\n25 exposed NNNNN EEE WWW SSS\n"), set); err == nil {
		t.Error("a quint without jokers in the set: no error")
	}
}

func TestTemplate(t *testing.T) {
	for _, text := range []string{Template, strings.Replace(Template, "# 25 exposed", "25 exposed", 1)} {
		if _, _, err := Read("template", []byte(text), tile.Usual); err != nil {
			t.Error(err)
		}
	}
}

// drawLine draws a hand line of 14 tiles from groups of all sizes and suits.
func drawLine(t *rapid.T) string {
	var words []string
	for left := HandTiles; left > 0; {
		n := min(left, rapid.IntRange(1, 4).Draw(t, "size"))
		left -= n
		symbol := rapid.SampledFrom([]string{"1", "2", "5", "9", "N", "R", "0", "F", "D"}).Draw(t, "symbol")
		word := strings.Repeat(symbol, n)
		if strings.Contains("1259D", symbol) {
			word += rapid.SampledFrom([]string{"x", "y", "z", "b", "c", "d"}).Draw(t, "suit")
		}
		words = append(words, word)
	}
	return "25 exposed " + strings.Join(words, " ")
}

// Renaming x, y and z in a line names the same hands.
func TestRenamingSuits(t *testing.T) {
	renames := [][3]string{{"y", "x", "z"}, {"z", "y", "x"}, {"y", "z", "x"}}
	rapid.Check(t, func(t *rapid.T) {
		line := drawLine(t)
		c, _, err := Read("a", []byte("card T\nsection S\n"+line), tile.Usual)
		if err != nil {
			t.Skip(err) // the line drawn is no hand; rapid draws another
		}
		for _, names := range renames {
			renamed := strings.NewReplacer("x", names[0], "y", names[1], "z", names[2]).Replace(strings.TrimPrefix(line, "25 exposed "))
			d := expandLine(t, "25 exposed "+renamed)
			if a, b := keys(c), keys(d); !slices.Equal(a, b) {
				t.Fatalf("%s stands for %d variants, renamed %s for %d others", line, len(a), renamed, len(b))
			}
		}
	})
}

func keys(c *Card) []string {
	var keys []string
	for _, v := range c.Variants {
		keys = append(keys, string(v.Small[:])+string(v.Large[:]))
	}
	slices.Sort(keys)
	return keys
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("card T\nsection S\n25 exposed FFF 22x 444y 66z 8888x ; slide ; note \"a\"\n"))
	f.Add([]byte("\uFEFFcard T # x\r\nseason 2026\r\nsection S\r\n25 concealed (NN SS|EE WW) 22x(D|0)4444x 00x FF\r\n"))
	f.Add([]byte("card\nsection\n-1 exposed ((|) 7 ;;\n\"\xff"))
	f.Add([]byte(Template))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, warnings, err := Read("f", data, tile.Usual)
		lines := strings.Split(strings.TrimPrefix(string(data), "\uFEFF"), "\n")
		check := func(p Problem) {
			if p.Line < 1 || p.Line > len(lines) || p.Column < 1 || p.Column > len([]rune(lines[p.Line-1]))+1 || p.Found == "" || p.Right == "" {
				t.Fatalf("problem %+v is outside the text", p)
			}
		}
		for _, w := range warnings {
			check(w)
		}
		if err != nil {
			for _, p := range err.(Problems) {
				check(p)
			}
			return
		}
		for _, v := range c.Variants {
			if n := v.Small.Plus(v.Large).Size(); n != HandTiles {
				t.Fatalf("%s has a variant of %d tiles", c.Hands[v.Hand].Name, n)
			}
		}
	})
}
