package lesson_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"secondpass/exercise"
	"secondpass/rules/card"
	"secondpass/rules/charleston"
	"secondpass/rules/house"
	"secondpass/rules/tile"
	"secondpass/teach/lesson"
)

// dear is the text of a card that is short and stands for very much.
func dear(n int) string {
	ranks := func(suit string) string {
		return "(1" + suit + "|2" + suit + "|3" + suit + "|4" + suit + "|5" + suit + "|6" + suit + ")"
	}
	return fmt.Sprintf("card C%d\nsection S\n25 exposed %s NEWS RR GG F\n", n, ranks("x")+ranks("x")+ranks("y")+ranks("y")+ranks("z"))
}

// A lesson file of some kilobytes whose items have a card each that stands for very much is refused before it has cost
// much; items that share a card pay for it once.
func TestWhatALessonMayCost(t *testing.T) {
	e, err := exercise.New("x", card.Practice(), house.Usual, charleston.South, tile.MustParse("123b 456c 789d NEWS"), exercise.MockPasses, 1)
	if err != nil {
		t.Fatal(err)
	}
	l, err := lesson.New("t")
	if err == nil {
		err = l.AddExercise(e, "A", 0, "")
	}
	var one bytes.Buffer
	if err == nil {
		err = l.Write(&one)
	}
	if err != nil {
		t.Fatal(err)
	}
	read := func(items int, cards int) (int, uint64, error) {
		var file map[string]any
		if err := json.Unmarshal(one.Bytes(), &file); err != nil {
			t.Fatal(err)
		}
		item, err := json.Marshal(file["items"].([]any)[0])
		if err != nil {
			t.Fatal(err)
		}
		var all []any
		for i := range items {
			var copied map[string]any
			if err := json.Unmarshal(item, &copied); err != nil {
				t.Fatal(err)
			}
			copied["exercise"].(map[string]any)["card"] = map[string]any{"name": fmt.Sprintf("C%d", i%cards), "text": dear(i % cards)}
			all = append(all, copied)
		}
		file["items"] = all
		data, err := json.Marshal(file)
		if err != nil {
			t.Fatal(err)
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err = lesson.Read(bytes.NewReader(data))
		runtime.ReadMemStats(&after)
		return len(data), after.TotalAlloc - before.TotalAlloc, err
	}
	size, used, err := read(200, 200)
	if err == nil || !strings.Contains(err.Error(), "combinations") || used > 256<<20 {
		t.Errorf("%d bytes: %d MB and %v", size, used>>20, err)
	}
	if size, used, err := read(200, 2); err != nil || used > 256<<20 {
		t.Errorf("of two cards, %d bytes: %d MB and %v", size, used>>20, err)
	}
	if _, _, err := read(201, 1); err == nil || !strings.Contains(err.Error(), "201 items; 200 are the most") {
		t.Error(err)
	}
}
