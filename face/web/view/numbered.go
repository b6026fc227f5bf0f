package view

import "secondpass/exercise"

// Exercise is an exercise with the number by which its pages are found.
type Exercise struct {
	ID int64
	*exercise.Exercise
}
