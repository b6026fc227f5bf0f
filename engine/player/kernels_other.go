//go:build !amd64

package player

// weighAVX512 is of another processor; nothing here is ever called.
func weighAVX512(b *float32, rows *uint32, list *int32, slots int, tiles *uint8, jokers int, come, less *float32) {
	panic("player: a kernel of another processor")
}
