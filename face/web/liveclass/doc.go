// Package liveclass is the pages of live classes: the teacher's screen, the students' phones, the printed sheet, and the
// door by which phones on the network come in.
//
// What a class is and who is in it is package hall's; these pages show its states and bring it messages. A phone is sent
// what changed as it changes. Through the door a stranger meets the students' pages and nothing else. Package web, which
// wires the workbook together, calls it.
package liveclass
