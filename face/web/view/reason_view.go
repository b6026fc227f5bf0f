package view

import (
	"html/template"

	"secondpass/paper/wording"
)

// ReasonOf is a reason as a page shows it: its sentences, and the hand that they are about drawn below them.
func ReasonOf(p wording.Phrase) template.HTML {
	if p == nil {
		return ""
	}
	text := template.HTMLEscapeString(p.Text())
	if hand := p.Shown(); hand != nil {
		text += `<div class="reason">` + string(HandStrip(hand)) + `</div>`
	}
	return template.HTML(text)
}
