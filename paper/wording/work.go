package wording

import (
	"fmt"
	"time"
)

// TimeLeft is how long something takes yet, in minutes or hours: "about 3 minutes left".
func TimeLeft(rest time.Duration) string {
	switch {
	case rest < time.Minute:
		return "less than a minute left"
	case rest < 2*time.Hour:
		return fmt.Sprintf("about %s left", Plural(int(rest.Round(time.Minute)/time.Minute), "minute"))
	}
	return fmt.Sprintf("about %s left", Plural(int(rest.Round(time.Hour)/time.Hour), "hour"))
}

// WorkStanding is how a run of pieces stands that workers do: "12.5 % done, 8 pieces a second, about 3 minutes left".
func WorkStanding(done, pieces int, rate, secondsLeft float64) string {
	text := fmt.Sprintf("%.1f %% done", 100*float64(done)/float64(max(pieces, 1)))
	if rate > 0 && done < pieces {
		text += fmt.Sprintf(", %.1f pieces a second, %s", rate, TimeLeft(time.Duration(secondsLeft*float64(time.Second))))
	}
	return text
}
