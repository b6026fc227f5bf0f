package view

import (
	"net/url"
	"strconv"
)

func SheetPath(id int64) string { return "/exercises/" + strconv.Itoa(int(id)) }

func StepPath(id int64, route string) string {
	return SheetPath(id) + "/routes/" + url.PathEscape(route)
}

func AdvicePath(id int64, route string, at int) string {
	return StepPath(id, route) + "/advice?at=" + strconv.Itoa(at)
}

func DrillPath(id int64) string { return "/drills/" + strconv.Itoa(int(id)) }

// Letter is A to Z and then numbers.
func Letter(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return strconv.Itoa(i + 1)
}
