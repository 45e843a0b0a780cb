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
	t.Parallel()
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

func TestParagraphs(t *testing.T) {
	t.Parallel()
	got := paragraphs("Goes on\nin small.\nBegins anew.\n\nAny\n`set` does.")
	want := []string{"Goes on in small.", "Begins anew.", "", "Any `set` does."}
	if !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
}
