package table

// VariantsWith are the variants of the card that the open groups of the seat that looks would still
// allow after one more group, as [View.Variants] gives them; none where no hand would remain.
func (v View) VariantsWith(e Exposure) []int32 {
	f := v.s.open[v.seat]
	if int(f.n) == MaxOpen {
		return nil
	}
	f.add(e, v.s.game.extend(&f, e.Tile, e.Size, e.Jokers))
	return v.s.game.open(&f)
}
