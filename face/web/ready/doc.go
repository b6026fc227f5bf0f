// Package ready gives pages the fit index of a card and counsels by the user's tuning of it; what takes long to make is
// kept in engine/prepared. Only the areas of face/web call it.
package ready
