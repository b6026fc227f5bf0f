// Package hall is the live classes that somebody is in: who has joined, the votes and their timers, the walks of a
// duplicate class, how much one phone may ask for, and whom to tell when something changes.
//
// A [Hall] finds the [Room] of each class. Room.Now is the class at one moment, a [State] that never changes, with
// channels that close when there is a newer one: nobody polls, and nobody who reads waits for the disk. What changes a
// class goes the other way: it is tried on a copy by the rules of package class, written, and only then shown. So what
// is shown is on the disk, and after a write that failed the class is as it was before.
//
// Here lives no HTML, no network and no judging of racks: a face shows states, brings messages and listens for phones,
// and what a rack is worth comes in as a [Rater]. The rules of a class are those of package class.
package hall
