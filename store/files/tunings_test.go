package files_test

import (
	"strings"
	"testing"

	"secondpass/engine/player"
	"secondpass/rules/card"
	"secondpass/store/files"
)

func TestATuningComesBack(t *testing.T) { everywhere(t, testATuningComesBack) }

func testATuningComesBack(t *testing.T, room, _ files.Room) {
	c := card.Practice()
	kept := files.On(room, nil).Tunings
	builtIn, _ := player.TuningFor(c)
	if got, err := kept.Tuning(c); err != nil || got != builtIn {
		t.Errorf("with nothing kept: %v, %v", got, err)
	}
	own := builtIn
	own.Calibration.A++
	where, err := kept.SaveTuning(own)
	if err != nil {
		t.Fatal(err)
	}
	if path := "tuned/" + own.Fingerprint + ".json"; where != room.Where(path) || !there(room, path) {
		t.Errorf("people are told of a file that is not there: %s", where)
	}
	if got, err := kept.Tuning(c); err != nil || got != own {
		t.Errorf("kept %v, came back %v, %v", own, got, err)
	}
}

// A file of which only a part was written stops nothing: it is told of once and set aside, whole.
func TestATornTuningIsSetAside(t *testing.T) { everywhere(t, testATornTuningIsSetAside) }

func testATornTuningIsSetAside(t *testing.T, room, _ files.Room) {
	c := card.Practice()
	builtIn, _ := player.TuningFor(c)
	torn := builtIn.Text()[:len(builtIn.Text())/2]
	var told []string
	kept := files.On(room, func(s string) { told = append(told, s) }).Tunings
	path := "tuned/" + builtIn.Fingerprint + ".json"
	_, err := kept.SaveTuning(builtIn)
	if err == nil {
		err = room.Write(path, torn)
	}
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if got, err := kept.Tuning(c); err != nil || got != builtIn {
			t.Errorf("players go by %v, %v", got, err)
		}
	}
	aside := path + ".damaged"
	if len(told) != 1 || !strings.Contains(told[0], room.Where(aside)) || strings.Contains(told[0], "\n") {
		t.Errorf("told: %q", told)
	}
	if data, err := room.Read(aside); err != nil || string(data) != string(torn) {
		t.Errorf("what was set aside is %q, %v", data, err)
	}
	own := builtIn
	own.Calibration.A++
	if _, err := kept.SaveTuning(own); err != nil {
		t.Fatal(err)
	}
	if got, err := kept.Tuning(c); err != nil || got != own {
		t.Errorf("a new one is not gone by: %v, %v", got, err)
	}
}
