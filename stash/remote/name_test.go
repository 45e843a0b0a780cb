package remote_test

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
)

func TestNamesWithinTheGrammar(t *testing.T) {
	for _, name := range []string{
		"a", "7", "format.json", "keys/1/scrypt-ab2.age",
		"seg/abcdefghijklmnopqrstuvwx/1-20-chain-object.seg",
		"a--b", "a..b", "console", "com", "com10", "nully.txt", "a/lpt", "x.con",
		strings.Repeat("a", 119),
	} {
		got, err := remote.ParseName(name)
		if err != nil || string(got) != name {
			t.Errorf("%q: %q, %v", name, got, err)
		}
	}
}

func TestNamesOutsideTheGrammarAreInvalid(t *testing.T) {
	for _, name := range []string{
		"", "/", "a/", "/a", "a//b", ".", "..", "a/..", "../a", "a/.", ".a", "a.", "a/b./c", "-a",
		"a-", "A", "aB", "a b", "a_b", "a~", "ä", "a\x00", "a\\b", "a:b", "\xff",
		"con", "nul", "aux", "prn", "com1", "lpt9", "com0", "nul.txt", "a/con/b", "con.a.b",
		strings.Repeat("a", 120), strings.Repeat("a/", 60) + "a",
	} {
		_, err := remote.ParseName(name)
		if remote.KindOf(err) != remote.Invalid {
			t.Errorf("%q: %v", name, err)
		}
	}
}

// TestEveryBeginningOfANameIsAPrefix takes names apart and what is no name too.
func TestEveryBeginningOfANameIsAPrefix(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[a-z0-9]([a-z0-9.-]{0,9}[a-z0-9])?(/[a-z0-9]([a-z0-9.-]{0,9}[a-z0-9])?){0,4}`).Draw(t, "name")
		if remote.Name(name).Check() != nil {
			t.Skip("a device of Windows")
		}
		for i := range len(name) + 1 {
			if err := remote.CheckPrefix(name[:i]); err != nil {
				t.Fatalf("%q begins %q: %v", name[:i], name, err)
			}
		}
	})
	for _, prefix := range []string{"/", "//", "a//", ".", "..", "../", "a/.", "A", "a b", "con/",
		"-", "a./", "a/ä", strings.Repeat("a", 120)} {
		if err := remote.CheckPrefix(prefix); remote.KindOf(err) != remote.Invalid {
			t.Errorf("prefix %q: %v", prefix, err)
		}
	}
}

// TestNoTwoNamesMeetWhereCasesAreOne holds for file systems that fold case.
func TestNoTwoNamesMeetWhereCasesAreOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[a-zA-Z0-9.-]{1,8}`).Draw(t, "name")
		if _, err := remote.ParseName(name); err == nil && strings.ToLower(name) != name {
			t.Fatalf("%q has capitals and is a name", name)
		}
	})
}

func TestErrorsTellKindPlaceAndCause(t *testing.T) {
	err := fmt.Errorf("exchange: %w", &remote.Error{Kind: remote.Full, Op: "put", Object: "head/a",
		Place: "/media/stick", Cause: fs.ErrClosed, Hint: "make room"})
	if !errors.Is(err, remote.Full) || errors.Is(err, remote.Retry) ||
		!errors.Is(err, fs.ErrClosed) {
		t.Error("the kind or the cause can't be asked for")
	}
	if remote.KindOf(err) != remote.Full || remotetest.HintOf(err) != "make room" {
		t.Errorf("kind %v, hint %q", remote.KindOf(err), remotetest.HintOf(err))
	}
	if want := "exchange: put head/a in /media/stick: no room left: file already closed"; err.Error() != want {
		t.Errorf("%q, want %q", err, want)
	}
	if remote.KindOf(nil) != 0 || remote.KindOf(fs.ErrClosed) != remote.Refused ||
		remotetest.HintOf(fs.ErrClosed) != "" {
		t.Error("nil and foreign errors have the wrong kind")
	}
}

func TestEveryKindHasWords(t *testing.T) {
	seen := 0
	for kind := remote.NotFound; kind <= remote.Refused; kind++ {
		seen++
		if strings.Contains(kind.Error(), "unknown") {
			t.Errorf("kind %d: %q", kind, kind)
		}
	}
	if seen != 8 || !strings.Contains((remote.Refused+1).Error(), "unknown") {
		t.Errorf("%d kinds", seen)
	}
}
