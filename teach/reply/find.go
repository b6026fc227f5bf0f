package reply

import (
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Found is a code as it stands in a text.
type Found struct {
	// Code is the code, in capitals and with the hyphens where they belong; Line where it begins, from 1.
	Code string
	Line int
	// Name is what stands before it on the line: the reader, where collected replies are written so. "" where nothing does.
	Name string
}

// inText is a code in a text: its sign, then groups with a hyphen of any kind before each, around which a line may be broken.
// A letter that cannot be in a code is taken with it, so that a misread one is told and not left out.
var inText = regexp.MustCompile(`(?i)\b` + Sign + `((?:\s?[-‐‑‒–—−]\s*[0-9a-z]+)+)`)

// nameEdge is what may stand between a name and a code and belongs to neither.
const nameEdge = " \t:;,.>*-–—•\"'()[]"

// longestName is the most characters of what stands before a code that are taken for a name.
const longestName = 60

// Find finds all codes in a text, in their order.
func Find(text string) []Found {
	var all []Found
	line, from := 1, 0
	for _, at := range inText.FindAllStringIndex(text, -1) {
		line += strings.Count(text[from:at[0]], "\n")
		from = at[0]
		begin := strings.LastIndexByte(text[:at[0]], '\n') + 1
		all = append(all, Found{Code: tidy(text[at[0]:at[1]]), Line: line, Name: name(text[begin:at[0]])})
	}
	return all
}

// name is what stands before a code, where that can be one.
func name(before string) string {
	before = strings.Trim(strings.Join(strings.Fields(before), " "), nameEdge)
	if len([]rune(before)) > longestName {
		return ""
	}
	return before
}

// SameName is what two names have in common that are one reader's: capitals, accents and blanks do not matter. "" is the name of nobody.
func SameName(name string) string {
	bare := strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFKD.String(name))
	return strings.ToLower(strings.Join(strings.Fields(bare), " "))
}

// tidy is a code in capitals, in groups.
func tidy(code string) string {
	body, _ := body(code)
	var b strings.Builder
	b.WriteString(Sign)
	for i, c := range body {
		if i%group == 0 {
			b.WriteByte('-')
		}
		b.WriteRune(c)
	}
	return b.String()
}

// body is the letters and digits of a code of a route without its sign, in capitals.
func body(code string) (string, bool) { return bodyOf(Sign, code) }

func bodyOf(sign, code string) (string, bool) {
	body := strings.Map(func(c rune) rune {
		if c >= '0' && c <= '9' || c >= 'A' && c <= 'Z' {
			return c
		}
		return -1
	}, strings.ToUpper(code))
	body, ok := strings.CutPrefix(body, sign)
	return body, ok && body != "" && strings.Trim(body, letters) == ""
}
