package picture

import (
	"fmt"
	"strings"

	"endsmeet/stash/measure"
)

const (
	plotColumns = 60
	plotRows    = 14
	// margin is the room for the lengths at the left.
	margin = 10
)

// Text plots length against width: o the greatest length, + the one that fits
// with 95 %, W the size wanted, * the one proposed and # what of it fits with
// 95 %. Fewer than two points give
// the empty text.
func (f Frontier) Text() string {
	box, ok := f.box()
	if !ok {
		return ""
	}
	grid := make([][]byte, plotRows)
	for i := range grid {
		grid[i] = []byte(strings.Repeat(" ", plotColumns))
	}
	put := func(w, l measure.Length, mark byte) {
		if l > 0 {
			x, y := box.at(w, l)
			grid[y][x] = mark
		}
	}
	for _, p := range f.Points {
		put(p.Width, p.Length95, '+')
	}
	for _, p := range f.Points {
		put(p.Width, p.Length, 'o')
	}
	put(f.Proposed.Width, f.Proposed.Length95, '#')
	put(f.Wanted.Width, f.Wanted.Length, 'W')
	put(f.Proposed.Width, f.Proposed.Length, '*')
	return f.frame(grid, box)
}

// frame puts axes and a legend round the grid.
func (f Frontier) frame(grid [][]byte, box box) string {
	var b strings.Builder
	if f.Title != "" {
		b.WriteString(short(f.Title, columns) + "\n")
	}
	for i, row := range grid {
		label := ""
		if i == 0 {
			label = box.top.Cloth(f.Units)
		}
		if i == plotRows-1 {
			label = measure.Length(0).Cloth(f.Units)
		}
		b.WriteString(strings.TrimRight(fmt.Sprintf("%*s |%s", margin, label, row), " ") + "\n")
	}
	left, right := box.left.Cloth(f.Units), box.right.Cloth(f.Units)
	b.WriteString(strings.Repeat(" ", margin) + " +" + strings.Repeat("-", plotColumns) + "\n")
	gap := max(1, plotColumns-len(left)-len(right))
	b.WriteString(strings.Repeat(" ", margin+2) + left + strings.Repeat(" ", gap) + right + "\n")
	b.WriteString(f.legend() + "\n")
	return b.String()
}

func (f Frontier) legend() string {
	text := "length against width: o greatest"
	for _, p := range f.Points {
		if p.Length95 > 0 {
			text += ", + with 95%"
			break
		}
	}
	if f.Wanted.Length > 0 {
		text += ", W wanted"
	}
	if f.Proposed.Length > 0 {
		text += ", * proposed"
	}
	if f.Proposed.Length95 > 0 {
		text += ", # with 95%"
	}
	return text
}

// box is the range that a plot shows; lengths begin at zero.
type box struct{ left, right, top measure.Length }

func (f Frontier) box() (box, bool) {
	if len(f.Points) < 2 {
		return box{}, false
	}
	b := box{left: f.Points[0].Width, right: f.Points[0].Width}
	for _, p := range append([]Point{f.Wanted, f.Proposed}, f.Points...) {
		if p.Length <= 0 {
			continue
		}
		b.left, b.right, b.top = min(b.left, p.Width), max(b.right, p.Width),
			max(b.top, p.Length, p.Length95)
	}
	return b, b.right > b.left && b.top > 0
}

// at is the place of a size in the grid, row zero on top.
func (b box) at(w, l measure.Length) (x, y int) {
	x = int(float64(w-b.left) / float64(b.right-b.left) * (plotColumns - 1))
	y = plotRows - 1 - int(float64(l)/float64(b.top)*(plotRows-1)+0.5)
	return min(max(x, 0), plotColumns-1), min(max(y, 0), plotRows-1)
}
