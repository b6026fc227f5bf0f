package files

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path"
	"slices"
	"strings"
	"sync"

	"secondpass/advice"
	"secondpass/store"
)

// shelf is what games have shown of tables, and the games of decisions: KEY.PROGRAM.json, each file a checksum in its first line and the data after it. Nothing
// of it is worth an error: what cannot be read is made again, and what cannot be written as well, the next time.
type shelf struct {
	room   Room
	folder string
	most   int // files; of more the oldest go
}

// tablesHeld is how many levels and beliefs there is room for, more than the tables that anybody judges at; gamesHeld how many
// decisions with their games, of a few thousand bytes each.
const tablesHeld, gamesHeld = 256, 4096

// Shelf is the shelf in a folder, which need not be there yet. Every build of the program has its own files there, since what
// another one makes of the same games may differ.
func Shelf(dir string) advice.Shelf { return shelf{Folder(dir), "", tablesHeld} }

func (s shelf) path(key string) string { return path.Join(s.folder, key+"."+build()+".json") }

// build tells builds of the program apart in a few letters.
var build = sync.OnceValue(func() string {
	of := store.Program()
	if path, err := os.Executable(); err == nil {
		if info, err := os.Stat(path); err == nil {
			of += fmt.Sprint(info.Size(), info.ModTime().UnixNano())
		}
	}
	return checksum([]byte(of))[:8]
})

// Take is what was put there whole, or nil.
func (s shelf) Take(key string) []byte {
	text, err := s.room.Read(s.path(key))
	if err != nil {
		return nil
	}
	if data, whole := unsealed(text); whole {
		return data
	}
	return nil
}

// unsealed is the data of a file, and whether they are what was put there.
func unsealed(text []byte) (data []byte, whole bool) {
	sum, data, _ := bytes.Cut(text, []byte("\n"))
	return data, string(sum) == checksum(data)
}

// Put puts data there, and makes room.
func (s shelf) Put(key string, data []byte) {
	if s.room.Write(s.path(key), []byte(checksum(data)+"\n"+string(data))) == nil {
		s.makeRoom()
	}
}

func checksum(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// makeRoom removes the files that were put there longest ago where there are too many.
func (s shelf) makeRoom() {
	files, err := s.room.List(s.folder)
	if err != nil || len(files) <= s.most {
		return
	}
	s.room.Sweep(s.folder)
	files = slices.DeleteFunc(files, func(f File) bool { return f.Folder || strings.HasPrefix(f.Name, Saving) })
	slices.SortFunc(files, func(a, b File) int { return cmp.Or(b.Changed.Compare(a.Changed), cmp.Compare(a.Name, b.Name)) })
	for _, f := range files[min(s.most, len(files)):] {
		_ = s.room.Remove(path.Join(s.folder, f.Name)) // one that stays is removed another time
	}
}
