// Package queue is work that somebody asked for and others may watch: begun under a key when there is room, told of as it
// goes on, stopped when nobody watches or kept on until its end.
//
// It knows nothing of what is done, of who asks or of how that is shown. The pages of face/web put the jobs of package work
// and their judgements into it.
package queue
