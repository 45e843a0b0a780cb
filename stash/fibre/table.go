package fibre

import (
	_ "embed"
	"slices"
	"strconv"
	"strings"
	"sync"

	"endsmeet/stash/measure"
)

// fibresTable is the table of fibres; its head says how to read it, and names its sources.
//
//go:embed fibres.tsv
var fibresTable string

// table is every fibre, read once.
var table = sync.OnceValue(func() []Fibre {
	var rows []Fibre
	for line := range strings.Lines(fibresTable) {
		if !strings.HasPrefix(line, "#") {
			rows = append(rows, readFibre(strings.Split(strings.TrimSuffix(line, "\n"), "\t")))
		}
	}
	return rows
})

// readFibre reads a line of the table.
func readFibre(cells []string) Fibre {
	f := Fibre{ID: ID(cells[0]), EUName: cells[2], Synonyms: listed(cells[3]),
		Class: Class(slices.Index(classWords[:], cells[4])), Commercial: readFigure(cells[6]),
		Measured: readFigure(cells[7]), Humidity: readFigure(cells[8]),
		Care: Care(slices.Index(careWords[:], cells[11])), Note: cells[12]}
	f.EU, _ = strconv.Atoi(cells[1])
	for _, a := range listed(cells[5]) {
		percent, form, _ := strings.Cut(a, " ")
		f.Allowances = append(f.Allowances, Allowance{form, readPercent(percent)})
	}
	for _, name := range listed(cells[9]) {
		f.CountBases = append(f.CountBases, measure.Bases()[slices.IndexFunc(measure.Bases(),
			func(b measure.Base) bool { return b.String() == name })])
	}
	for _, word := range listed(cells[10]) {
		switch word {
		case "felts":
			f.Felts = true
		case "melts":
			f.Melts = true
		default:
			f.Hazards |= 1 << slices.Index(hazardWords[:], word)
		}
	}
	return f
}

// listed are the parts of a cell.
func listed(cell string) []string {
	if cell == "" {
		return nil
	}
	return strings.Split(cell, "; ")
}

// readFigure reads "14 to 18 published".
func readFigure(cell string) Figure {
	if cell == "" {
		return Figure{}
	}
	span, grade, _ := strings.Cut(strings.Replace(cell, " to ", "-", 1), " ")
	low, high, isRange := strings.Cut(span, "-")
	if !isRange {
		high = low
	}
	return Figure{readPercent(low), readPercent(high), Grade(slices.Index(gradeWords[:], grade))}
}

func readPercent(text string) measure.Ratio {
	percent, _ := strconv.ParseFloat(text, 64)
	return measure.RatioOf(percent / 100)
}

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
