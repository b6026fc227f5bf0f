package club

import (
	"time"

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

// Held, Purge, Worked and AddWork are of what one teacher keeps.
func (k Kept) Held(teacher int64) (int64, error) { return k.For(teacher).Held() }
func (k Kept) Purge(teacher int64) error         { return k.For(teacher).Purge() }
func (k Kept) Worked(teacher int64, on time.Time) (time.Duration, error) {
	return k.For(teacher).Worked(on)
}
func (k Kept) AddWork(teacher int64, on time.Time, more time.Duration) (time.Duration, error) {
	return k.For(teacher).AddWork(on, more)
}

// MoveOut puts all that a teacher keeps into a file, a backup such as that of a data folder; MoveIn puts such a file into her account, in which
// nothing may be kept: store.ErrNotEmpty.
func (k Kept) MoveOut(teacher int64, to string) error  { return folder.MoveOut(k.For(teacher), to) }
func (k Kept) MoveIn(teacher int64, from string) error { return folder.MoveIn(from, k.For(teacher)) }
