package exercise

import (
	"fmt"
	"strings"
	"testing"

	"secondpass/rules/charleston"
)

// replaceLast is s with the last old replaced.
func replaceLast(s, old, with string) string {
	i := strings.LastIndex(s, old)
	if i < 0 {
		return s
	}
	return s[:i] + with + s[i+len(old):]
}

func TestReadRefusesAtTheTable(t *testing.T) {
	e := newExercise(t, charleston.South, TablePasses, 5)
	playOut(t, e, e.Routes[0], plainPlay)
	good := write(t, e)
	first := e.Routes[0].Decisions[0]
	east := `"E": {` + "\n       \"pass\": \"" + first.Others[charleston.East].Own.String() + `"`
	begin := e.Routes[0].Play[0].String()
	last := e.Routes[0].Play[len(e.Routes[0].Play)-1].String()
	tests := []struct {
		name, from, to, want string
	}{
		{"players", `"players": "nearest"`, `"players": "genius"`, `no player is called "genius"`},
		{"no players", `"players": "nearest"`, `"players": ""`, "players: "},
		{"long players", `"players": "nearest"`, `"players": "` + strings.Repeat("x", 300) + `"`, "200 are the most"},
		{"own rack", `"racks": {`, `"racks": {"S": "1b",`, "racks: those of the three seats other than South"},
		{"a rack missing", `  "N": "`, `  "Q": "`, "racks: those of the three seats"},
		{"a rack more", `"racks": {`, `"racks": {"Q": "1b",`, "racks: 4 of them; 3 are right"},
		{"rack", `  "N": "`, `  "N": "1b `, "racks: North has 14 tiles; 13 are right"},
		{"no tiles", `  "N": "`, `  "N": "9x `, "racks: North: position 2"},
		{"wall", `"wall": "`, `"wall": "1b `, "in all, but the set has"},
		{"wall text", `"wall": "`, `"wall": "1x `, "wall: position 2"},
		{"racks without a table", `"incoming": "table"`, `"incoming": "entered"`, "players, racks or a wall where"},
		{"another's tiles", east, `"E": {"pass": "JJJ"`, "route A, decision 1: East: a joker is never passed"},
		{"another's act", east, `"E": {"stop": true`, "others: East: pass (and blind) is right here, and nothing else"},
		{"another missing", `"E": {` + "\n       \"pass\"", `"Q": {"pass"`, "what East did is missing"},
		{"own act among the others", `"others": {`, `"others": {"S": {"pass": "1b"},`, "South is the player's own seat"},
		{"a seat more", `"others": {`, `"others": {"Q": {"pass": "1b"},`, "a seat that there is not"},
		{"play is no action", begin, "E dances", `play 1: "E dances" is no action`},
		{"another's decline", begin, "N declines", "that others decline is not written down"},
		{"a tile not held", begin, "E discards 9d", "play 1 (E discards 9d)"},
		{"out of turn", begin, "W discards 1b", "it is East's turn"},
		{"more after the end", `"` + last + `"`, `"` + last + `", "E discards 1b"`, "the game is over"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			bad := strings.Replace(good, tt.from, tt.to, 1)
			if tt.name == "more after the end" {
				bad = replaceLast(good, tt.from, tt.to)
			}
			if bad == good {
				t.Fatalf("%q is not in the file", tt.from)
			}
			if _, err := Read(strings.NewReader(bad)); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
		})
	}
	t.Run("play cut off", func(t *testing.T) {
		r := e.Routes[0]
		r.Play = r.Play[:0]
		if _, err := Read(strings.NewReader(write(t, e))); err == nil || !strings.Contains(err.Error(), "the play ends where East is to act") {
			t.Error(err)
		}
	})
}

// Where the player exchanges nothing at the courtesy the two others beside may; the file tells of it.
func TestOthersExchangeAlone(t *testing.T) {
	seen := 0
	for seed := range uint64(12) {
		e := newExercise(t, charleston.South, TablePasses, seed)
		r := e.Routes[0]
		if err := e.WalkOn(r.Name, 0); err != nil {
			t.Fatal(err)
		}
		for r.Choice(r.Len()-1).InPlay() || r.Choice(r.Len()-1).Decision.Phase != charleston.Naming {
			if _, err := e.Undo("A"); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := e.Undo("A"); err != nil {
			t.Fatal(err)
		}
		d, err := e.Do("A", Decision{Count: 0})
		if err != nil {
			t.Fatal(err)
		}
		east, west := d.Others[charleston.East], d.Others[charleston.West]
		if both := min(east.Count, west.Count); east.Own.Len() != both || west.Own.Len() != both {
			t.Errorf("seed %d: East and West offered %d and %d, but gave %s and %s", seed, east.Count, west.Count, east.Own, west.Own)
		}
		seen += east.Own.Len()
		text := write(t, e)
		if back, err := Read(strings.NewReader(text)); err != nil || write(t, back) != text {
			t.Fatalf("%v\n%s", err, text)
		}
	}
	if seen == 0 {
		t.Error("the others never exchanged anything; other seeds are needed")
	}
}

// Routes are bounded, so that no file takes long to check.
func TestRoutesAreBounded(t *testing.T) {
	e := newExercise(t, charleston.South, MockPasses, 5)
	for i := range maxRoutes - 1 {
		if _, err := e.Fork("A", 0, fmt.Sprintf("route %d", i)); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := e.Fork("A", 0, ""); err == nil || !strings.Contains(err.Error(), "has 1000 routes") {
		t.Errorf("a route too many: %v", err)
	}
	good := write(t, e)
	if _, err := Read(strings.NewReader(good)); err != nil {
		t.Error(err)
	}
	bad := strings.Replace(good, `"routes": [`, `"routes": [{"name": "more", "decisions": []},`, 1)
	if _, err := Read(strings.NewReader(bad)); err == nil || !strings.Contains(err.Error(), "routes: 1001 of them; 1000 are the most") {
		t.Errorf("a file with a route too many: %v", err)
	}
}
