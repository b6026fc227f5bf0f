package sheet

import (
	"fmt"
	"strings"

	"secondpass/paper/draw"
	"secondpass/paper/wording"
	"secondpass/rules/charleston"
	"secondpass/teach/reply"
)

// Sizes of a picture of replies, in units.
const (
	replyWidth = 640. // of a step
	replyTile  = 30.
	replyBar   = 130. // of all readers
	replyGap   = 36.
	// mostChoices is how many different decisions of a step are drawn.
	mostChoices = 6
)

// Replies is a picture of what readers did at each step: how many chose what, how near they came, and where costs is not nil what it
// cost. In a shape the steps stand in as many columns as make them largest.
func Replies(heading string, replies []reply.Reply, t *reply.Tally, costs *reply.Costs, shape Shape) *draw.Scene {
	blocks := repliesBlocks(replies, t, costs)
	return framed(shape, func(columns int) *draw.Scene {
		if columns > 4 {
			return nil
		}
		s := &draw.Scene{Title: heading, Width: float64(columns)*(replyWidth+replyGap) - replyGap}
		y := s.Paragraph(0, 0, s.Width, heading, draw.Serif, draw.TitleSize, draw.Ink)
		y = s.Paragraph(0, y, s.Width, wording.Replies(replies, t)+". "+wording.ReplyProof, draw.Sans, draw.CaptionSize, draw.Ink2) + 12
		s.Height = y
		for n, column := range inColumns(blocks, columns) {
			at := y
			for _, block := range column {
				s.Place(block, float64(n)*(replyWidth+replyGap), at, 1)
				at += block.Height
			}
			s.Height = max(s.Height, at)
		}
		return s
	})
}

// RepliesDocument is the same for paper.
func RepliesDocument(heading string, replies []reply.Reply, t *reply.Tally, costs *reply.Costs, paper draw.PaperSize) *draw.Document {
	d := draw.NewDocument(heading, heading, paper, false)
	d.Heading(heading)
	d.Caption(wording.Replies(replies, t) + ". " + wording.ReplyProof)
	for i := range replies {
		if r := &replies[i]; !r.Counts() {
			d.Caption(fmt.Sprintf("Not counted: line %d, %s: %s.", r.Line, r.Who(r.Code), wording.NotCounted(r)))
		}
	}
	for _, block := range repliesBlocks(replies, t, costs) {
		d.Drawing(block)
	}
	return d
}

// inColumns puts blocks into columns of about the same height, in their order.
func inColumns(blocks []*draw.Scene, columns int) [][]*draw.Scene {
	total := 0.
	for _, b := range blocks {
		total += b.Height
	}
	out := make([][]*draw.Scene, columns)
	so := 0.
	for _, b := range blocks {
		n := min(int((so+b.Height/2)*float64(columns)/total), columns-1)
		out[n] = append(out[n], b)
		so += b.Height
	}
	return out
}

// repliesBlocks is a drawing for each step, and one of the end.
func repliesBlocks(replies []reply.Reply, t *reply.Tally, costs *reply.Costs) []*draw.Scene {
	var blocks []*draw.Scene
	for i := range t.Steps {
		blocks = append(blocks, replyStep(replies, &t.Steps[i], costs.Step(i)))
	}
	if t.Over > 0 {
		blocks = append(blocks, repliesEnd(replies, t, costs))
	}
	return blocks
}

// replyStep is what readers did at one step.
func replyStep(replies []reply.Reply, step *reply.Step, cost *reply.StepCost) *draw.Scene {
	s := &draw.Scene{Width: replyWidth}
	y := s.Paragraph(0, 0, replyWidth, wording.ReplyStep(step), draw.Bold, draw.BodySize, draw.Ink)
	says := wording.Parted(step) + "."
	if cost != nil {
		says += " It cost " + minus(wording.CostPoints(cost.Mean)) + " on the mean."
	}
	if reached := minus(wording.StepReached(step)); reached != "" {
		says += " " + reached
	}
	y = s.Paragraph(0, y, replyWidth, says, draw.Sans, draw.CaptionSize, draw.Ink2) + 6
	for n := range step.Choices[:min(len(step.Choices), mostChoices)] {
		y = replyRow(s, y, replies, step, n, cost)
	}
	if more := len(step.Choices) - mostChoices; more > 0 {
		y = s.Paragraph(0, y, replyWidth, wording.Plural(more, "other decision")+", by fewer.", draw.Sans, draw.CaptionSize, draw.Ink2)
	}
	s.Height = y + 18
	return s
}

// replyRow draws one decision: how many, its tiles or words, who, and its cost; it returns where the next may begin.
func replyRow(s *draw.Scene, y float64, replies []reply.Reply, step *reply.Step, n int, cost *reply.StepCost) float64 {
	c := &step.Choices[n]
	const height = replyTile * tileHeight
	middle := y + height/2
	length := replyBar * float64(len(c.Replies)) / float64(step.Readers)
	s.Open(fmt.Sprintf("%s: %s", wording.Plural(len(c.Replies), "reader"), wording.Decision(c.Decision)))
	s.Write(draw.Text{X: 34, Y: middle + draw.BodySize/3, Text: fmt.Sprint(len(c.Replies)), Font: draw.Bold, Size: draw.BodySize, Anchor: draw.End})
	s.Draw(draw.Polyline(44, middle-9, 44+length, middle-9, 44+length, middle+9, 44, middle+9, 44, middle-9), draw.Style{Fill: draw.Line})
	x := 44 + replyBar + 12
	if d := &c.Decision; d.Phase == charleston.Passing || d.Phase == charleston.Giving {
		tiles := List(d.Own.Tiles())
		if d.Phase == charleston.Passing {
			for range d.Count {
				tiles = append(tiles, Tile{Unseen: true, Gap: len(tiles) > 0})
			}
		}
		Strip(s, x, y, replyTile, tiles)
		x += StripWidth(tiles, replyTile) + 12
	} else {
		text := wording.Capital(wording.Decision(*d))
		s.Write(draw.Text{X: x, Y: middle + draw.BodySize/3, Text: text, Size: draw.BodySize})
		x += draw.Measure(text, draw.Sans, draw.BodySize) + 12
	}
	s.Close()
	var says []string
	if cost != nil {
		says = append(says, minus(wording.CostPoints(cost.Choices[n].Cost)))
	}
	if names := reply.Names(replies, c.Replies); len(names) > 0 {
		says = append(says, strings.Join(names, ", "))
	}
	at := middle - float64(len(says)-1)*draw.CaptionSize*.6 + draw.CaptionSize/3
	for _, text := range says {
		s.Write(draw.Text{X: x, Y: at, Text: draw.Clip(text, draw.Sans, draw.CaptionSize, replyWidth-x), Size: draw.CaptionSize, Tone: draw.Ink2})
		at += draw.CaptionSize * 1.2
	}
	return y + height + 10
}

// repliesEnd is how the readers stand at the end of the passing, and what it cost.
func repliesEnd(replies []reply.Reply, t *reply.Tally, costs *reply.Costs) *draw.Scene {
	s := &draw.Scene{Width: replyWidth}
	y := s.Paragraph(0, 0, replyWidth, "At the end of the passing", draw.Bold, draw.BodySize, draw.Ink)
	line := func(text string) { y = s.Paragraph(0, y, replyWidth, text, draw.Sans, draw.CaptionSize, draw.Ink) }
	for n := range t.Ends[:min(len(t.Ends), mostChoices)] {
		line(wording.ReplyEnd(replies, &t.Ends[n]))
	}
	if more := len(t.Ends) - mostChoices; more > 0 {
		line(wording.Plural(more, "reader") + " more.")
	}
	if t.Over > 1 {
		line(minus(fmt.Sprintf("Means, with 95 %% intervals: %s away, %s spare, %s options; clean %s.", wording.Mean(t.Away), wording.Mean(t.Spare), wording.Mean(t.Options), wording.Share(t.Clean))))
	}
	if costs != nil {
		for _, text := range wording.ReplyCosts(replies, t, costs) {
			line(text)
		}
		y = s.Paragraph(0, y, replyWidth, wording.ReplyCostsNote, draw.Sans, draw.CaptionSize, draw.Ink2)
	}
	s.Height = y + 18
	return s
}

// minus puts the sign for numbers below 0 in place of the hyphen, in a text of figures.
func minus(text string) string { return strings.ReplaceAll(text, "-", "−") }
