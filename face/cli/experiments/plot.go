package experiments

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"secondpass/face/cli/command"
	"secondpass/paper/draw"
	"secondpass/paper/findings"
	"secondpass/research/experiment"
	"secondpass/store"
	"secondpass/store/files"
)

// Plots of results that are files of their own have a margin, in units, and PNG files this width in pixels.
const (
	plotMargin = 24
	pngWidth   = 1816
)

// writeExperimentPlot draws one of the plots of a result into a new file; the file's ending says how.
func writeExperimentPlot(g *command.Globals, r *experiment.Result, of, path string) error {
	plots := findings.ExperimentPlots(r)
	p := findings.FindPlot(plots, of)
	if p == nil {
		var keys []string
		for _, p := range plots {
			keys = append(keys, p.Key)
		}
		return fmt.Errorf("--of %s: this result has %s", of, strings.Join(keys, ", "))
	}
	return writePicture(g, p.Draw(0), path)
}

// writePicture writes a picture into a new file, whose ending says how.
func writePicture(g *command.Globals, scene *draw.Scene, path string) error {
	ext := filepath.Ext(path)
	if path == command.Std {
		ext = ".svg"
	}
	data, err := pictureAs(ext, scene.Padded(plotMargin))
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return g.WriteNew(path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

func pictureAs(ext string, scene *draw.Scene) ([]byte, error) {
	switch strings.ToLower(ext) {
	case ".svg":
		return scene.SVG(&draw.Light), nil
	case ".png":
		return scene.PNG(&draw.Light, pngWidth)
	case ".pdf":
		return scene.PDF(&draw.Light)
	}
	return nil, fmt.Errorf("a file that ends in %q; .svg, .png or .pdf is right", ext)
}

// plotBeside is the plot of a measure of a result file, which stands beside it; that of the second measure ends in -2, and so on.
func plotBeside(file string, measure int) string {
	name := strings.TrimSuffix(file, store.ResultExt)
	if measure > 0 {
		name += fmt.Sprintf("-%d", measure+1)
	}
	return name + ".svg"
}

// writePlotsBeside draws the differences of a result beside its file.
func writePlotsBeside(r *experiment.Result, file string) error {
	for k, f := range r.Findings() {
		p := findings.MeasurePlots(r, k, &f)[0]
		if err := files.Export(plotBeside(file, k), p.Draw(0).Padded(plotMargin).SVG(&draw.Light)); err != nil {
			return command.Failed(fmt.Errorf("the plot of %s could not be written: %w", file, err))
		}
	}
	return nil
}
