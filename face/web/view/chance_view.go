package view

import (
	"fmt"

	"secondpass/engine/stat"
	"secondpass/engine/unit"
)

func ChanceFigure(s Scale[unit.Chance], i stat.Interval[unit.Chance]) Figure {
	return Figure{Value: fmt.Sprintf("%.1f %%", 100*i.Value), Range: RangeText(100*i.Low, 100*i.High, i.Bounded()), Bar: s.Bar(i)}
}

// ChanceScale is the scale of the first few candidates: the far worse ones would squeeze them together.
func ChanceScale(intervals []stat.Interval[unit.Chance]) Scale[unit.Chance] {
	return ScaleOf(100, intervals[:min(len(intervals), CandsShown)]...)
}

// CandsShown is how many candidates are shown before the rest is folded away.
const CandsShown = 6
