// Package work is big computations as values: what is to be done goes in as bytes, is done in shards that know nothing of
// each other and are merged in their order, and comes out as bytes that do not depend on who did which shard.
//
// A [Job] holds a [Work] of one of the kinds and what was played of it. Its bytes hold all that it depends on: the text of
// the card, the tuning of the players, the house rules, the seed. So another process can read a job, do a shard of it with
// [Job.Shard], or go on with it: stopped anywhere and gone on with, a job comes to the same bytes as in one go.
//
// How a kind computes lives in the package of its subject; this one knows no store and draws nothing. Package desk and the
// commands call it.
package work
