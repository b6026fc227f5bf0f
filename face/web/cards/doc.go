// Package cards is the pages of cards: the list, a card hand by hand, the editor of one's own, and the report on a whole
// card.
//
// What a card is stands in rules/card, what a report counts in research/cardreport. Only face/web makes an [Area] and
// routes to it.
package cards
