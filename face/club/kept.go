package club

import (
	"path/filepath"
	"strconv"

	"secondpass/store"
	"secondpass/store/files"
	"secondpass/store/sql"
)

// Kept is what teachers keep: in a database, and their cards, tunings, results, reports and unfinished work as files in a folder of each.
type Kept struct {
	*sql.Database
	// Dir is the folder in which those of the teachers stand.
	Dir string
}

// Kept is what one teacher keeps.
func (k Kept) Kept(teacher int64) (store.Store, store.Files) {
	return k.For(teacher), files.In(filepath.Join(k.Dir, "teachers", strconv.FormatInt(teacher, 10)), nil)
}
