package compose

// numbers are the ranks a row is made of. Several choices are written as
// alternatives; all have the same length, in rising order.
type numbers struct {
	say     string
	slide   int // as the option of card files
	choices [][]int
}

func ranks(say string, slide int, choices ...[]int) numbers { return numbers{say, slide, choices} }

// count is the number of ranks.
func (n numbers) count() int { return len(n.choices[0]) }

// over makes a piece of every choice of the numbers.
func (n numbers) over(row func(ranks []int) []term) piece {
	var p piece
	for _, ranks := range n.choices {
		p = append(p, row(ranks))
	}
	return p
}

// runOf is a run of so many neighbours, written from 1 and slid.
func runOf(n int, say string) numbers {
	run := make([]int, n)
	for i := range run {
		run[i] = i + 1
	}
	return ranks(say, 1, run)
}

var (
	oneNumber = ranks("one number", 1, []int{1})
	run2      = runOf(2, "two neighbours")
	run3      = runOf(3, "a run of three")
	run4      = runOf(4, "a run of four")
	run5      = runOf(5, "a run of five")
	run6      = runOf(6, "a run of six")

	evens2 = ranks("two evens in a row", 2, []int{2, 4})
	evens3 = ranks("three evens in a row", 2, []int{2, 4, 6})
	evens4 = ranks("the four evens", 0, []int{2, 4, 6, 8})
	outer2 = ranks("two and eight", 0, []int{2, 8})

	odds2 = ranks("two odds in a row", 2, []int{1, 3})
	odds3 = ranks("three odds in a row", 2, []int{1, 3, 5})
	odds4 = ranks("four odds in a row", 2, []int{1, 3, 5, 7})
	odds5 = ranks("the five odds", 0, []int{1, 3, 5, 7, 9})
	ends2 = ranks("one and nine", 0, []int{1, 9})
	ends3 = ranks("one, five and nine", 0, []int{1, 5, 9})

	threes2 = ranks("two neighbours of three, six and nine", 0, []int{3, 6}, []int{6, 9})
	threes3 = ranks("three, six and nine", 0, []int{3, 6, 9})
)

// theme is a section of the card: what its hands are drawn from.
type theme struct {
	section string
	// hands is how many of them the card has.
	hands int
	// numbers, figures, tails and flowers (the size of their group) are drawn from
	// evenly; one that stands twice comes twice as often.
	numbers []numbers
	figures []figure
	tails   []tailKind
	flowers []int
	limits
}

// limits are what a section asks of its hands.
type limits struct {
	// most bounds the groups of numbers and honours.
	most int
	// largest is the least size of the largest of these groups.
	largest int
	// honours is the least number of winds and dragons.
	honours int
	// still is for hands without jokers, all concealed.
	still bool
}

// sections are the themes in the order of the card, for a year given by its digits. What
// they are and how many hands each has is our choice: more where beginners spend more time.
func sections(year []int) []theme {
	usual := limits{most: 4, largest: 3}
	some := []int{0, 0, 0, 2, 2, 3, 4}
	return []theme{
		{"Runs", 8, []numbers{run3, run4, run5},
			[]figure{row, row, echo, strip}, []tailKind{noTail, suitDragons, spareDragon, anyWind}, some, usual},
		{"Evens", 6, []numbers{evens2, evens3, evens4, outer2},
			[]figure{row, row, echo, strip}, []tailKind{noTail, suitDragons, spareDragon, anyWind, facingWinds}, some, usual},
		{"Odds", 6, []numbers{odds2, odds3, odds4, odds5, ends2, ends3},
			[]figure{row, row, echo, strip}, []tailKind{noTail, suitDragons, spareDragon, anyDragon, facingWinds}, some, usual},
		{"Threes", 5, []numbers{threes2, threes3, threes3},
			[]figure{row, row, echo, strip}, []tailKind{noTail, suitDragons, spareDragon, anyDragon, anyWind}, some, usual},
		{"Like Numbers", 6, []numbers{oneNumber},
			[]figure{like}, []tailKind{noTail, suitDragons, spareDragon, anyDragon, facingWinds, anyWind, fourWinds}, some, usual},
		{"Suit Dragons", 5, []numbers{run2, run3, evens2, evens3, odds2, odds3, threes2},
			[]figure{escort, escort, row}, []tailKind{suitDragons, spareDragon}, some, limits{most: 4, largest: 3, honours: 4}},
		{"Winds and Dragons", 6, []numbers{run2, run3, ends2},
			[]figure{windRow, dragonRow, facing, row}, []tailKind{anyDragon, facingWinds, fourWinds}, some, limits{most: 4, largest: 3, honours: 6}},
		{"Quints", 5, []numbers{oneNumber, run2, run3, evens2, odds2, threes2, ends2},
			[]figure{row, row, like}, []tailKind{noTail, suitDragons, spareDragon, anyWind, anyDragon}, []int{0, 0, 2, 3}, limits{most: 6, largest: 5}},
		{"Year", 5, []numbers{ranks("the year", 0, year)},
			[]figure{yearStrip, yearRow, yearRun}, []tailKind{noTail, suitDragons, spareDragon, anyDragon, anyWind, facingWinds, fourWinds}, some, usual},
		{"Pairs", 5, []numbers{run2, run3, run4, run5, run6, evens3, evens4, odds3, odds4, odds5, ends3, threes3},
			[]figure{row, echo, strip}, []tailKind{noTail, suitDragons, spareDragon, facingWinds, fourWinds, anyDragon}, []int{0, 2, 2}, limits{most: 2, still: true}},
	}
}
