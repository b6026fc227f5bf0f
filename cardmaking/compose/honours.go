package compose

// windRow is the four winds with a build, with flowers and a dragon.
func windRow(d *drawer) (hand, bool) {
	f, ok := d.fillWith(anyDragon, "")
	if !ok {
		return hand{}, false
	}
	return honoursHand(d, f, "NEWS", "the four winds")
}

// dragonRow is the three dragons with a build, with flowers and winds.
func dragonRow(d *drawer) (hand, bool) {
	f, ok := d.fillWith(pick(d, []tailKind{facingWinds, anyWind, fourWinds}), "")
	if !ok {
		return hand{}, false
	}
	return honoursHand(d, f, "RG0", "the three dragons")
}

func honoursHand(d *drawer, f filler, symbols, say string) (hand, bool) {
	b, ok := d.build(len(symbols), handTiles-f.size())
	if !ok {
		return hand{}, false
	}
	h := assemble(f, drawn{figure: say, numbers: say, build: b.say, plan: say}, fixed(honourRow(symbols, b.sizes)...))
	h.say = sentence(say, b.say, f.say())
	return h, true
}

// facing is two facing winds around a few numbers, or around one number in several suits.
func facing(d *drawer) (hand, bool) {
	n, p := d.plan()
	f := filler{lead: flowers(pick(d, d.theme.flowers))}
	size := 2 + d.rng.IntN(3)
	second, winds := size, "facing winds"
	if d.rng.IntN(2) == 0 {
		second, winds = size-1, "facing winds, the second thinner"
	}
	b, ok := d.build(n.count(), handTiles-f.size()-size-second)
	if !ok || len(n.choices) > 1 { // alternatives do not nest
		return hand{}, false
	}
	var around piece
	for _, two := range []string{"NS", "EW"} {
		choice := allOf(two[:1], size)
		choice = append(choice, terms(n.choices[0], p.letters, b.sizes)...)
		around = append(around, append(choice, allOf(two[1:], second)...))
	}
	h := assemble(f, drawn{figure: "facing", numbers: n.say, build: b.say, plan: p.say, tail: winds}, around)
	h.slide = n.slide
	h.say = sentence(n.say+" between "+winds, b.say, p.say, f.say())
	return h, true
}
