package show

import (
	"io"
	"strings"
)

// linear writes the table one fact a line, each row under its first cell.
func (t *Table) linear(w io.Writer) {
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
// cell, with all others below it, each behind its heading.
func (t *Table) folded(w io.Writer, columns int) {
	for _, row := range t.Rows {
		var facts []string
		for i, cell := range row {
			if i > 0 && cell != "" {
				facts = append(facts, strings.TrimSpace(t.Head[i]+" "+cell))
			}
		}
		head := row[0]
		if head != "" && t.right[0] && t.Head[0] != "" {
			head = t.Head[0] + " " + head
		}
		_, _ = io.WriteString(w, HangingBy(head+": "+strings.Join(facts, "; "), "  ", columns+1))
	}
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
	for i, row := range t.Rows {
		if Cells(row[last]) > room {
			t.below[i] = strings.TrimRight(Wrap("! "+row[last],
				strings.Repeat(" ", Cells(t.Rows[i][0])+2), columns-1), "\n")
			row[last] = ""
		}
	}
}

func (t *Table) cutColumn(i, most int) {
	for _, row := range t.Rows {
		row[i] = Cut(row[i], max(1, most))
	}
}
