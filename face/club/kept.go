package club

import (
	"secondpass/store"
	"secondpass/store/folder"
	"secondpass/store/sql"
)

// Kept is what teachers keep in a database of a server.
type Kept struct{ *sql.Database }

// Kept is what one teacher keeps.
func (k Kept) Kept(teacher int64) (store.Store, store.Files) {
	s := k.For(teacher)
	return s, s.Files(nil)
}

// MoveOut puts all that a teacher keeps into a file, a backup such as that of a data folder; MoveIn puts such a file into her account, in which
// nothing may be kept: store.ErrNotEmpty.
func (k Kept) MoveOut(teacher int64, to string) error  { return folder.MoveOut(k.For(teacher), to) }
func (k Kept) MoveIn(teacher int64, from string) error { return folder.MoveIn(from, k.For(teacher)) }
