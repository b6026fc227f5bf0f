package experiment

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"
)

var claimForm = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(more|less) by ([0-9.]{1,20}(?:e-[0-9]{1,2})?)\s*(%?)$`)
})

const claimRight = "as in more by 0.5 % (a share) or less by 0.2 (a number)"

// claimText is a claim whose number waits for the measure.
type claimText struct {
	less    bool
	number  string
	perCent bool
}

// parseClaim reads a claim; right says what would be right, or is "".
func parseClaim(text string) (c claimText, right string) {
	m := claimForm().FindStringSubmatch(strings.Join(strings.Fields(text), " "))
	if m == nil {
		return c, claimRight
	}
	return claimText{m[1] == "less", m[2], m[3] == "%"}, ""
}

func (r *reader) readClaim(rest string) (right string) {
	r.claim, right = parseClaim(rest)
	return right
}

// effect reads the number of the claim once the measure is known.
func (r *reader) effect() {
	if r.claim.number == "" || r.experiment.Measure.Of == 0 {
		return
	}
	claim, found, right := r.claim.of(r.experiment.Measure)
	if right != "" {
		r.fail("claim", r.seen["claim"], found, right)
	}
	r.experiment.Claim = claim
}

// of is the claim of a measure; right says what would be right in place of what was found, or is "".
func (c claimText) of(m Measure) (claim Claim, found, right string) {
	x, err := strconv.ParseFloat(c.number, 64)
	switch {
	case err != nil:
		found, right = fmt.Sprintf("the number %q", c.number), "as in 0.5"
	case m.Share() && !c.perCent:
		found, right = fmt.Sprintf("%q without %%", c.number), fmt.Sprintf("a number of per cent, as in 0.5 %%, since %q is a share", m)
	case !m.Share() && c.perCent:
		found, right = fmt.Sprintf("%q with %%", c.number), fmt.Sprintf("a plain number of %s, since %q is no share", m.Unit(), m)
	case m.Share():
		x /= percent
	}
	return Claim{c.less, Amount(x)}, found, right
}

// also reads the rest of a line that begins with also: a measure and its claim.
func (r *reader) also(at place, rest string) {
	var q Question
	key := numbered("also", len(r.experiment.Also))
	r.seen[key] = at
	defer func() { r.experiment.Also = append(r.experiment.Also, q) }()
	measure, text, both := strings.Cut(rest, ";")
	if !both {
		r.fail(key, at, fmt.Sprintf("%q", rest), "a measure, a semicolon and its claim: "+statements["also"].example)
		return
	}
	if right := readMeasure(measure, &q.Measure); right != "" {
		r.fail(key, at, fmt.Sprintf("%q", strings.TrimSpace(measure)), right)
		return
	}
	claim, right := parseClaim(text)
	found := fmt.Sprintf("%q", strings.TrimSpace(text))
	if right == "" {
		q.Claim, found, right = claim.of(q.Measure)
	}
	if right != "" {
		r.fail(key, at, found, right)
	}
}

func (r *reader) compare(rest string) string {
	if rest != "all" && rest != "first" {
		return "compare first (every way with the first), or compare all (every way with every way before it)"
	}
	r.experiment.AllPairs = rest == "all"
	return ""
}
