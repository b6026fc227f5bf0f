package cards

import (
	"secondpass/cardmaking/balance"
	"secondpass/face/cli/command"
	"secondpass/research/cardreport"
)

func (*cardListCmd) Answers() command.Answers    { return command.One([]listedCard{}) }
func (*cardCheckCmd) Answers() command.Answers   { return command.One(checkedCard{}) }
func (*cardShowCmd) Answers() command.Answers    { return command.One(shownCard{}) }
func (*cardExpandCmd) Answers() command.Answers  { return command.EachLine(expanded{}) }
func (*cardNewCmd) Answers() command.Answers     { return command.One(cardText{}, command.Made{}) }
func (*cardComposeCmd) Answers() command.Answers { return command.One(composed{}, balance.Report{}) }
func (*cardReportCmd) Answers() command.Answers  { return command.One(cardreport.Report{}) }
func (*cardTuneCmd) Answers() command.Answers    { return command.One(tuned{}) }
func (*cardHistoryCmd) Answers() command.Answers {
	return command.One([]keptText{}, earlierText{}, takenBack{})
}
