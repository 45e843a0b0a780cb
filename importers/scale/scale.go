// Package scale reads the lines that scales and balances send. A weight is taken
// only where the scale says that it is steady, and in which unit it is.
//
// Read are the answers of the standard interface command set of laboratory
// balances (S S, S D, S I, S +, S -), the lines with a header that bench scales
// send (ST, US, QT, OL, with GS or NT or without), and the plain lines of
// balances in which "?" marks what still moves. Operating instructions of
// scales of each kind, as seen in copies of them.
package scale

import (
	"fmt"
	"regexp"
	"strings"
	"sync"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// Weight is what a line of a scale says.
type Weight struct {
	// Raw is the line as it came.
	Raw  string
	Mass measure.Mass
	// Step is what the last figure shown stands for.
	Step measure.Mass
	// Net says that the scale takes off a tare that it was told.
	Net bool
	// Marked says that the scale itself calls it steady.
	Marked bool
}

// form is one published way of a line: what stands before the weight, and after.
type form struct {
	pattern *regexp.Regexp
	read    func(m []string) (Weight, error)
}

// The groups are mark, kind, number, unit; a number may have a space after its
// sign.
var forms = sync.OnceValue(func() []form {
	return []form{
		{regexp.MustCompile(`^(S) +([SDI+-])()()$|^(?:S) +([SDI]) +([+-]? *[\d.]+) *(\S*)$`),
			readCommandSet},
		{regexp.MustCompile(`^(ST|US|QT|OL)(?:, *(GS|NT))?, *([+-]? *[\d.]+)? *(\S*)$`),
			readHeaded},
		{regexp.MustCompile(`^([+-]? *[\d.]+) *([A-Za-z]*) *(\?)? *(NET|N|G|GROSS)?$`), readPlain},
	}
})

// parseLine reads one line. What cannot be taken is an error in words: not steady,
// overloaded, without a unit, not understood.
func parseLine(line string) (Weight, error) {
	raw := strings.Trim(line, "\r\n\x02\x03 ")
	for _, f := range forms() {
		if m := f.pattern.FindStringSubmatch(raw); m != nil {
			w, err := f.read(m)
			w.Raw = raw
			return w, err
		}
	}
	return Weight{Raw: raw}, fmt.Errorf("the scale sent %q, which is no weight", shorten(raw))
}

func readCommandSet(m []string) (Weight, error) {
	switch state := m[2] + m[5]; state {
	case "+":
		return Weight{}, errOver
	case "-":
		return Weight{}, errUnder
	case "D":
		return Weight{}, errMoves
	case "I":
		return Weight{}, fmt.Errorf("the scale is busy or cannot weigh just now")
	}
	return weightOf(m[6], m[7], true)
}

func readHeaded(m []string) (Weight, error) {
	switch m[1] {
	case "OL":
		return Weight{}, errOver
	case "US":
		return Weight{}, errMoves
	case "QT":
		return Weight{}, fmt.Errorf("the scale counts pieces; set it to weigh")
	}
	w, err := weightOf(m[3], m[4], true)
	w.Net = m[2] == "NT"
	return w, err
}

func readPlain(m []string) (Weight, error) {
	if m[3] != "" {
		return Weight{}, errMoves
	}
	w, err := weightOf(m[1], m[2], false)
	w.Net = m[4] == "NET" || m[4] == "N"
	return w, err
}

var (
	errMoves = fmt.Errorf("the scale is not steady yet")
	errOver  = fmt.Errorf("the scale is overloaded")
	errUnder = fmt.Errorf("the scale shows less than nothing: clear it and set it to zero")
)

// units are those of a weight that a scale may send.
var units = map[string]bool{"g": true, "kg": true, "mg": true, "oz": true, "lb": true}

func weightOf(number, unit string, marked bool) (Weight, error) {
	number = strings.ReplaceAll(strings.TrimPrefix(strings.TrimSpace(number), "+"), " ", "")
	unit = strings.ToLower(unit)
	switch {
	case unit == "":
		return Weight{}, fmt.Errorf("the scale sent no unit; set it to send one")
	case !units[unit]:
		return Weight{}, fmt.Errorf("the scale weighs in %q; set it to g, kg, oz or lb",
			shorten(unit))
	case strings.HasPrefix(number, "-"):
		return Weight{}, errUnder
	}
	// A scale's point is one of decimals, however the person writes them.
	mass, err := measure.ParseMass(written.Number{Decimal: number}.In(unit))
	if err != nil {
		return Weight{}, err
	}
	step, err := measure.ParseMass(lastFigure(number) + unit)
	return Weight{Mass: mass, Step: step, Marked: marked}, err
}

// lastFigure is one in the last place of a number.
func lastFigure(number string) string {
	_, decimals, _ := strings.Cut(number, ".")
	if decimals == "" {
		return "1"
	}
	return "0." + strings.Repeat("0", len(decimals)-1) + "1"
}

func shorten(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

// Watch waits for a weight that may be taken. A line without a mark of steadiness
// is taken when three of them running say the same.
type Watch struct {
	last  Weight
	times int
}

// unmarked is how many equal lines a weight without a mark needs.
const unmarked = 3

// Add looks at one more line: the weight if it may be taken, else why not.
func (w *Watch) Add(line string) (Weight, error) {
	got, err := parseLine(line)
	if err != nil {
		w.times = 0
		return got, err
	}
	if got.Marked {
		return got, nil
	}
	if w.times > 0 && got.Mass == w.last.Mass && got.Net == w.last.Net {
		w.times++
	} else {
		w.times = 1
	}
	if w.last = got; w.times >= unmarked {
		return got, nil
	}
	return got, fmt.Errorf("the scale does not say whether %q is steady; it is taken when three lines running say the same", got.Raw)
}
