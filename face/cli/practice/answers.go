package practice

import (
	"secondpass/face/cli/command"
	"secondpass/store"
	"secondpass/teach/drill"
	"secondpass/teach/lesson"
)

func (*drillFindCmd) Answers() command.Answers    { return command.EachLine(drillLine{}) }
func (*drillNewCmd) Answers() command.Answers     { return command.One(shownDrill{}) }
func (*drillEditCmd) Answers() command.Answers    { return command.One(shownDrill{}) }
func (*drillListCmd) Answers() command.Answers    { return command.One([]drillLine{}) }
func (*drillShowCmd) Answers() command.Answers    { return command.One(shownDrill{}) }
func (*drillTryCmd) Answers() command.Answers     { return command.One(tried{}) }
func (*drillReadCmd) Answers() command.Answers    { return command.One(tried{}) }
func (*drillKeyCmd) Answers() command.Answers     { return command.EachLine(remadeLine{}) }
func (*drillRenewCmd) Answers() command.Answers   { return command.EachLine(renewedLine{}) }
func (*drillDeleteCmd) Answers() command.Answers  { return command.One(deletedDrills{}) }
func (*drillRestoreCmd) Answers() command.Answers { return command.One(restoredDrills{}) }
func (*drillExportCmd) Answers() command.Answers  { return command.One(drill.File{}, command.Made{}) }
func (*drillImportCmd) Answers() command.Answers  { return command.EachLine(drillLine{}) }

func (*lessonListCmd) Answers() command.Answers    { return command.One([]command.ListedLine{}) }
func (*lessonNewCmd) Answers() command.Answers     { return command.One(command.Made{}) }
func (*lessonAddCmd) Answers() command.Answers     { return command.One(lessonItems{}) }
func (*lessonShowCmd) Answers() command.Answers    { return command.One(lesson.Lesson{}) }
func (*lessonRemoveCmd) Answers() command.Answers  { return command.One(lessonItems{}) }
func (*lessonDeleteCmd) Answers() command.Answers  { return command.One(command.Made{}) }
func (*lessonRestoreCmd) Answers() command.Answers { return command.One(command.Made{}) }
func (*lessonPaperCmd) Answers() command.Answers   { return command.One(command.Made{}) }
func (*lessonAnswersCmd) Answers() command.Answers { return command.One(command.Made{}) }
func (*lessonPageCmd) Answers() command.Answers    { return command.One(command.Made{}) }
func (*lessonExportCmd) Answers() command.Answers {
	return command.One(lesson.Lesson{}, command.Made{})
}
func (*lessonImportCmd) Answers() command.Answers { return command.One(command.Made{}) }

func (*studentAddCmd) Answers() command.Answers      { return command.One(command.Made{}) }
func (*studentListCmd) Answers() command.Answers     { return command.One([]drill.Student{}) }
func (*studentProgressCmd) Answers() command.Answers { return command.One(studentProgress{}) }
func (*studentDueCmd) Answers() command.Answers      { return command.One([]dueLine{}) }
func (*studentRecordCmd) Answers() command.Answers   { return command.One(recorded{}) }
func (*studentExportCmd) Answers() command.Answers {
	return command.One(store.StudentData{}, command.Made{})
}
func (*studentAnswersCmd) Answers() command.Answers { return command.One(keptAnswers{}) }
func (*studentImportCmd) Answers() command.Answers  { return command.One(command.Made{}) }
func (*studentDeleteCmd) Answers() command.Answers  { return command.One(command.Made{}) }
