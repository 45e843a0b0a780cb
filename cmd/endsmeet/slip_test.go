package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestOnATerminalASlipIsAskedAboutBeforeItIsRecorded goes through the commands that take
// a weight, or a fact that weights hang on: the default is to record nothing.
func TestOnATerminalASlipIsAskedAboutBeforeItIsRecorded(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for _, c := range []string{
		"receive Rook --fibre cotton --count '125 m = 50 g' --form cone --gross 300g --tare 25g --tag Y05",
		"project add scarf --kind scarf --width 10cm --length 50cm --structure plain --sett 4/cm --picks 4/cm --warp Y05 --weft Y05",
		"start scarf",
	} {
		inShell(t, dir, "endsmeet "+c)
	}
	if err := os.WriteFile(filepath.Join(dir, "list.txt"), []byte("Y05 3000g\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []string{
		"weigh Y05 2900g", "weigh Y05 2900g --net", "stocktake --from list.txt",
		"weigh --from list.txt", "lend Y05 --to Guild --gross 2750g", "set Y05 tare=280g",
		"set Rook 'count=2500 yd/lb'", "finish scarf --weighed Y05=27g --length 50cm --width 10cm", "finish scarf",
	} {
		before := inShell(t, dir, "endsmeet history")
		said := atTerminal(t, dir, "endsmeet "+c, typing{"Record it all the same?", enter})
		if !strings.Contains(said, "Nothing was recorded.") ||
			inShell(t, dir, "endsmeet history") != before {
			t.Errorf("%s\n%s", c, said)
		}
		said = atTerminal(t, dir, "endsmeet "+c+" --dry-run", typing{"Record it all the same?", "y"})
		if !strings.Contains(said, "only tried") || !strings.Contains(said, "In one line: endsmeet") ||
			!strings.Contains(said, "--dry-run --") {
			t.Errorf("%s, taken:\n%s", c, said)
		}
	}
	t.Run("asked for, then asked about", func(t *testing.T) {
		said := atTerminal(t, dir, "endsmeet weigh Y05", typing{"What does the scale show?", "2900g" + enter},
			typing{"Record it all the same?", "y"})
		for _, want := range []string{"Y05 should show about", "In one line: endsmeet weigh Y05 2900g --as-read"} {
			if !strings.Contains(said, want) {
				t.Errorf("no %q in %s", want, said)
			}
		}
	})
}
