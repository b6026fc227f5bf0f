package card

import _ "embed"

// Template is the text of a card that an owner fills in from her paper card: every
// form of the notation explained in remarks, and no hand yet.
//
//go:embed template.card
var Template string
