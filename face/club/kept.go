package club

import (
	"secondpass/store"
	"secondpass/store/sql"
)

// Kept is what teachers keep in a database of a server.
type Kept struct{ *sql.Database }

// Kept is what one teacher keeps.
func (k Kept) Kept(teacher int64) (store.Store, store.Files) {
	s := k.For(teacher)
	return s, s.Files(nil)
}
