package people

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// micronArgument reads a mean fibre diameter: "22 um", "30 microns", nothing.
func micronArgument(s string) (string, error) {
	if s == "" {
		return micronWords(coarseAbove), nil
	}
	number := strings.TrimSpace(strings.TrimRight(s, " umµμicrons"))
	um, err := strconv.ParseFloat(number, 64)
	if err != nil || !(um >= 5 && um <= 200) {
		return "", &Error{Word: s, Problem: "not a fibre diameter",
			Hint: "from 5 to 200 um, as in coarse 22 um"}
	}
	return micronWords(int64(math.Round(um * 1000))), nil
}

// micronWords writes a diameter in nanometres as an argument has it.
func micronWords(nm int64) string { return written.Decimal(nm, 3) + " um" }

// microns gives the diameter of a checked argument in nanometres.
func microns(argument string) int64 {
	um, err := strconv.ParseFloat(strings.TrimSuffix(argument, " um"), 64)
	if err != nil {
		return coarseAbove
	}
	return int64(um * 1000)
}

// odourArgument takes any words.
func odourArgument(s string) (string, error) {
	if !onlyLetters(s) {
		return "", &Error{Word: s, Problem: "not a smell", Hint: "letters only, as in odour smoke"}
	}
	return s, nil
}

// gradeArgument reads a shedding grade from 1 to 3, 1 for nothing.
func gradeArgument(s string) (string, error) {
	if s == "" {
		return "1", nil
	}
	grade, err := strconv.Atoi(s)
	if err != nil || grade < 1 || grade > 3 {
		return "", &Error{Word: s, Problem: "not a shedding grade", Hint: "1, 2 or 3"}
	}
	return s, nil
}

// texArgument reads a count in tex, 500 for nothing.
func texArgument(s string) (string, error) {
	if s == "" {
		return "500 tex", nil
	}
	tex, err := strconv.Atoi(strings.TrimSpace(strings.TrimSuffix(s, "tex")))
	if err != nil || tex < 1 || tex > 100_000 {
		return "", &Error{Word: s, Problem: "not a count in tex",
			Hint: "a whole number, as in thick 500 tex"}
	}
	return strconv.Itoa(tex) + " tex", nil
}

// lengthArgument reads a length that may still pass, none for nothing.
func lengthArgument(s string) (string, error) {
	if s == "" {
		return "", nil
	}
	l, err := measure.ParseLength(s)
	if err != nil {
		return "", &Error{Word: s, Problem: "not a length", Hint: "as in fringe 25 mm"}
	}
	return fmt.Sprintf("%d mm", l), nil
}

// millimetres gives the length of a checked argument.
func millimetres(argument string) measure.Length {
	mm, _ := strconv.ParseInt(strings.TrimSuffix(argument, " mm"), 10, 64)
	return measure.Length(mm)
}

// washArgument reads a washing: "60 C", "40 gentle", "60 C normal tumble".
func washArgument(s string) (string, error) {
	var w stash.Wash
	for _, word := range strings.Fields(strings.ToLower(s)) {
		if !washWord(&w, word) {
			return "", &Error{Word: word, Problem: "not part of a washing",
				Hint: `as in "survives 60 C normal tumble"`}
		}
	}
	if w.MaxC == 0 {
		return "", &Error{Word: s, Problem: "how hot is the washing?",
			Hint: `as in "survives 60 C"`}
	}
	return washWords(w), nil
}

// washWord takes one word of a washing.
func washWord(w *stash.Wash, word string) bool {
	switch word {
	case "c", "°c":
		return true
	case "tumble":
		w.Tumble = true
		return true
	case string(stash.AgitateGentle), string(stash.AgitateNormal), string(stash.AgitateNone):
		w.Agitation = stash.Agitation(word)
		return true
	}
	c, err := strconv.Atoi(strings.TrimRight(word, "c°"))
	if err == nil && c >= 10 && c <= 100 {
		w.MaxC = c
	}
	return err == nil && c >= 10 && c <= 100
}

func washWords(w stash.Wash) string {
	out := fmt.Sprintf("%d C", w.MaxC)
	if w.Agitation != "" {
		out += " " + string(w.Agitation)
	}
	if w.Tumble {
		out += " tumble"
	}
	return out
}

// testSurvives holds the washing that a yarn accepts against the one needed.
// Where none is recorded, a fibre that cannot bear it still decides.
func testSurvives(y stash.YarnFacts, argument string) finding {
	var need stash.Wash
	for _, word := range strings.Fields(strings.ToLower(argument)) {
		washWord(&need, word)
	}
	if y.Wash == nil {
		return byFibre(y, need)
	}
	return bears(*y.Wash, need)
}

func bears(has, need stash.Wash) finding {
	found := finding{}
	switch {
	case written.Doubts(has.Words):
		found = finding{doubt, "nobody is sure how it can be washed: " + strconv.Quote(has.Words)}
	case has.MaxC == 0:
		found = finding{doubt, "how hot it can be washed is not recorded"}
	case has.MaxC < need.MaxC:
		return finding{hit, fmt.Sprintf("it can be washed at %d C at most", has.MaxC)}
	}
	switch {
	case force(need.Agitation) > 0 && has.Agitation == "":
		found = found.worse(finding{doubt,
			"how much movement it bears in the wash is not recorded"})
	case force(has.Agitation) < force(need.Agitation):
		return finding{hit, "it bears " + string(has.Agitation) + " movement in the wash at most"}
	}
	if need.Tumble && !has.Tumble {
		found = found.worse(finding{doubt, "tumble drying is not recorded for it"})
	}
	return found
}

// force grades the movement of a washing; none and not recorded are 0.
func force(a stash.Agitation) int {
	switch a {
	case stash.AgitateGentle:
		return 1
	case stash.AgitateNormal:
		return 2
	}
	return 0
}

// byFibre judges a washing by what the fibres usually bear (common practice,
// no source), which can only tell against a yarn.
func byFibre(y stash.YarnFacts, need stash.Wash) finding {
	if len(y.Fibre) > 0 && !anyUncertain(y.Fibre) && need.MaxC > y.Care().MaxC() {
		return finding{hit, "its washing is not recorded, and its fibres usually do not bear it: " +
			y.Care().String()}
	}
	return finding{doubt, "how it can be washed is not recorded"}
}
