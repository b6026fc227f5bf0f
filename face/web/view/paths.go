package view

import (
	"net/url"
	"strconv"
)

func SheetPath(id int64) string { return "/exercises/" + strconv.Itoa(int(id)) }

// StepPath is the page of a route, by its letter.
func StepPath(id int64, route string) string {
	return SheetPath(id) + "/routes/" + url.PathEscape(route)
}

func AdvicePath(id int64, route string, at int) string {
	return StepPath(id, route) + "/advice?at=" + strconv.Itoa(at)
}

func DrillPath(id int64) string { return "/drills/" + strconv.Itoa(int(id)) }

// ProgressPath is the page of what is kept of a student.
func ProgressPath(name string) string { return "/students/" + url.PathEscape(name) }
