// Package class is the rules of a class that works through an exercise together: who is in it, what is asked, which
// choice of each student counts, and what the room made of it.
//
// A [Class] is a plain value. It knows no network, no clock and no storage: every moment comes in as an argument, and
// its methods refuse what the rules do not allow and leave it as it was.
//
// In a vote the class walks one route together, a [Round] for each decision. Every change of a student's choice is a
// [Vote] with a number that only grows, so that a message which was held up on its way never replaces a newer one. The
// last choice kept before the close counts, if it is complete. In a duplicate class everybody walks the same deal
// alone and is scored against the room's mean.
package class
