// Package keeping is the page of backups: what is kept where, its snapshots, a backup to take away, and whether all of it
// is sound.
//
// How a data folder is backed up, restored and checked stands in store/folder. Only face/web makes an [Area] and routes to it.
package keeping
