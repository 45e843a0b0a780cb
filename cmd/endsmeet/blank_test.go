package main

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// TestNothingIsNoArgument: an empty or a blank word in any place of any command is
// refused, says which, and changes nothing.
func TestNothingIsNoArgument(t *testing.T) {
	t.Parallel()
	d := formsDesk(t, true)
	tried := [][]string{{""}, {" "}, {"help", ""}, {"", "Y01"}, {"--stash", "", "list"}}
	leaves(commands(&d.env), "", func(name string, c *cli.Command) {
		path := strings.Fields(name)
		tried = append(tried, slices.Concat(path, []string{""}), slices.Concat(path,
			[]string{"Y01", "\t"}))
		for _, f := range c.Flags {
			_, is := f.(*cli.BoolFlag)
			if option := "--" + f.Names()[0]; !is && !slices.Contains(mayBeEmpty, option[2:]) {
				tried = append(tried, slices.Concat(path, []string{option, ""}),
					slices.Concat(path, []string{"Y01", option + "= "}))
			}
		}
	})
	if len(tried) < 200 {
		t.Fatalf("only %d places", len(tried))
	}
	before := filesOf(t, d.dir)
	for _, words := range tried {
		if code := d.try(t.Context(), words...); code == 0 || d.out.Len() > 0 ||
			!strings.Contains(d.err.String(), "is empty") {
			t.Errorf("%q: exit %d, %q, %q", words, code, d.out.String(), d.err.String())
		}
	}
	if !maps.Equal(before, filesOf(t, d.dir)) {
		t.Error("files were changed")
	}
}
