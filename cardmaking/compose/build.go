package compose

// A build is the sizes of a row of groups, left to right, that a person can say in a
// word. Shapes without such a word are left out: they would look like noise.
type build struct {
	sizes []int
	say   string
}

// buildKey is what builds are asked by: the number of groups, their tiles in all,
// and the smallest and largest group.
type buildKey struct{ groups, tiles, least, most int }

// builder lists builds once for every key.
type builder map[buildKey][]build

// list is all builds of a key, in lexical order of their sizes.
func (b builder) list(key buildKey) []build {
	if builds, ok := b[key]; ok {
		return builds
	}
	var builds []build
	sizes := make([]int, key.groups)
	var fill func(i, left int)
	fill = func(i, left int) {
		if i == key.groups {
			if say := buildWord(sizes); left == 0 && say != "" {
				builds = append(builds, build{append([]int(nil), sizes...), say})
			}
			return
		}
		for n := key.least; n <= min(key.most, left); n++ {
			sizes[i] = n
			fill(i+1, left-n)
		}
	}
	fill(0, key.tiles)
	b[key] = builds
	return builds
}

// alike is the word for builds of equal groups.
const alike = "all alike"

// buildWord names the order in which sizes stand, or is "" where no plain word fits.
func buildWord(sizes []int) string {
	n := len(sizes)
	first, last := sizes[0], sizes[n-1]
	every := func(ok func(i int) bool) bool { // over the steps from i-1 to i
		for i := 1; i < n; i++ {
			if !ok(i) {
				return false
			}
		}
		return true
	}
	switch {
	case every(func(i int) bool { return sizes[i] == first }):
		return alike
	case every(func(i int) bool { return sizes[i] > sizes[i-1] }):
		return "growing"
	case every(func(i int) bool { return sizes[i] < sizes[i-1] }):
		return "shrinking"
	case n >= 3 && palindrome(sizes):
		if sizes[n/2] > first {
			return "thick in the middle"
		}
		return "thick at the ends"
	case n >= 4 && n%2 == 0 && halves(sizes):
		if last > first {
			return "the second half thicker"
		}
		return "the first half thicker"
	case n >= 4 && every(func(i int) bool { return i < 2 || sizes[i] == sizes[i-2] }):
		if first > sizes[1] {
			return "thick and thin by turns"
		}
		return "thin and thick by turns"
	case n >= 3 && every(func(i int) bool { return i == n-1 || sizes[i] == first }):
		if last > first {
			return "the last thicker"
		}
		return "the last thinner"
	case n >= 3 && every(func(i int) bool { return sizes[i] == last }):
		if first > last {
			return "the first thicker"
		}
		return "the first thinner"
	case n >= 3 && every(func(i int) bool { return sizes[i] >= sizes[i-1] }):
		return "growing in steps"
	case n >= 3 && every(func(i int) bool { return sizes[i] <= sizes[i-1] }):
		return "shrinking in steps"
	case n >= 3 && oneTurn(sizes, 1):
		return "growing, then shrinking"
	case n >= 3 && oneTurn(sizes, -1):
		return "shrinking, then growing"
	}
	return ""
}

// oneTurn says that sizes rise to one place and fall from there on, strictly; with sign -1 the other way round.
func oneTurn(sizes []int, sign int) bool {
	i := 1
	for i < len(sizes) && sign*sizes[i] > sign*sizes[i-1] {
		i++
	}
	turn := i
	for i < len(sizes) && sign*sizes[i] < sign*sizes[i-1] {
		i++
	}
	return i == len(sizes) && turn > 1 && turn < len(sizes)
}

func palindrome(sizes []int) bool {
	rising := true // towards the middle, in one direction only
	falling := true
	for i, j := 0, len(sizes)-1; i < j; i, j = i+1, j-1 {
		if sizes[i] != sizes[j] {
			return false
		}
		rising = rising && sizes[i] <= sizes[i+1]
		falling = falling && sizes[i] >= sizes[i+1]
	}
	return rising || falling
}

func halves(sizes []int) bool {
	half := len(sizes) / 2
	for i, n := range sizes {
		if n != sizes[i/half*half] {
			return false
		}
	}
	return true
}

// reversed is the sizes from right to left.
func reversed(sizes []int) []int {
	back := make([]int, len(sizes))
	for i, n := range sizes {
		back[len(sizes)-1-i] = n
	}
	return back
}
