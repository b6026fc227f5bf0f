// Package compose draws a whole card of hands by a written procedure, so that there
// is a card to practise on that nobody else has written.
//
// [Draw] goes through four steps. It lists the builds: all ordered group sizes
// that can be said in a word, such as growing or thick in the middle. It draws many hands for
// every section from a figure (a row, an echo, a strip of singles ...), the numbers of
// the section, a build, a suit plan and fillers. It measures every hand (how far a deal
// is from it on average) and every two of them (how many tiles they can share). It
// then picks whole cards from these hands, betters each by swaps, and keeps the one with
// the least blemish. No hand is written down anywhere in this package.
// docs/practice-card.md tells the same for teachers, with the figures of the card built in.
//
// [Difficulty] and [Count] measure any card, drawn or not.
package compose
