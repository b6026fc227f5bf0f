package stat

// NormalMixture is the bound at the level of every interval, for the tests outside.
func NormalMixture(v, r float64) float64 { return normalMixture(v, r, Alpha) }
