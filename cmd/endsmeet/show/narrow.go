package show

import (
	"io"
	"strings"
)

// entitle writes the heading of the first column where it says what the rows are, which is
// in several words.
func (t *Table) entitle(w io.Writer) {
	if strings.Contains(t.Head[0], " ") {
		_, _ = io.WriteString(w, t.Head[0]+"\n")
	}
}

// linear writes the table one fact a line, each row under its first cell.
func (t *Table) linear(w io.Writer) {
	t.entitle(w)
	for _, row := range t.Rows {
		for i, cell := range row {
			name := ""
			if i > 0 && t.Head[i] != "" {
				name = t.Head[i] + ": "
			}
			switch {
			case cell == "":
			case i == 0 && t.right[0] && t.Head[0] != "":
				_, _ = io.WriteString(w, t.Head[0]+": "+cell+"\n")
			case i == 0:
				_, _ = io.WriteString(w, cell+"\n")
			default:
				_, _ = io.WriteString(w, "  "+name+cell+"\n")
			}
		}
	}
}

// folded writes the table for a screen that is too narrow for it: each row as its first
// cell and the yarn that it is of, with all others below it, each behind its heading, and a
// last one that must be whole on lines of its own.
func (t *Table) folded(w io.Writer, columns int) {
	t.entitle(w)
	for _, row := range t.Rows {
		head, from := row[0], 1
		if head != "" && t.right[0] && t.Head[0] != "" {
			head = t.Head[0] + " " + head
		}
		if t.Head[1] == "yarn" {
			head, from = strings.TrimSpace(head+"  "+row[1]), 2
		}
		last := len(row)
		if t.Whole {
			last--
		}
		facts := strings.Join(t.factsOf(row, from, last), "; ")
		switch {
		case head == "":
			_, _ = io.WriteString(w, Wrap(facts, "  ", columns))
		case from == 1:
			_, _ = io.WriteString(w, HangingBy(head+": "+facts, "  ", columns+1))
		default:
			_, _ = io.WriteString(w, HangingBy(head, "  ", columns+1)+Wrap(facts, "  ", columns))
		}
		if last < len(row) && row[last] != "" {
			_, _ = io.WriteString(w, t.lastBelow(row, "  ", columns))
		}
	}
}

// factsOf are the cells of a row that have something in them, each after its heading, running
// text after a colon.
func (t *Table) factsOf(row []string, from, to int) []string {
	var facts []string
	for i := from; i < to; i++ {
		if row[i] != "" {
			name := t.Head[i]
			if i == len(row)-1 && i > 0 && !t.right[i] && name != "" {
				name += ":"
			}
			facts = append(facts, strings.TrimSpace(name+" "+row[i]))
		}
	}
	return facts
}

// narrow cuts by so much, of the columns between the first and the last that do
// not stand at the right, the widest first, as far as their heads allow.
func (t *Table) narrow(by int) {
	const least = 12
	for by > 0 {
		widest, most := -1, 0
		for i := 1; i < len(t.Head)-1; i++ {
			room := t.widthOf(i) - max(least, Cells(t.Head[i]))
			if !t.right[i] && room > most {
				widest, most = i, room
			}
		}
		if widest < 0 {
			return
		}
		before := t.widthOf(widest)
		t.cutColumn(widest, before-min(by, most))
		by -= max(1, before-t.widthOf(widest))
	}
}

// lower puts what the last column has no room for below its row.
func (t *Table) lower(room, columns int) {
	last := len(t.Head) - 1
	t.below = map[int]string{}
	indent := strings.Repeat(" ", t.widthOf(0)+2)
	for i, row := range t.Rows {
		if Cells(row[last]) > room {
			t.below[i] = strings.TrimRight(t.lastBelow(row, indent, columns-1), "\n")
			row[last] = ""
		}
	}
}

// lastBelow is the last cell of a row as it stands below it: a note warns.
func (t *Table) lastBelow(row []string, indent string, width int) string {
	last := len(t.Head) - 1
	if t.Head[last] == "note" {
		notes := strings.Split(row[last], ", ")
		for i, n := range notes {
			if Cells(n) < 20 {
				notes[i] = strings.ReplaceAll(n, " ", NoBreak)
			}
		}
		return Wrap("!"+NoBreak+strings.Join(notes, ", "), indent, width)
	}
	return Wrap(row[last], indent, width)
}

func (t *Table) cutColumn(i, most int) {
	for _, row := range t.Rows {
		row[i] = Cut(row[i], max(1, most))
	}
}
