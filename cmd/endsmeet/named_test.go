package main

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// takesItem is what follows the name of an item or a yarn in each command that takes
// one; of those that only show, the tag that several items begin with is their yarn.
var takesItem = map[string]struct {
	before, after []string
	shows         bool
}{
	"weigh": {nil, []string{"70g"}, false}, "use": {nil, []string{"5g"}, false},
	"discard": {nil, []string{"5g"}, false}, "give": {nil, []string{"5g"}, false},
	"wind": {nil, []string{"5g"}, false}, "lend": {nil, []string{"--to", "guild"}, false},
	"return": {nil, nil, false}, "retire": {nil, []string{"--leftover", "lost"}, false},
	"set": {nil, []string{"bin=Q"}, false}, "worth": {nil, nil, false},
	"photo add":  {nil, []string{"nothing.jpg"}, false},
	"photo save": {nil, []string{"nothing.jpg"}, false}, "photo list": {nil, nil, true},
	"show": {nil, nil, true}, "history": {nil, nil, true}, "like": {nil, nil, true},
	"unmarked": {nil, nil, true}, "suits": {[]string{"Mira"}, nil, true},
	"together": {nil, []string{"Y1"}, true},
}

// Every command that takes an item understands its tag, the name of its yarn, and the
// tag that several begin with: it answers for the yarn, or asks which.
func TestEveryCommandKnowsAnItemByTagAndYarn(t *testing.T) {
	t.Parallel()
	d := formsDesk(t, false)
	d.run("receive", "Pippenfold, sky", "--fibre", "wool", "--count", "8/2 NeW", "--net", "91g",
		"--net", "102g", "--tag", "Y15", "--lot", "P31")
	d.run("receive", "Nubbwell", "--fibre", "silk", "--count", "8/2 Ne", "--net", "91g", "--tag", "Y25",
		"--colour", "ecru")
	d.run("lend", "Y25", "--to", "guild")
	seen := 0
	leaves(commands(&d.env), "", func(name string, c *cli.Command) {
		if !strings.Contains(c.ArgsUsage, "ITEM") && name != "together" {
			return
		}
		seen++
		how, known := takesItem[name]
		if !known {
			t.Errorf("%s takes an item: say how it is called here", name)
			return
		}
		try := func(word string) (int, string) {
			args := append(strings.Fields(name), how.before...)
			args = append(append(append(args, word), how.after...), "--dry-run")
			code := d.try(context.Background(), args...)
			return code, d.out.String() + d.err.String()
		}
		_, byTag := try("Y25")
		for _, word := range []string{"nubbwell", "Nubbwell, ecru", "nubbwell,Ecru"} {
			if _, byYarn := try(word); name != "show" && name != "history" && name != "set" && name != "together" &&
				!strings.HasPrefix(name, "photo") && byYarn != byTag {
				t.Errorf("%s of the only item of a yarn: by %s %s, by its tag %s", name, word,
					byYarn, byTag)
			} else if strings.Contains(byYarn, "no item is called") {
				t.Errorf("%s %s: %s", name, word, byYarn)
			}
		}
		for _, word := range []string{"Y15", "Pippenfold, sky"} {
			code, said := try(word)
			which := strings.Contains(said, "Y15-1 ") && strings.Contains(said, "Y15-2 ") &&
				strings.Contains(said, "say which")
			yarnToo := name == "set" || strings.HasPrefix(name, "photo")
			if !(how.shows && code == 0 || !how.shows && which || yarnToo && !strings.Contains(said, "no item is called")) {
				t.Errorf("%s %s: exit %d, %s", name, word, code, said)
			}
		}
	})
	if seen < 15 {
		t.Fatalf("only %d commands take an item", seen)
	}
}

// The exact name of a piece, a project, an item or a yarn is that, whatever else begins
// with it or has its words in it.
func TestAnExactNameComesBeforeAPartOfOne(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("receive", "Thrums, 8/2 mixed", "--fibre", "cotton", "--count", "8/2 Ne", "--net", "400g",
		"--tag", "Y39")
	d.run("receive", "bands 1 of cotton", "--fibre", "cotton", "--count", "8/2 Ne", "--net", "400g",
		"--tag", "Y40")
	for _, name := range []string{"s", "mixed", "bands", "Y3"} {
		d.run("project", "add", name, "--kind", "scarf", "--width", "20cm", "--length", "60cm",
			"--sett", "6/cm", "--picks", "6/cm", "--structure", "plain", "--warp", "Y39", "--weft", "Y40")
		d.run("start", name)
		d.run("start", name)
		for _, piece := range []string{name + " 1", name + " 2"} {
			if got := d.run("show", piece); !strings.HasPrefix(got, piece+": ") {
				t.Errorf("show %s: %s", piece, got)
			}
			if got := d.run("history", piece); !strings.Contains(got, "start "+piece) {
				t.Errorf("history %s: %s", piece, got)
			}
			if got := d.run("worth", piece); !strings.Contains(got, piece) {
				t.Errorf("worth %s: %s", piece, got)
			}
			if d.try(context.Background(), "photo", "list", piece); !strings.Contains(
				d.out.String()+d.err.String(), piece) && d.err.Len() > 0 {
				t.Errorf("photo list %s: %s%s", piece, d.out.String(), d.err.String())
			}
		}
		if got := d.run("show", name); !slices.Contains([]string{name}, strings.Fields(got)[0]) {
			t.Errorf("show %s: %s", name, got)
		}
	}
}
