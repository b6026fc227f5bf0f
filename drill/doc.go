// Package drill finds decisions that teach, keys them, and keeps account of students' practice.
package drill
