//go:build !js

package view

import (
	"html/template"

	"secondpass/paper/findings"
)

// PlotView is a chart in two widths, and where it can be taken away.
type PlotView struct {
	Key, Name string
	// Narrow is empty for a grid, which is moved from side to side on a phone.
	Wide, Narrow template.HTML
	Path         string
}

// narrowPlot is the width of a chart for a phone, in units.
const narrowPlot = 320

func DrawPlot(p findings.Plot, path string) PlotView {
	v := PlotView{Key: p.Key, Name: p.Name, Wide: template.HTML(p.Draw(0).InlineSVG()), Path: path + "/plot?of=" + p.Key}
	if !p.Grid {
		v.Narrow = template.HTML(p.Draw(narrowPlot).InlineSVG())
	}
	return v
}
