// Package sim plays many games on all cores with results that depend only on the seed.
//
// [Stream] gives game number n of a run its own random numbers, so that it does not matter
// which core plays it, and two candidates given the same n meet the same tiles.
// [Run] cuts a run into shards, plays them side by side and merges their results in the order
// of the games. It can be stopped and then keeps the games from the first on without a gap.
// Whatever else comes in independent pieces goes through [InOrder]. Both are done by the [Runner] of their context, which
// is all cores of this process where nobody says otherwise; it never changes what comes out.
package sim
