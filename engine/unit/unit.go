// Package unit is what the numbers of the project count. Each unit is a type of its own, so that a chance is never added to
// points nor printed as tiles: what turns one into another says so. It knows nothing of where the numbers come from; how
// they are written for people is for package wording.
package unit

// Unit is a number of one unit. A plain float64 is a number whose unit no longer matters, as on the axis of a drawing.
type Unit interface{ ~float64 }

// Chance is a probability or a share, 0 to 1.
type Chance float64

// ChanceDifference is one chance less another, -1 to 1. It is told in percentage points.
type ChanceDifference float64

// Less is the difference of two chances.
func (c Chance) Less(other Chance) ChanceDifference { return ChanceDifference(c - other) }

// Plus is a chance changed by a difference.
func (c Chance) Plus(d ChanceDifference) Chance { return c + Chance(d) }

// NetPoints is what a seat is paid less what it pays, points a game, or a difference of that.
type NetPoints float64

// Tiles is a number of tiles, or a difference of such numbers.
type Tiles float64

// Count is a number of other things that are counted, hands or discards for instance, or a difference of such numbers.
type Count float64

// Ratio is how many times as large one number is as another: 1 is as large.
type Ratio float64
