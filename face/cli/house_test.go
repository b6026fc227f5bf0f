package cli

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"secondpass/paper/wording"
	"secondpass/rules/house"
)

// turnedFlag is the usual house with one rule as it usually is not, and the flag that asks for it.
func turnedFlag(r house.Rule) (house.House, string) {
	h := house.Usual
	if r.IsSwitch() {
		r.Turn(&h, false)
		return h, "--" + r.Field
	}
	r.SetNumber(&h, r.Number(h)+1)
	return h, fmt.Sprintf("--%s=%d", r.Field, r.Number(h))
}

// Each house rule can be asked for of every command that plays or judges by house rules; its machine-readable answer has
// them, what is printed for people names the one that is unusual, and an exercise that is saved keeps it. By the usual house
// rules nothing is said of them.
func TestEveryHouseRuleAtTheCommandLine(t *testing.T) {
	dir := t.TempDir()
	said := func(args ...string) house.House {
		t.Helper()
		var answer struct{ House house.House }
		first, _, _ := strings.Cut(commandLine(t, dir, append(args, "--json")...), "\n")
		if err := json.Unmarshal([]byte(first), &answer); err != nil {
			t.Fatalf("%q: %v", args, err)
		}
		return answer.House
	}
	asked := [][]string{
		{"deal", "--seed", "5"},
		{"compare", "--seed", "5", "--aim", "Runs"},
		{"match", "--deals", "2", "--seats", "nearest,random,random,random"},
		{"advise", "--rack", "228b 14699c 7d EW F J", "--step", "first-right", "--games", "1", "--players", "nearest"},
		{"advise", "--rack", "228b 14699c 7d EW F J", "--step", "first-right", "--games", "1", "--players", "nearest", "--plans"},
		{"card", "report", "--deals", "8", "--games", "1", "--aimed", "0"},
	}
	for _, args := range asked {
		if h := said(args...); h != house.Usual {
			t.Errorf("%q: %+v", args, h)
		}
		if text := commandLine(t, dir, args...); strings.Contains(text, "House rules") {
			t.Errorf("%q speaks of usual house rules:\n%s", args, text)
		}
	}
	for i, rule := range house.Rules {
		want, flag := turnedFlag(rule)
		names := func(args ...string) {
			t.Helper()
			text := strings.Join(strings.Fields(commandLine(t, dir, args...)), " ")
			if !strings.Contains(text, wording.HouseRules(want)) {
				t.Errorf("%q does not say %q:\n%s", args, wording.HouseRules(want), text)
			}
		}
		// Games are played to come to know a table, which takes long: one rule of each part is enough for those.
		samePart := i > 0 && house.Rules[i-1].Part == rule.Part
		for _, args := range asked {
			if args[0] == "advise" && samePart {
				continue
			}
			args = append(args, flag)
			if h := said(args...); h != want {
				t.Errorf("%q: %+v", args, h)
			}
			names(args...)
		}
		saved := "Of rule " + rule.Key
		commandLine(t, dir, "compare", "--seed", "5", "--aim", "Runs", "--save", saved, flag)
		if h := said("compare", saved); h != want {
			t.Errorf("saved with %s: %+v", flag, h)
		}
		names("compare", saved)
		names("walk", saved)
		walked := fmt.Sprint("Walked ", i)
		text := typed(t, dir, "14c 7d\n", "walk", "--rack", "228b 14699c 7d EW F J", "--name", walked, flag)
		if !strings.Contains(strings.Join(strings.Fields(text), " "), wording.HouseRules(want)) {
			t.Errorf("walk %s does not say %q:\n%s", flag, wording.HouseRules(want), text)
		}
		if h := said("compare", walked); h != want {
			t.Errorf("walked with %s: %+v", flag, h)
		}
		if i == 0 {
			names("review", walked, "--games", "1")
		}
		if h := said("review", walked, "--games", "1"); h != want {
			t.Errorf("reviewed with %s: %+v", flag, h)
		}
	}
}
