package lesson

import (
	"strings"
	"testing"
	"time"
)

func TestReturnedIsChecked(t *testing.T) {
	const head = `{"format":"secondpass answers","version":1,"lesson":"Week","student":`
	const one = `{"drill":"a","answer":"stop","at":"2026-01-02T03:04:05Z","seconds":4.5}`
	f, err := ReadReturned(strings.NewReader(head + `"Ana","answers":[` + one + `]}`))
	if err != nil || f.Student != "Ana" || f.Answers[0].Taken() != 4500*time.Millisecond {
		t.Errorf("%+v, %v", f, err)
	}
	if late := (ReturnedAnswer{Seconds: 90_000}); late.Taken() != 0 {
		t.Errorf("a day of thinking counts as %s", late.Taken())
	}
	for text, want := range map[string]string{
		"":                                    "no file of answers",
		`{"format":"x","version":1}`:          "no file of answers of version",
		head + `"Ana","answers":[]}`:          "0 answers",
		head + `" ","answers":[` + one + `]}`: "the student",
		head + `"Ana","answers":[` + one + `,` + one + `]}`:    "answered before",
		head + `"Ana","answers":[` + one + `],"other":1}`:      "other",
		head + `"Ana","answers":[{"drill":"a","at":"never"}]}`: "no file of answers",
	} {
		if _, err := ReadReturned(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.60q: %v, wanted %q", text, err, want)
		}
	}
}
