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

// times is one number again and again, for as many groups.
func (n numbers) times(groups int) numbers {
	n.choices = [][]int{same(n.choices[0][0], groups)}
	return n
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

	apart2  = ranks("two numbers three apart", 1, []int{1, 4})
	apart3  = ranks("three numbers three apart", 1, []int{1, 4, 7})
	corners = ranks("the two lowest and the two highest", 0, []int{1, 2, 8, 9})
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

// The sections whose names rules of thumb and questions know; every card has them.
const (
	runs  = "Runs"
	evens = "Evens"
	odds  = "Odds"
)

// families are the themes in the order of a card, which is that of the alphabet, so that a section is found by its name.
// What they are is our choice; their hands are counted later.
func families(motto []int) []theme {
	usual := limits{most: 4, largest: 3}
	some := []int{0, 0, 0, 2, 2, 3, 4}
	return []theme{
		{"Big Groups", 0, []numbers{oneNumber, oneNumber, run2, run3, evens2, evens3, odds2, odds3, apart2, apart3, ends2},
			[]figure{row, row, row, facing}, []tailKind{noTail, noTail, spareDragon, suitDragons, anyWind, facingWinds, facingWinds, unevenWinds}, []int{0, 2, 3, 4}, limits{most: 5, largest: 5}},
		{"Compass", 0, []numbers{oneNumber, run2, run3, evens2, evens3, odds2, odds3, ends2, apart2, apart3},
			[]figure{windRow, dragonRow, facing, row}, []tailKind{anyDragon, facingWinds, facingWinds, unevenWinds, windsAndDragon}, some, limits{most: 4, largest: 3, honours: 6}},
		{"Echoes", 0, []numbers{run2, run3, run4, evens2, evens3, odds2, odds3, apart2},
			[]figure{echo}, []tailKind{noTail, suitDragons, spareDragon, anyWind, facingWinds}, some, usual},
		{"Ends", 0, []numbers{ends2, ends3, corners, outer2},
			[]figure{row, row, echo, strip}, []tailKind{noTail, suitDragons, spareDragon, anyWind, facingWinds}, some, usual},
		{evens, 0, []numbers{evens2, evens3, evens4},
			[]figure{row, row, echo, strip}, []tailKind{noTail, suitDragons, spareDragon, anyWind, facingWinds}, some, usual},
		{"Motto", 0, []numbers{ranks("the motto", 0, motto)},
			[]figure{mottoStrip, mottoRow, mottoRun}, []tailKind{noTail, suitDragons, spareDragon, anyDragon, anyWind, facingWinds, fourWinds}, some, usual},
		{odds, 0, []numbers{odds2, odds3, odds4, odds5},
			[]figure{row, row, echo, strip}, []tailKind{noTail, suitDragons, spareDragon, anyDragon, anyWind, facingWinds}, some, usual},
		{"One Rank", 0, []numbers{oneNumber},
			[]figure{row, row, facing}, []tailKind{noTail, suitDragons, spareDragon, facingWinds, unevenWinds, fourWinds, windsAndDragon, compassAndDragon}, some, usual},
		{"Partners", 0, []numbers{run2, run3, evens2, evens3, odds2, odds3, apart2, ends2},
			[]figure{escort, escort, row}, []tailKind{suitDragons, spareDragon}, some, limits{most: 4, largest: 3, honours: 4}},
		{runs, 0, []numbers{run3, run4, run5},
			[]figure{row, row, echo, strip}, []tailKind{noTail, suitDragons, spareDragon, anyWind, facingWinds}, some, usual},
		{"Threes Apart", 0, []numbers{apart2, apart3, apart3},
			[]figure{row, row, echo, strip}, []tailKind{noTail, suitDragons, spareDragon, anyDragon, anyWind, facingWinds}, some, usual},
		{"Twos", 0, []numbers{run2, run3, run4, run5, run6, evens3, evens4, odds3, odds4, odds5, ends3, corners, apart3},
			[]figure{row, echo, strip}, []tailKind{noTail, suitDragons, spareDragon, facingWinds, fourWinds, anyDragon}, []int{0, 2, 2}, limits{most: 2, still: true}},
	}
}
