package class

import "secondpass/engine/fit"

// Reason is what sets a choice apart from the best ones, or a good one from the rest, in words, with the hand that it is about.
type Reason struct {
	Text string `json:"text"`
	// Hand is the name of the hand, "" for none, Groups its tiles as they stood.
	Hand   string  `json:"hand,omitempty"`
	Groups []Tiles `json:"groups,omitempty"`
}

// Tiles are tiles of one kind in a hand, and how many of them the rack held.
type Tiles struct {
	Kind string `json:"kind"`
	Size int    `json:"size"`
	Held int    `json:"held,omitempty"`
}

// ReasonOf is a reason with the hand that it shows; nil for none.
func ReasonOf(text string, shown *fit.Reading) *Reason {
	r := &Reason{Text: text}
	if shown == nil {
		return r
	}
	r.Hand = shown.OnCard().Name
	held := shown.Held()
	for i, g := range shown.Groups() {
		r.Groups = append(r.Groups, Tiles{g.Kind.String(), g.Size, held[i]})
	}
	return r
}
