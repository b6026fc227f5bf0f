package player

import (
	"math"
	"strings"
	"testing"

	"secondpass/rules/card"
	"secondpass/rules/tile"
)

// The practice card has its own tuning, also with another set of tiles; every other card has the general one.
func TestTuningFor(t *testing.T) {
	if tuning, known := TuningFor(card.Practice()); !known || tuning.Card != "Lantern" || tuning.Params.Check() != nil || tuning.Calibration.B <= 0 {
		t.Errorf("the practice card has %+v, known %v", tuning, known)
	}
	other, _, err := card.Read("own", []byte("card Own\nsection A\n25 exposed 111x 222x 444x 555x 77x ; slide\n"), tile.Usual)
	if err != nil {
		t.Fatal(err)
	}
	if tuning, known := TuningFor(other); known || tuning.Params != General || tuning.Card != "Own" {
		t.Errorf("another card has %+v, known %v", tuning, known)
	}
}

// Names and notes do not change a fingerprint; a hand, its points, and whether it is concealed do.
func TestFingerprint(t *testing.T) {
	read := func(text string) string {
		c, _, err := card.Read("own", []byte(text), tile.Usual)
		if err != nil {
			t.Fatal(err)
		}
		return Fingerprint(c)
	}
	first := read("card Own\nsection A\n25 exposed 111x 222x 444x 555x 77x\n")
	if renamed := read("card Other\nsection B\n# remark\n25 exposed 111x 222x 444x 555x 77x ; name \"Five\"\n"); renamed != first {
		t.Error("another name, another fingerprint")
	}
	for _, line := range []string{"30 exposed 111x 222x 444x 555x 77x", "25 concealed 111x 222x 444x 555x 77x", "25 exposed 111x 222x 444x 555x 77x ; no jokers", "25 exposed 111x 222x 444x 555x 88x"} {
		if read("card Own\nsection A\n"+line+"\n") == first {
			t.Errorf("%s has the fingerprint of another hand", line)
		}
	}
}

func TestTuningText(t *testing.T) {
	tuning := Tuning{Card: "Own", Fingerprint: "ab", Params: General, Calibration: Calibration{A: 1.25, B: .5}}
	again, err := ReadTuning(tuning.Text())
	if err != nil || again != tuning {
		t.Errorf("%+v became %+v, %v", tuning, again, err)
	}
	for _, row := range []struct{ text, want string }{
		{"", "JSON"},
		{"[]", "JSON"},
		{strings.Replace(string(tuning.Text()), `"horizon": 0.3`, `"horizon": -1`, 1), "horizon is -1"},
		{strings.Replace(string(tuning.Text()), `"lines": 48`, `"lines": 0`, 1), "lines is 0"},
	} {
		if _, err := ReadTuning([]byte(row.text)); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%q: %v", row.text, err)
		}
	}
}

// A calibration is the logistic function of the logarithm, also where a rack is worth nothing.
func TestCalibration(t *testing.T) {
	c := Calibration{A: 1, B: .5}
	for worth, want := range map[float64]float64{1: 1 / (1 + math.Exp(-1)), math.E * math.E: 1 / (1 + math.Exp(-2)), math.Exp(-2): .5} {
		if got := c.Chance(worth); math.Abs(got-want) > 1e-12 {
			t.Errorf("worth %v: %v, %v is right", worth, got, want)
		}
	}
	if p := c.Chance(0); !(p > 0 && p < 1e-3) {
		t.Errorf("worth nothing has a chance of %v", p)
	}
}
