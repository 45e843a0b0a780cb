package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/making"
	"endsmeet/planner/picture"
	"endsmeet/stash/measure"
)

// SizesOf is the frontier of sizes for another piece.
func SizesOf(a making.Second, units measure.System) picture.Frontier {
	f := picture.Frontier{Title: "sizes that fit", Units: units,
		Wanted: picture.Point{Width: a.Project.Width, Length: a.Project.Length}}
	for _, p := range a.Frontier {
		point := picture.Point{Width: p.Width, Length: p.Length}
		if p.HasLength95 {
			point.Length95 = p.Length95
		}
		f.Points = append(f.Points, point)
	}
	if a.Recommended != nil {
		rec := a.Recommended
		f.Proposed = picture.Point{Width: rec.Point.Width, Length: rec.Length,
			Length95: rec.Point.Length95}
	}
	return f
}

// PrintDrawing prints a drawing after an empty line, if there is one.
func PrintDrawing(w io.Writer, text string) {
	if text == "" || IsPlain(w) {
		return
	}
	for line := range strings.SplitSeq(text, "\n") {
		if columns := columnsOf(w); columns > 0 && Cells(line) > columns {
			fmt.Fprintln(w, "\nThe drawing is wider than this screen: --svg FILE draws it.")
			return
		}
	}
	fmt.Fprintf(w, "\n%s", text)
}
