package wif

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/importers"
	"endsmeet/stash/measure"
)

// draft is a small draft of our own: six ends in two colours, four picks.
const draft = `[WIF]
Version=1.1
Date=April 20, 1997
Developers=nobody@example.invalid
Source Program=A Program That Must Not Show
Source Version=9

[CONTENTS]
COLOR PALETTE=true
WARP=true
WEFT=true
THREADING=true
; a comment
[COLOR PALETTE]
Entries=3
Range=0,999
Form=RGB
[COLOR TABLE]
1=999,999,999
2=0,0,500
3=999,0,0
[WEAVING]
Shafts=4
Treadles=4
Rising Shed=true
[WARP]
Threads=6
Color=1
Units=centimeters
Spacing=0.125
[WEFT]
Threads=4
Color=3
Units=decipoints
Spacing=36
[WARP COLORS]
3=2
4=2
[THREADING]
1=1
2=2
3=1
4=2
5=1
6=2
[TREADLING]
1=1
2=2
3=3
4=4
`

func parse(t testing.TB, text string) *Draft {
	t.Helper()
	d, err := Parse("t.wif", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestDraft(t *testing.T) {
	d := parse(t, draft)
	if got, want := show(d.Warp.Stripes), "2×#ffffff 2×#000080 2×#ffffff"; got != want {
		t.Errorf("stripes %s, want %s", got, want)
	}
	if got, want := show(d.Warp.ByColour), "4×#ffffff 2×#000080"; got != want {
		t.Errorf("ends by colour %s, want %s", got, want)
	}
	if got, want := show(d.Weft.ByColour), "4×#ff0000"; got != want {
		t.Errorf("picks by colour %s, want %s", got, want)
	}
	if d.Warp.Repeat != 2 || d.Weft.Repeat != 4 {
		t.Errorf("repeats %d and %d, want 2 and 4", d.Warp.Repeat, d.Weft.Repeat)
	}
	// 0.125 cm is 8 to the cm; 36 of 720 to the inch is 20 to the inch, 787402 to 1000 m
	if *d.Warp.Sett != 8*measure.PerCentimetre || *d.Weft.Sett != 787_402 ||
		d.Warp.Spacing != "0.125 centimeters" {
		t.Errorf("setts %v and %v, spacing %s", *d.Warp.Sett, *d.Weft.Sett, d.Warp.Spacing)
	}
	if text := fmt.Sprintf("%+v", d); strings.Contains(text, "Program") ||
		strings.Contains(text, "nobody") {
		t.Errorf("names of programs or people are kept: %s", text)
	}
}

func show(runs []Run) string {
	var out []string
	for _, r := range runs {
		out = append(out, fmt.Sprintf("%d×%s", r.Threads, r.Colour.Hex))
	}
	return strings.Join(out, " ")
}

// What real files do and the answer does not hang on.
func TestTolerance(t *testing.T) {
	want := parse(t, draft)
	sections := strings.Split(draft, "\n[")
	for i := 1; i < len(sections); i++ {
		sections[i] = "[" + sections[i]
	}
	back := append([]string(nil), sections...)
	for i, j := 1, len(back)-1; i < j; i, j = i+1, j-1 {
		back[i], back[j] = back[j], back[i]
	}
	for name, text := range map[string]string{
		"CR LF":                   strings.ReplaceAll(draft, "\n", "\r\n"),
		"CR":                      strings.ReplaceAll(draft, "\n", "\r"),
		"a byte order mark":       "\uFEFF" + draft,
		"upper case":              strings.ToUpper(draft),
		"lower case":              strings.ToLower(draft),
		"sections in other order": strings.Join(back, "\n"),
		"spaces about": strings.ReplaceAll(strings.ReplaceAll(draft, "=", " = "),
			"[WARP COLORS]", "[ Warp  Colors ]"),
		"comments behind values": strings.Replace(draft, "Threads=6", "Threads=6 ; ends", 1),
		"colours with their RGB": strings.Replace(draft, "Color=1", "Color=1,999,999,999", 1),
		"a line said twice":      strings.Replace(draft, "Threads=6", "Threads=6\nThreads=6", 1),
		"no number of threads": strings.Replace(strings.Replace(draft, "Threads=6\n", "", 1),
			"Threads=4\n", "", 1),
		"a lift plan": strings.Replace(draft, "[TREADLING]", "[LIFTPLAN]", 1),
		"text of other sections": draft +
			"[NOTES]\n1=anything\nand more without a sign\n[PRIVATE X]\n\x80",
		"no range": strings.Replace(draft, "Range=0,999\n", "", 1),
		"a wider range": strings.NewReplacer("0,999\n", "0,65535\n", "999,999,999\n",
			"65535,65535,65535\n", "0,0,500", "0,0,32800", "999,0,0", "65535,0,0").Replace(draft),
	} {
		t.Run(name, func(t *testing.T) {
			got := parse(t, text)
			if fmt.Sprint(show(got.Warp.Stripes), show(got.Weft.Stripes), got.Warp.Repeat,
				got.Weft.Repeat, *got.Warp.Sett, *got.Weft.Sett) !=
				fmt.Sprint(show(want.Warp.Stripes), show(want.Weft.Stripes), want.Warp.Repeat,
					want.Weft.Repeat, *want.Warp.Sett, *want.Weft.Sett) {
				t.Errorf("got %+v, want %+v", got, want)
			}
		})
	}
}

func TestContentsMayLie(t *testing.T) {
	d := parse(t, strings.Replace(draft, "WARP=true",
		"WARP COLORS=false\nTREADLING=on\nLIFTPLAN=yes", 1))
	if got := strings.Join(d.Notes,
		"; "); got != "[CONTENTS] says true for [LIFTPLAN], which is missing; [CONTENTS] says false for [WARP COLORS], which is there" {
		t.Errorf("got %s", got)
	}
	if show(d.Warp.Stripes) != "2×#ffffff 2×#000080 2×#ffffff" {
		t.Error("a section that is there does not count")
	}
}

func TestMissingSections(t *testing.T) {
	d := parse(t, "[WIF]\n[WARP]\nThreads=3\n[WEFT]\nThreads=2\nColor=7\n")
	if d.Warp.Sett != nil || d.Warp.Repeat != 0 || show(d.Warp.Stripes) != "3×" ||
		d.Weft.Stripes[0].Colour != (Colour{Index: 7}) {
		t.Errorf("got %+v", d)
	}
}

// Drafts of one side are common; nothing of the other is made up.
func TestADraftOfOneSide(t *testing.T) {
	d := parse(t, "[WIF]\n[WARP]\nThreads=3\nColor=7\n")
	if d.Warp.Threads != 3 || d.Weft.Threads != 0 || len(d.Weft.ByColour) != 0 ||
		fmt.Sprint(d.Notes) != "[the draft says nothing of the weft]" {
		t.Errorf("got %+v", d)
	}
	for name, text := range map[string]string{"neither side": "[WIF]\n",
		"picks without a number": "[WIF]\n[WARP]\nThreads=3\n[WEFT]\nColor=1\n",
		"colours of picks alone": "[WIF]\n[WARP]\nThreads=3\n[WEFT COLORS]\n1=1\n"} {
		if _, err := Parse("t.wif", strings.NewReader(text)); err == nil ||
			!strings.Contains(err.Error(), "number of threads is not given") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestSpacingOfSingleThreads(t *testing.T) {
	d := parse(t, "[WIF]\n[WARP]\nThreads=4\nUnits=inches\nSpacing=0.1\n[WARP SPACING]\n1=0.2\n2=0.2\n[WEFT]\nThreads=1\n")
	// four ends in 0.6 inch: 6.667 to the inch, 262467 to 1000 m
	if *d.Warp.Sett != 262_467 {
		t.Errorf("got %d", *d.Warp.Sett)
	}
}

func TestStrictAboutWhatMatters(t *testing.T) {
	for _, c := range []struct {
		name, old, new, why string
		line                int
	}{
		{"threads that are no number", "Threads=6", "Threads=six", "not a whole number", 27},
		{"more threads than any loom has", "Threads=6", "Threads=2000000000", "from 0 to 100000",
			27},
		{"a colour that the palette lacks", "3=2\n4=2", "3=9\n4=2", "no such colour", 37},
		{"a colour of a thread beyond the last", "3=2\n4=2", "3=2\n9=2", "no such thread", 38},
		{"a thread beyond the last", "6=2\n[TRE", "7=2\n[TRE", "no such thread", 45},
		{"a colour outside the range", "2=0,0,500", "2=0,0,5000", "not three numbers from 0 to 999",
			20},
		{"two numbers for a colour", "2=0,0,500", "2=0,0", "not three numbers", 20},
		{"a range upside down", "Range=0,999", "Range=999,0", "the lower first", 16},
		{"a key with two values", "Threads=6", "Threads=6\nThreads=8", "another value on line 27",
			28},
		{"a line that is no key", "Threads=6", "Threads 6", "not KEY=VALUE", 27},
		{"an unknown unit", "Units=decipoints", "Units=cubits", "not a unit", 34},
		{"a spacing that is no number", "Spacing=36", "Spacing=wide", "not a distance", 35},
		{"a shaft that is no number", "2=2\n3=1", "2=two\n3=1", "not numbers", 41},
		{"a section cut off", "[TREADLING]", "[TREADL", "not closed", 46},
		{"text before the first section", "[WIF]", "hello\n[WIF]", "before the first section", 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(draft, c.old) {
				t.Fatalf("the draft lacks %q", c.old)
			}
			_, err := Parse("t.wif", strings.NewReader(strings.Replace(draft, c.old, c.new, 1)))
			var all *importers.Problems
			if !errors.As(err, &all) {
				t.Fatalf("got %v", err)
			}
			if p := all.List[0]; p.Line != c.line || p.Hint == "" || p.File != "t.wif" ||
				!strings.Contains(p.Error(), c.why) {
				t.Errorf("got %v, want %q on line %d", p, c.why, c.line)
			}
		})
	}
	t.Run("all faults in one go", func(t *testing.T) {
		_, err := Parse("t.wif",
			strings.NewReader(strings.NewReplacer("Threads=4", "Threads=x", "Spacing=0.125",
				"Spacing=x", "3=2\n4=2", "3=9\n9=2").Replace(draft)))
		var all *importers.Problems
		if !errors.As(err, &all) || len(all.List) < 4 {
			t.Errorf("got %v", err)
		}
	})
	t.Run("a table of yarns has one fault", func(t *testing.T) {
		_, err := Parse("t.csv", strings.NewReader("yarn,net (g)\na,1\n"))
		var all *importers.Problems
		if !errors.As(err, &all) || len(all.List) != 1 || all.List[0].Line != 1 {
			t.Errorf("got %v", err)
		}
	})
	for name, text := range map[string]string{"no draft": "[other]\na=b\n", "nothing": "",
		"a NUL byte": "[WIF]\n\x00", "too large": "[WIF]\n" + strings.Repeat(";", maxFile)} {
		t.Run(name, func(t *testing.T) {
			if _, err := Parse("t.wif", strings.NewReader(text)); err == nil ||
				!strings.Contains(err.Error(), "t.wif") {
				t.Errorf("got %v", err)
			}
		})
	}
}

func TestOpen(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "d.wif")
	if err := os.WriteFile(path, []byte(draft), 0o600); err != nil {
		t.Fatal(err)
	}
	if d, err := Open(path); err != nil || d.Warp.Threads != 6 {
		t.Errorf("got %+v, %v", d, err)
	}
	for path, why := range map[string]string{dir: "folder",
		filepath.Join(dir, "no.wif"): "no such file"} {
		if _, err := Open(path); err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("%s: got %v", path, err)
		}
	}
}

// The shortest period, against trying every length.
func TestPeriodIsTheShortest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SliceOfN(rapid.SampledFrom([]string{"1", "2", "3"}), 1, 6).Draw(t, "unit")
		n := rapid.IntRange(1, 40).Draw(t, "threads")
		sequence := make([]string, n)
		for i := range sequence {
			sequence[i] = unit[i%len(unit)]
		}
		want := 0
		for p := 1; p <= n && want == 0; p++ {
			fits := true
			for i := p; i < n; i++ {
				fits = fits && sequence[i] == sequence[i-p]
			}
			if fits {
				want = p
			}
		}
		if got := period(sequence); got != want {
			t.Fatalf("%v: got %d, want %d", sequence, got, want)
		}
	})
}

// No thread is lost or made: stripes and colours add up to the threads.
func TestThreadsAreConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 200).Draw(t, "threads")
		var b strings.Builder
		fmt.Fprintf(&b, "[WIF]\n[COLOR TABLE]\n1=0,0,0\n2=9,9,9\n3=255,0,0\n[WEFT]\nThreads=1\n[WARP]\nThreads=%d\nColor=1\n[WARP COLORS]\n", n)
		for i := 1; i <= n; i++ {
			if c := rapid.IntRange(0, 3).Draw(t, "colour"); c > 0 {
				fmt.Fprintf(&b, "%d=%d\n", i, c)
			}
		}
		d, err := Parse("t.wif", strings.NewReader(b.String()))
		if err != nil {
			t.Fatal(err)
		}
		stripes, colours := 0, 0
		for i, r := range d.Warp.Stripes {
			stripes += r.Threads
			if i > 0 && d.Warp.Stripes[i-1].Colour == r.Colour {
				t.Fatal("neighbouring stripes of one colour")
			}
		}
		for _, r := range d.Warp.ByColour {
			colours += r.Threads
		}
		if stripes != n || colours != n {
			t.Fatalf("%d threads, %d in stripes, %d by colour", n, stripes, colours)
		}
	})
}

func TestNearestInCIELAB(t *testing.T) {
	yarns := []Yarn{{"ivory", "#fffff0"}, {"navy", "#000080"}, {"rust", "#B7410E"},
		{"again", "#000080"}}
	got, err := Nearest([]Colour{{1, "#ffffff"}, {2, "#10107a"}, {3, "#c04010"}, {4, ""},
		{5, "#000080"}}, yarns)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"ivory", "navy", "rust", "", "navy"} {
		if got[i].Yarn != want {
			t.Errorf("colour %d: got %+v, want %q", i+1, got[i], want)
		}
	}
	if got[3].Distance != -1 || got[4].Distance != 0 {
		t.Errorf("got %+v", got)
	}
	if _, err := Nearest(nil, []Yarn{{"x", "reddish"}}); err == nil ||
		!strings.Contains(err.Error(), "#rrggbb") {
		t.Error(err)
	}
}

// Published CIELAB of the sRGB primaries under D65 (from memory, as commonly
// tabulated): red 53.24 80.09 67.20, blue 32.30 79.19 -107.86; black to white
// is 100.
func TestDistanceIsDeltaE(t *testing.T) {
	red, blue := [3]float64{53.24, 80.09, 67.20}, [3]float64{32.30, 79.19, -107.86}
	want := math.Sqrt(math.Pow(red[0]-blue[0], 2) + math.Pow(red[1]-blue[1], 2) +
		math.Pow(red[2]-blue[2], 2))
	for _, c := range []struct {
		a, b string
		want float64
	}{{"#ff0000", "#0000ff", want}, {"#000000", "#ffffff", 100}} {
		got, err := Nearest([]Colour{{1, c.a}}, []Yarn{{"y", c.b}})
		if err != nil || math.Abs(got[0].Distance-c.want) > 0.15 {
			t.Errorf("%s to %s: got %v, %v; want %.1f", c.a, c.b, got, err, c.want)
		}
	}
}

func TestColoursAreListedOnce(t *testing.T) {
	if got := parse(t, strings.Replace(draft, "Color=3", "Color=2", 1)).Colours(); len(got) != 2 ||
		got[0].Index != 1 || got[1].Index != 2 {
		t.Errorf("got %+v", got)
	}
}

func FuzzParse(f *testing.F) {
	seeds := []string{draft, "[WIF]\n[WARP]\nThreads=3\n",
		"[wif]\r\n[weft]\rThreads=1\n[WEFT SPACING]\n1=1e9\n",
		"[WIF]\n[WARP]\nThreads=100000\nSpacing=0\n[THREADING]\n1=1,2\n", "[", "=", ";"}
	if len(seeds) == 0 {
		f.Fatal("no seeds")
	}
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, err := Parse("f.wif", strings.NewReader(text))
		if err != nil {
			var all *importers.Problems
			if !errors.As(err, &all) || len(all.List) == 0 || all.List[0].Hint == "" {
				t.Fatal(err)
			}
			return
		}
		for _, side := range []Side{d.Warp, d.Weft} {
			n := 0
			for _, r := range side.Stripes {
				n += r.Threads
			}
			if n != side.Threads || side.Repeat > side.Threads {
				t.Fatalf("%+v", side)
			}
		}
	})
}
