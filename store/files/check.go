package files

import (
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"secondpass/engine/player"
	"secondpass/research/cardreport"
	"secondpass/research/experiment"
)

// sorts are the files of the data folder: where they stand, how their names end, and what reads one.
var sorts = []struct {
	folders   []string
	ext, word string
	read      func(name string, data []byte) error
}{
	// A card file with mistakes in it is a card that somebody is writing; one that is no text was spoilt.
	{[]string{"cards"}, ".card", "card", func(_ string, data []byte) error {
		if strings.ContainsRune(string(data), 0) {
			return fmt.Errorf("it is no text")
		}
		return nil
	}},
	{[]string{filepath.Join("cards", historyFolder)}, earlierExt, "earlier text of a card", func(string, []byte) error { return nil }},
	{[]string{"tuned"}, ".json", "tuning", func(_ string, data []byte) error { _, err := player.ReadTuning(data); return err }},
	{[]string{"experiments", "studies"}, ".json", "result of an experiment", func(name string, data []byte) error {
		_, err := experiment.ReadResult(name, data)
		return err
	}},
	{[]string{"reports"}, ".json", "count of a card report", func(_ string, data []byte) error {
		return json.Unmarshal(data, &cardreport.Counts{})
	}},
	{[]string{"games"}, ".json", "decision judged", func(_ string, data []byte) error {
		if _, whole := unsealed(data); !whole {
			return fmt.Errorf("it is not what was kept; its games are played again when they are asked for")
		}
		return nil
	}},
	{[]string{"unfinished"}, ".json", "unfinished work", func(_ string, data []byte) error {
		if !json.Valid(data) {
			return fmt.Errorf("it is no JSON")
		}
		return nil
	}},
}

// Check reads all files of a data folder: counts says how many of each sort are sound, problems which are not, and why.
func Check(dir string) (counts, problems []string) {
	for _, sort := range sorts {
		sound := 0
		for _, folder := range sort.folders {
			_ = filepath.WalkDir(filepath.Join(dir, folder), func(path string, d fs.DirEntry, err error) error {
				if os.IsNotExist(err) || err == nil && (d.IsDir() || !strings.HasSuffix(d.Name(), sort.ext)) {
					return nil
				}
				var data []byte
				if err == nil {
					data, err = os.ReadFile(path)
				}
				if err == nil {
					err = sort.read(d.Name(), data)
				}
				if err != nil {
					problems = append(problems, fmt.Sprintf("the %s %s is damaged: %v", sort.word, path, err))
				} else {
					sound++
				}
				return nil
			})
		}
		counts = append(counts, fmt.Sprintf("%s: %d", sort.word, sound))
	}
	return counts, problems
}

// CopyAll copies all files of a data folder that can be read into another, and says how many.
func CopyAll(dir, to string) (copied int, err error) {
	for _, folder := range Folders {
		err := filepath.WalkDir(filepath.Join(dir, folder), func(path string, d fs.DirEntry, err error) error {
			if err != nil || !d.Type().IsRegular() || strings.HasPrefix(d.Name(), Saving) {
				return nil
			}
			name, err := filepath.Rel(dir, path)
			if err != nil {
				return err
			}
			data, err := os.ReadFile(path)
			if err != nil {
				return nil // this one is lost
			}
			copied++
			return WriteWith(filepath.Join(to, name), func(w io.Writer) error { _, err := w.Write(data); return err })
		})
		if err != nil {
			return copied, err
		}
	}
	return copied, nil
}
