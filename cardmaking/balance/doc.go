// Package balance finds a card on which all hands are won about equally often, by playing on it.
//
// [Play] deals games to four strong players and counts what hands win. [Search.Card] begins with a draft of
// package compose and goes round: play, learn how strong each hand is, draw those anew that are won
// too often or too seldom. What it hands out has been checked, and is measured beside
// the card at the start on deals that no choice was made by. docs/practice-card.md tells the same for
// teachers, with the figures of the card built in.
package balance
