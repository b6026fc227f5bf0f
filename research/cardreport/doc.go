// Package cardreport says what a card is like: how near random deals start to each hand, how often it is won
// with, what it is worth to aim at it, how hard it is to be concealed or to take no jokers, which hands
// go together, which kinds of tile are wanted and which are passed, and what held at the deal speaks for
// which section.
//
// A Survey runs in three stages. Deals reads racks of 13 against the card. Games lets four strong players play.
// Aims lets one strong player steer for one hand or section against three who are free. All that they find adds up in a
// [Tally] of whole numbers, so that it is the same on any number of cores and a run can be stopped, kept as
// JSON, and gone on with. [Survey.Report] works out the figures: plain structs with 95 % intervals.
//
// The intervals are for numbers of deals and games fixed in advance. Nothing is shown while a survey runs, so
// that stopping it cannot depend on what it found.
package cardreport
