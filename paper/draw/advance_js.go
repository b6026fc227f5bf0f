package draw

import (
	_ "embed"
	"encoding/json"
	"sync"
	"syscall/js"
)

// A browser has the fonts itself. What it is not asked for is how wide texts are, since drawings are laid out where no page is: in a
// worker.
//
//go:embed fonts/advances.json
var advancesFile []byte

// advances are those of the characters of each face, by its class, in thousandths of the em.
var advances = sync.OnceValue(func() map[string]map[string]float64 {
	var all map[string]map[string]float64
	if err := json.Unmarshal(advancesFile, &all); err != nil {
		panic("draw: embedded advances: " + err.Error())
	}
	return all
})

// read is nothing: there are no files.
type read struct{}

func (f *face) has(r rune) bool {
	_, has := advances()[f.class][string(r)]
	return has
}

func (f *face) advance(r rune) float64 { return advances()[f.class][string(r)] / 1000 }

// composed is a text with letters and their accents in one, as fonts have them.
func composed(text string) string {
	return js.Global().Get("String").New(text).Call("normalize", "NFC").String()
}
