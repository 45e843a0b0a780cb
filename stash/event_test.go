package stash_test

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"endsmeet/stash"
)

func TestALineIsReadAsItWasWritten(t *testing.T) {
	line := stash.Line{Version: 1, Clock: stash.ClockAt(noon),
		At: noon.In(time.FixedZone("", 7200)), Kind: stash.KindUse, Of: "abc", Act: "act",
		Once: "k<>&", Replaces: []stash.EventID{{1, 2}}, Body: json.RawMessage(`{"mass_mg":1000}`)}
	raw, err := stash.EncodeLine(line)
	if err != nil {
		t.Fatal(err)
	}
	got, err := stash.DecodeLine(raw)
	if err != nil {
		t.Fatal(err)
	}
	again, err := stash.EncodeLine(got)
	if err != nil || !bytes.Equal(raw, again) || !got.At.Equal(line.At) || got.Once != line.Once ||
		!slices.Equal(got.Replaces, line.Replaces) {
		t.Errorf("%v\n%s\n%s", err, raw, again)
	}
	if bytes.ContainsAny(raw, "\n\r") {
		t.Error("it is not one line")
	}
}

// TestChainIsThatOfTheSpecification: SHA-256 of 32 zero bytes, "lane", the
// length as 8 bytes big-endian and the line, computed with GNU coreutils 9.1:
// (head -c 32 /dev/zero; printf 'lane\0\0\0\0\0\0\0\2{}') | sha256sum
func TestChainIsThatOfTheSpecification(t *testing.T) {
	const want = "553f9b7c137ecb485ef1850085a9e5b87e63ff6cf94a9b79ea5057c8996cb210"
	c := stash.NextChain(stash.Chain{}, "lane", []byte("{}"))
	if got := hex.EncodeToString(c[:]); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	id := c.ID()
	var back stash.EventID
	if err := back.UnmarshalText([]byte(id.String())); err != nil || back != id ||
		len(id.String()) != 26 {
		t.Errorf("%v, %s", err, id)
	}
	for _, bad := range []string{"", "a", id.String() + "a", "ABCDEFGHIJKLMNOPQRSTUVWXYZ",
		"aaaaaaaaaaaaaaaaaaaaaaaa=="} {
		if back.UnmarshalText([]byte(bad)) == nil {
			t.Errorf("%q was read as an id", bad)
		}
	}
}

func TestOrderIsThatOfPlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func() stash.Event {
			e := stash.Event{Lane: rapid.SampledFrom([]stash.Lane{"a", "b"}).Draw(t, "lane"),
				Seq: rapid.Int64Range(1, 3).Draw(t, "seq")}
			e.At = noon.Add(time.Duration(rapid.Int64Range(0, 3_000_000).Draw(t,
				"nanoseconds"))).In(time.FixedZone("", rapid.IntRange(-3600, 3600).Draw(t, "zone")))
			e.Clock = stash.Clock(rapid.Int64Range(0, 2).Draw(t, "clock"))
			e.Chain[0] = rapid.Byte().Draw(t, "hash")
			return e
		}
		a, b := draw(), draw()
		p, q := stash.PlaceOf(a), stash.PlaceOf(b)
		if p.Before(q) && stash.Order(a, b) >= 0 || q.Before(p) && stash.Order(a, b) <= 0 {
			t.Fatalf("%+v and %+v: %d", p, q, stash.Order(a, b))
		}
		if p == q && (stash.Order(a, b) == 0) != (a.Chain == b.Chain) {
			t.Fatalf("the hash does not decide: %d", stash.Order(a, b))
		}
	})
}

func TestWhatASubjectIsDoesNotHangOnTheOrder(t *testing.T) {
	whats := []stash.What{"", stash.WhatYarn, stash.WhatPackage, stash.WhatProject, stash.WhatPiece,
		stash.WhatPerson, stash.WhatSettings, "loom", "zebra"}
	for _, a := range whats {
		for _, b := range whats {
			if a.Prefer(b) != b.Prefer(a) {
				t.Errorf("%q and %q give %q or %q", a, b, a.Prefer(b), b.Prefer(a))
			}
			for _, c := range whats {
				if a.Prefer(b).Prefer(c) != a.Prefer(b.Prefer(c)) {
					t.Errorf("%q, %q and %q: the order decides", a, b, c)
				}
			}
		}
		if a.Prefer("") != a || a.Prefer(stash.WhatPackage) != stash.WhatPackage {
			t.Errorf("%q: nothing is preferred to it, or it to a package", a)
		}
	}
}

func TestTouchesAreWithoutRepeats(t *testing.T) {
	body := `{"debits":[{"package":"a","mass_mg":1},{"package":"a","mass_mg":2}],"weighed":[{"package":"a","net_mg":5}],"thrums":[{"package":"a"},{"package":"b"},{"package":"b"}]}`
	touches := stash.Touches(stash.Line{Kind: stash.KindFinish, Of: "piece",
		Body: json.RawMessage(body)})
	seen := map[stash.Touch]bool{}
	for _, touch := range touches {
		if seen[touch] {
			t.Errorf("%v comes twice", touch)
		}
		seen[touch] = true
	}
	if len(touches) != 5 { // the piece; a as moved and stated; b as both
		t.Errorf("got %v", touches)
	}
}

func TestClockNeverGoesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		last := stash.Clock(rapid.Int64Range(0, 1<<62).Draw(t, "last"))
		now := time.UnixMilli(rapid.Int64Range(0, 1<<45).Draw(t, "now"))
		other := stash.Clock(rapid.Int64().Draw(t, "other"))
		if next := last.Next(now); next <= last || next < stash.ClockAt(now) {
			t.Fatalf("next is %d", next)
		}
		seen := last.Seen(other, now)
		if seen < last || seen > max(last, stash.ClockAt(now.Add(24*time.Hour))) {
			t.Fatalf("seen is %d", seen)
		}
	})
}
