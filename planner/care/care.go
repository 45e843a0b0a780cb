package care

import (
	"cmp"
	"fmt"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
)

// practice is the source of what weavers commonly do.
const practice = "common practice, no source"

// Recorded is the source of what stands with a yarn.
const Recorded = "recorded with the yarn"

// Step is one piece of advice with its reason and source.
type Step struct {
	Text   string `json:"text"`
	Why    string `json:"why,omitempty"`
	Source string `json:"source"`
}

// Advice is how to finish a piece, in the order of doing it.
type Advice struct {
	// Wash is the hardest washing that every yarn in the piece accepts.
	Wash stash.Wash `json:"wash"`
	// WashWhy says which yarn bears no more, and how that is known.
	WashWhy string `json:"wash_why"`
	// Sponge says that one of the yarns bears no more than a sponge or a brief
	// cool rinse.
	Sponge bool   `json:"sponge,omitempty"`
	Before []Step `json:"before"`
	During []Step `json:"during"`
	After  []Step `json:"after"`
	// Forbids is what would spoil one of the yarns.
	Forbids []Step `json:"forbids"`
	// Unknown says that part of the fibre is not known, so that all of it is a
	// guess until a sample is washed.
	Unknown bool `json:"unknown,omitempty"`
}

// Advise reads what is in a piece (warp, weft, edges, sewing thread) and its
// form. A piece of which nothing is recorded gets the gentlest advice.
func Advise(parts []people.Part, form people.PieceForm) Advice {
	c := contents(parts)
	a := Advice{Wash: stash.Wash{MaxC: 95, Agitation: stash.AgitateNormal, Tumble: true}}
	for _, y := range c {
		before := a.Wash
		if a.limit(y); a.Wash != before {
			a.WashWhy = bearsNoMore(y)
		}
	}
	a.Unknown = slices.ContainsFunc(c, func(y stash.YarnFacts) bool { return y.Fibre.Unknown() })
	if mixed(c) {
		a.Wash = gentler(a.Wash, stash.Wash{MaxC: 30, Agitation: stash.AgitateNone})
		a.WashWhy = "its yarns lose length differently"
	}
	a.WashWhy = cmp.Or(a.WashWhy, "it is the hardest that all its yarns accept")
	a.Wash.Words = a.washing(c)
	a.Before = before(c, form)
	a.During = a.during(c)
	a.After = after(c)
	a.Forbids = a.forbids(c)
	return a
}

// contents gives every reading of every yarn, so that values in dispute are
// read the strict way; nothing recorded is one unknown yarn.
func contents(parts []people.Part) []stash.YarnFacts {
	var all []stash.YarnFacts
	for _, p := range parts {
		all = append(all, people.Readings(p.Yarn)...)
	}
	if len(all) == 0 {
		all = []stash.YarnFacts{{}}
	}
	return all
}

// limit takes one yarn's limits into the advice.
func (a *Advice) limit(y stash.YarnFacts) {
	usual := usually(y.Care())
	if y.Care() == fibre.SpongeOnly {
		a.Sponge = true
	}
	own := usual
	if w := y.Wash; w != nil {
		own.MaxC = cmp.Or(w.MaxC, usual.MaxC)
		own.Agitation = cmp.Or(w.Agitation, usual.Agitation)
		own.Tumble = w.Tumble
	}
	a.Wash = gentler(a.Wash, own)
}

// bearsNoMore says of a yarn that it sets the limit, and how that is known.
func bearsNoMore(y stash.YarnFacts) string {
	name, how := cmp.Or(stash.Clean(y.Name), "a yarn in it"), "as is usual for its fibre"
	switch {
	case y.Wash != nil && y.Wash.MaxC > 0:
		how = "as recorded"
	case y.Fibre.Unknown():
		how = "since its fibre is not known"
	}
	return name + " bears no more, " + how
}

// usually is the washing that a degree of care allows (common practice, no
// source). Tumble drying is never assumed.
func usually(c fibre.Care) stash.Wash {
	w := stash.Wash{MaxC: c.MaxC(), Agitation: stash.AgitateNone}
	switch c {
	case fibre.Wash60, fibre.Wash40:
		w.Agitation = stash.AgitateNormal
	case fibre.Wash30, fibre.HandWash:
		w.Agitation = stash.AgitateGentle
	}
	return w
}

var agitations = []stash.Agitation{stash.AgitateNone, stash.AgitateGentle, stash.AgitateNormal}

// gentler keeps the gentler of each limit.
func gentler(a, b stash.Wash) stash.Wash {
	a.MaxC = min(a.MaxC, b.MaxC)
	a.Agitation = agitations[min(slices.Index(agitations, a.Agitation),
		max(slices.Index(agitations, b.Agitation), 0))]
	a.Tumble = a.Tumble && b.Tumble
	return a
}

// mixed says whether yarns that lose length differently in the wash lie in one
// piece: wool or hair in one, mostly something else in another.
func mixed(c []stash.YarnFacts) bool {
	hairy := slices.ContainsFunc(c, mostlyHair)
	return hairy && slices.ContainsFunc(c, func(y stash.YarnFacts) bool {
		return len(y.Fibre) > 0 && !mostlyHair(y)
	})
}

// mostly is from which share on a fibre decides how a cloth of it is washed.
const mostly = measure.Whole / 2

func mostlyHair(y stash.YarnFacts) bool {
	var share measure.Ratio
	for _, p := range y.Fibre {
		if class := p.Fibre.Info().Class; class == fibre.Wool || class == fibre.Animal {
			share += p.Share
			if p.Share == 0 {
				return true // how much is not known
			}
		}
	}
	return share >= mostly
}

// washing says the washing in words, without care symbols.
func (a Advice) washing(c []stash.YarnFacts) string {
	switch {
	case a.Sponge:
		return "sponge it, or rinse it briefly in cool water"
	case a.Wash.Agitation == stash.AgitateNone && mixed(c):
		return fmt.Sprintf("wash lukewarm (%d °C at most), mild soap, no agitation", a.Wash.MaxC)
	case a.Wash.Agitation == stash.AgitateNone:
		return fmt.Sprintf("wash by hand, lukewarm (%d °C at most), mild soap, hardly moved",
			a.Wash.MaxC)
	case a.Wash.Agitation == stash.AgitateGentle:
		return fmt.Sprintf("wash gently, %d °C at most", a.Wash.MaxC)
	case a.Wash.MaxC >= 60:
		return fmt.Sprintf("machine wash, hot water is fine (%d °C at most)", a.Wash.MaxC)
	}
	return fmt.Sprintf("machine wash, %d °C at most", a.Wash.MaxC)
}

// Words says washing, drying and pressing in three short sentences for a
// label.
func (a Advice) Words() string {
	out := upperFirst(a.Wash.Words) + "."
	for _, s := range slices.Concat(a.During, a.After) {
		if s.label() {
			out += " " + s.Text
		}
	}
	return out
}

// label says whether a step belongs on a label: drying and ironing do, the
// weaver's own finishing does not.
func (s Step) label() bool { return slices.Contains(labelTexts, s.Text) }

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return string(s[0]-'a'+'A') + s[1:]
}
