package sql

import (
	"math/rand/v2"
	"sync"
	"time"
)

// Of the 63 bits of a number that the program makes the upper ones are milliseconds since 2020, the lower ones by chance: 41 bits last
// until 2089.
const byChance = 22

var (
	since2020 = time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)
	lastID    int64
	idTurn    sync.Mutex
)

// newID is a number for something that nobody types, greater than all that this program made before, and later ones of others are as a
// rule greater too. No two programs need to ask each other for it.
func newID() int64 {
	idTurn.Lock()
	defer idTurn.Unlock()
	lastID = max(lastID+1, time.Since(since2020).Milliseconds()<<byChance|rand.Int64N(1<<byChance))
	return lastID
}
