package compose

import "strings"

// A plan gives every group of a row its suit letter.
type plan struct{ letters, say string }

// plansOf lists the plans for a row of so many groups that a person can say in a
// few words.
func plansOf(groups int) []plan {
	plans := []plan{{strings.Repeat("x", groups), "in one suit"}}
	add := func(letters, say string) { plans = append(plans, plan{letters, say}) }
	switch groups {
	case 2:
		add("xy", "in two suits")
	case 3:
		add("xxy", "the last in another suit")
		add("xyx", "in two suits by turns")
		add("xyz", "in three suits")
	case 4:
		add("xxxy", "the last in another suit")
		add("xyxy", "in two suits by turns")
		add("xxyy", "the first half in one suit, the second in another")
		add("xyyx", "the ends in one suit, the middle in another")
		add("xyzx", "in three suits in turn")
	case 5:
		add("xyxyx", "in two suits by turns")
		add("xyyyx", "the ends in one suit, the middle in another")
		add("xyzyx", "through three suits and back")
		add("xyzxy", "in three suits in turn")
		add("xxyzz", "the ends in two suits, the middle in the third")
	case 6:
		add("xyxyxy", "in two suits by turns")
		add("xxxyyy", "the first half in one suit, the second in another")
		add("xxyyzz", "two in each suit")
		add("xyzxyz", "in three suits in turn")
	}
	return plans
}

// plansOfOne are the plans for one number; in three suits it can be laid out in more ways, and comes more often.
var plansOfOne = []plan{{"xy", "in two suits"}, {"xyz", "in three suits"}, {"xyz", "in three suits"}}

// spareLetters are the suit letters that a plan leaves free, in order.
func spareLetters(letters string) string {
	var spare []byte
	for _, c := range []byte("xyz") {
		if strings.IndexByte(letters, c) < 0 {
			spare = append(spare, c)
		}
	}
	return string(spare)
}

// usedLetters are the suit letters of a plan, each once, in order of first use.
func usedLetters(letters string) string {
	var used []byte
	for i := range len(letters) {
		if strings.IndexByte(string(used), letters[i]) < 0 {
			used = append(used, letters[i])
		}
	}
	return string(used)
}
