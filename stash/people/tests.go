package people

import (
	"slices"
	"strings"

	"endsmeet/stash"
)

// state is what a test found in a yarn or a piece, mildest first.
type state int

const (
	pass   state = iota
	silent       // not recorded, and seldom recorded: only a strict rule minds
	near         // known, short of a hit, but a reason to ask
	maybe        // recorded as possible: a reason to ask, and not enough for a strict rule
	doubt        // not known
	hit
)

// finding is a state with its reason in words.
type finding struct {
	state state
	why   string
}

// worse gives the graver of two findings, the first where they are equal.
func (f finding) worse(g finding) finding {
	if g.state > f.state {
		return g
	}
	return f
}

// test is one thing that a rule can ask. Either function may be nil.
type test struct {
	name  string
	about string
	need  bool // the rule's answer falls where the need is not met
	// facts are the fields of a yarn whose value would answer it, where one can.
	facts []string
	// argument checks what stands behind the name and gives its usual spelling.
	argument func(string) (string, error)
	yarn     func(y stash.YarnFacts, argument string) finding
	form     func(f PieceForm, argument string) finding
}

// tests lists what a rule can name besides a fibre. It is filled in init,
// because the tests of needs look other tests up.
var tests []test

func init() {
	tests = slices.Concat(fibreTests, yarnTests, wordTests, formTests)
}

// TestDoc describes a test for help texts.
type TestDoc struct {
	Name  string `json:"name"`
	About string `json:"about"`
	// Need says that the rule's answer falls where the test is not met.
	Need bool `json:"need"`
}

// Tests lists everything that a rule can test, in the order of the help.
func Tests() []TestDoc {
	docs := make([]TestDoc, len(tests))
	for i, t := range tests {
		docs[i] = TestDoc{t.name, t.about, t.need}
	}
	return docs
}

// testNamed finds a test by its name.
func testNamed(name string) (test, bool) {
	for _, t := range tests {
		if t.name == name {
			return t, true
		}
	}
	return test{}, false
}

// leadingTest finds the test whose name the words begin with, the longest
// such name, and gives the words that are left for its argument.
func leadingTest(words []string) (found test, rest string, ok bool) {
	for n := min(2, len(words)); n > 0 && !ok; n-- {
		found, ok = testNamed(strings.Join(words[:n], " "))
		rest = strings.Join(words[n:], " ")
	}
	return found, rest, ok
}

// noArgument is for tests that take none.
func noArgument(s string) (string, error) {
	if s != "" {
		return "", &Error{Word: s, Problem: "nothing may follow this test"}
	}
	return "", nil
}
