package fibre

import (
	"slices"
	"strings"
	"sync"

	"endsmeet/stash/measure"
)

// Shorthand for the table's columns. Every allowance is in hundredths of a
// per cent, so that it stands in the table as it is printed: 1825 is 18.25 %.

func one(h int64) []Allowance { return []Allowance{{"", hundredths(h)}} }

func two(form string, h int64, other string, h2 int64) []Allowance {
	return []Allowance{{form, hundredths(h)}, {other, hundredths(h2)}}
}

func hundredths(h int64) measure.Ratio { return measure.Ratio(h) * measure.Percent / 100 }

func published(h int64) Figure { return Figure{hundredths(h), hundredths(h), Published} }

func publishedRange(lo, hi int64) Figure {
	return Figure{hundredths(lo), hundredths(hi), Published}
}

func practice(h int64) Figure { return Figure{hundredths(h), hundredths(h), CommonPractice} }

func memory(h int64) Figure { return Figure{hundredths(h), hundredths(h), FromMemory} }

// bases is shorthand for a list of count bases.
func bases(b ...measure.Base) []measure.Base { return b }

// table is every fibre, gathered once from the files table_*.go.
var table = sync.OnceValue(func() []Fibre {
	return slices.Concat(animalRows(), plantRows(), madeRows(), syntheticRows(), otherRows(),
		unknownRows())
})

// byName finds a row by ID, generic name or synonym, in lower case.
var byName = sync.OnceValue(func() map[string]*Fibre { return index(table()) })

func index(rows []Fibre) map[string]*Fibre {
	names := map[string]*Fibre{}
	for i := range rows {
		row := &rows[i]
		for _, name := range row.names() {
			names[name] = row
		}
	}
	return names
}

// names are the names of a row: its ID, its generic name, and those by which it
// is customarily called.
func (f Fibre) names() []string {
	names := append([]string{string(f.ID)}, f.Synonyms...)
	if f.EUName != "" {
		names = append(names, f.EUName)
	}
	return names
}

// All lists every fibre of the table, in its order.
func All() []Fibre { return append([]Fibre(nil), table()...) }

// Lookup finds a fibre by its ID, generic name or a synonym, in any letter
// case, or by a name that ball bands carry in another language. A word that may
// mean several fibres finds none.
func Lookup(name string) (Fibre, bool) {
	if row, ok := byName()[plainName(name)]; ok {
		return *row, true
	}
	if e := words().entries[fold(name)]; e != nil && len(e.senses) == 1 &&
		e.senses[0].fibre != "" && !e.trade {
		return e.senses[0].fibre.Info(), true
	}
	return Fibre{}, false
}

func plainName(name string) string {
	return strings.Join(strings.Fields(strings.ToLower(name)), " ")
}

// Info gives the row of a fibre. For an ID that the table lacks it is the row
// of the unknown fibre, under that ID.
func (id ID) Info() Fibre {
	if row, ok := byName()[string(id)]; ok && row.ID == id {
		return *row
	}
	row := *byName()[string(Unknown)]
	row.ID = id
	return row
}
