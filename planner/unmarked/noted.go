package unmarked

import (
	"regexp"
	"slices"
	"strings"
	"sync"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// burning finds in the words of a burning test what it shows of each group, as the test's
// own signs tell it: burnt hair, paper, a hard bead. What is denied is no sign.
var burning = sync.OnceValue(func() []*regexp.Regexp {
	const denied = `(?:\b(?:no|not|without|neither|nor)\s+(?:\w+\s+)?)?`
	var out []*regexp.Regexp
	for _, words := range []string{`hair|feathers?|horn`, `paper|wood smoke|leaves|soft ash`,
		`beads?|melt(?:s|ed|ing)?|plastic|drips?`} {
		out = append(out, regexp.MustCompile(denied+`\b(?:`+words+`)\b`))
	}
	return out
})

// burnt is what is noted of a burning test, of a fibre that is not known or in the yarn's
// note; empty where none is.
func burnt(y stash.YarnFacts) string {
	if !open(y.Fibre) {
		return ""
	}
	notes := strings.FieldsFunc(y.Note, func(r rune) bool { return r == ';' || r == '.' })
	for _, p := range y.Fibre {
		notes = append(notes, p.Note)
	}
	for _, note := range notes {
		if strings.Contains(strings.ToLower(note), "burn") {
			return strings.TrimSpace(note)
		}
	}
	return ""
}

// Noted are the groups to which a burning test points that is noted of a yarn: of a blend
// more than one; none where no such test is noted.
func Noted(y stash.YarnFacts) (out []Group) {
	note := strings.ToLower(burnt(y))
	for i, sign := range burning() {
		if slices.ContainsFunc(sign.FindAllString(note, -1), affirmed) {
			out = append(out, groups[i])
		}
	}
	return out
}

// affirmed says that a sign is not denied.
func affirmed(found string) bool {
	first, _, more := strings.Cut(found, " ")
	return !more || !slices.Contains([]string{"no", "not", "without", "neither", "nor"}, first)
}

// NotedFibre is the fibre to record for what a noted test points to, empty where none is
// noted or other fibres are recorded too. How much there is of each no test at home tells.
func NotedFibre(y stash.YarnFacts) string {
	noted := Noted(y)
	if len(noted) == 0 || len(y.Fibre) > 1 {
		return ""
	}
	if len(noted) == 1 {
		return string(noted[0]) + " (" + burnt(y) + ")"
	}
	parts := make([]string, len(noted))
	for i, g := range noted {
		parts[i] = string(g) + " ?"
	}
	return strings.Join(parts, ", ") + " (" + burnt(y) + ")"
}

// AgainstNoted says how a sign that leaves one group stands to a noted test that points to
// another, or to several; empty where it adds to what is noted.
func AgainstNoted(y stash.YarnFacts, s Sign) string {
	noted := Noted(y)
	switch {
	case s.Leaves == "" || len(noted) == 0:
		return ""
	case !slices.Contains(noted, s.Leaves):
		return "against the test that is noted: try both again"
	case len(noted) > 1:
		return "of a part, as the test says that is noted"
	}
	return ""
}

// NotedWords say to what a noted test points; empty where none is noted.
func NotedWords(y stash.YarnFacts) string {
	var words []string
	for _, g := range Noted(y) {
		words = append(words, strings.TrimPrefix(fibre.ID(g).Word(), "unknown "))
	}
	switch len(words) {
	case 0:
		return ""
	case 1:
		return "The burning test that is noted points to " + words[0] + "."
	}
	return "The burning test that is noted points to a blend: " + strings.Join(words, " with ") +
		". Take it as each of them; no test at home tells how much there is of each."
}
