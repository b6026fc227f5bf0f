// Package practice is the pages of drills and lessons, and of students at work: what is due, an answer and what it cost,
// a rack to read, and what is kept of each student.
//
// Drills are found and judged in teach/drill, lessons are put together in teach/lesson; both are kept in the store. Only
// face/web makes an [Area] and routes to it.
package practice
