// Package ready keeps what takes long to make of a card for the pages that need it again: its fit index, and counsels
// against players. Only the areas of face/web call it.
package ready
