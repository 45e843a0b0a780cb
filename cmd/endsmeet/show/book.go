package show

import (
	"strings"
	"time"

	"endsmeet/planner/book"
	"endsmeet/planner/trend"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// ColourWords are the colour and the dye lot of an item. A yarn whose name tells
// the colour needs no second word for it.
func ColourWords(it Item) string {
	text := stash.Clean(it.Pack.Colour)
	if text == "" && !strings.Contains(it.Yarn, ",") {
		text = "colour not recorded"
	}
	if it.Pack.Lot != "" {
		text = strings.TrimPrefix(text+", lot "+stash.Clean(it.Pack.Lot), ", ")
	}
	return text
}

// BarOf is what is left of all that a package received.
func BarOf(p stash.Package) book.Bar {
	came := p.Received + p.In
	if !p.Known || came <= 0 {
		return book.Bar{}
	}
	return book.Bar{Known: true, Percent: percentOf(p.Held, came)}
}

// InWords is flags as a reader says them.
func InWords(flags []string) []string {
	var out []string
	for _, f := range flags {
		out = append(out, FlagWords(f))
	}
	return out
}

// FlagWords is a flag in words: what stands as a sign or a number on the screens.
func FlagWords(flag string) string {
	if name, doubtful := strings.CutSuffix(flag, "?"); doubtful {
		return name + " not excluded"
	}
	if grade, sheds := strings.CutPrefix(flag, "sheds "); sheds {
		return "sheds " + grade + " of 3"
	}
	return flag
}

// MainFibre is the fibre of which a yarn has most, empty where it is not known.
func MainFibre(y stash.Yarn) string {
	if len(y.Fibre) == 0 {
		return ""
	}
	most := y.Fibre[0]
	for _, p := range y.Fibre {
		if p.Share > most.Share {
			most = p
		}
	}
	name := most.Fibre.Word()
	if most.Fibre == fibre.Unknown {
		return ""
	}
	if most.Doubtful {
		name += " (not sure)"
	}
	return name
}

// DayWords is a day as people write it.
func DayWords(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// MonthWords is a month and its year.
func MonthWords(m trend.Month) string { return m.First.Format("January 2006") }

// BookMade is the JSON shape of `book`: what was written.
type BookMade struct {
	File   string `json:"file"`
	Items  int    `json:"items"`
	Pieces int    `json:"pieces"`
	People int    `json:"people"`
}
