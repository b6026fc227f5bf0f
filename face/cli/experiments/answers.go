package experiments

import (
	"secondpass/face/cli/command"
	"secondpass/paper/findings"
	"secondpass/research/experiment"
)

func (*Match) Answers() command.Answers              { return command.One(matchJSON{}) }
func (*experimentListCmd) Answers() command.Answers  { return command.One([]listedResult{}) }
func (*experimentCheckCmd) Answers() command.Answers { return command.One(checkedExperiment{}) }
func (*experimentRunCmd) Answers() command.Answers {
	return command.EachLine(shownResult{}, skipped{}, experiment.Result{})
}
func (*experimentShowCmd) Answers() command.Answers   { return command.One(shownResult{}) }
func (*experimentRepeatCmd) Answers() command.Answers { return command.One(repeated{}) }
func (*experimentReadyCmd) Answers() command.Answers {
	return command.One([]readyJSON{}, readyJSON{})
}
func (*experimentReportCmd) Answers() command.Answers {
	return command.One([]findings.ExperimentAnswer{}, command.Made{})
}
func (*experimentExportCmd) Answers() command.Answers {
	return command.One(findings.ExperimentAnswer{}, command.Made{})
}
func (*experimentRowsCmd) Answers() command.Answers {
	return command.EachLine(experiment.Row{}, command.Made{})
}
