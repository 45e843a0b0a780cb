package show

import (
	"strings"
	"testing"

	"endsmeet/stash/measure"
)

// TestANarrowScreenNamesEveryCellByItsColumn prints a list on screens that are ever
// narrower: where the columns do not fit, each cell stands behind its own heading.
func TestANarrowScreenNamesEveryCellByItsColumn(t *testing.T) {
	linear := 0
	for columns := 20; columns <= 60; columns++ {
		var out strings.Builder
		sink := &Sink{W: &out, Columns: columns, Terminal: true}
		PrintList(sink, []ListLine{{Cells: []string{"Y01", "Ossentarn cotton, oat", "cone", "A1",
			"387 g", "2620 m", "90 m", "", "bleeds, sheds 2"}}}, measure.Metric)
		sink.Close()
		text := strings.Join(strings.Fields(out.String()), " ")
		if !strings.Contains(text, "Y01 Ossentarn cotton, oat form ") {
			continue
		}
		linear++
		for _, want := range []string{"form cone", "bin A1", "left 387 g", "about 2620 m",
			"± 90 m", "! bleeds, sheds 2"} {
			if !strings.Contains(text, want) {
				t.Errorf("at %d columns there is no %q:\n%s", columns, want, text)
			}
		}
	}
	if linear == 0 {
		t.Error("the list fits every screen")
	}
}
