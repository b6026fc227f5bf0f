package judging

import "secondpass/face/cli/command"

func (*Advise) Answers() command.Answers { return command.One(adviceAnswer{}, verdictAnswer{}) }
func (*Review) Answers() command.Answers { return command.One(reviewAnswer{}) }
