package main

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"endsmeet/stash"
)

func TestErrorsOnAScreen(t *testing.T) {
	long := stash.Refuse(stash.CodeUsage, strings.Repeat("a hint ", 30),
		"what is wrong\n      1  a value of a list")
	told := func(columns int) []string {
		var b bytes.Buffer
		report(&environment{stderr: &b, errorColumns: columns}, long, false)
		return strings.Split(strings.TrimRight(b.String(), "\n"), "\n")
	}
	t.Run("are broken to fit it", func(t *testing.T) {
		lines := told(80)
		if len(lines) < 4 || lines[0] != "endsmeet: What is wrong" ||
			!strings.HasPrefix(lines[1], "      1  a value") &&
				!strings.HasPrefix(lines[1], "      1 a value") {
			t.Fatalf("%q", lines)
		}
		for _, l := range lines {
			if utf8.RuneCountInString(l) > 80 {
				t.Errorf("%q is too long", l)
			}
		}
	})
	t.Run("stay as they are in a pipe", func(t *testing.T) {
		if lines := told(0); len(lines) != 2 {
			t.Fatalf("%q", lines)
		}
	})
}

func TestAnErrorOnAScreenIsASentenceAndWhatToType(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"there is no command \"nope\" (did you mean `endsmeet note`?)",
			"There is no command \"nope\".\n  Did you mean `endsmeet note`?"},
		{`"412": which unit is it in? (write 412g; units: mg g kg oz lb)`,
			"\"412\": which unit is it in?\n  Write 412g; units: mg g kg oz lb."},
		{"Name the project. (Write endsmeet plan PROJECT)",
			"Name the project.\n  Write endsmeet plan PROJECT."},
		{"scale.step: more than nothing (such as 1g (or oz))",
			"scale.step: more than nothing.\n  Such as 1g (or oz)."},
		{"Y01 (a cone) is not weighed", "Y01 (a cone) is not weighed."},
		{"--rest is gone (endsmeet set Y01)", "--rest is gone.\n  endsmeet set Y01"},
	} {
		if got := toRead(c.text); got != c.want {
			t.Errorf("%q is shown as %q, not %q", c.text, got, c.want)
		}
	}
}

func TestParagraphs(t *testing.T) {
	got := paragraphs("Goes on\nin small.\nBegins anew.\n\nAny\n`set` does.")
	want := []string{"Goes on in small.", "Begins anew.", "", "Any `set` does."}
	if !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
}
