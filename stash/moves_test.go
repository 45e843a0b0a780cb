package stash_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

const g = measure.Gram

var noon = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

// heldCone is a cone of 100 g that arrived at noon, on an empty of 25 g.
func heldCone() stash.Package {
	p := stash.Package{ID: "abcdefghijkl"}
	p.Tare = &stash.Tare{Mass: 25 * g, Source: stash.TareWeighed}
	p.Known, p.Received, p.Held, p.Arrived = true, 100*g, 100*g, noon
	p.Heads = []stash.EventID{{1}}
	return p
}

func gross(m measure.Mass) stash.Reading { return stash.Reading{Gross: &m} }

func net(m measure.Mass) stash.Reading { return stash.Reading{Net: &m} }

func TestMovesRefuse(t *testing.T) {
	type draft = func(stash.Package, stash.Move) (stash.Draft, error)
	wind := func(into stash.PackageID) draft {
		return func(p stash.Package, m stash.Move) (stash.Draft, error) {
			return p.Wind(m, into, nil)
		}
	}
	lent := func(p *stash.Package) { p.LentTo = "a \x1b[2Jfriend" }
	retired := func(p *stash.Package) { p.Retired, p.Held = true, 0 }
	later := noon.Add(time.Hour)
	for _, c := range []struct {
		rule  string
		state func(*stash.Package)
		do    draft
		move  stash.Move
		code  stash.Code
		words string
	}{
		{"to weigh without a weight", nil, stash.Package.Weigh, stash.Move{}, stash.CodeUsage,
			"412g"},
		{"to weigh what is retired", retired, stash.Package.Weigh, stash.Move{Reading: net(g)},
			stash.CodeRetired, "retired"},
		{"to weigh before it arrived", nil, stash.Package.Weigh,
			stash.Move{Reading: net(g), At: noon.Add(-time.Minute)}, stash.CodeRefused,
			"arrived on 2026-03-01 12:00"},
		{"a gross below the tare", nil, stash.Package.Weigh, stash.Move{Reading: gross(24 * g)},
			stash.CodeInput, "above the gross"},
		{"a gross below a tare given with it", nil, stash.Package.Weigh,
			stash.Move{Reading: withTare(gross(24*g), 30*g)}, stash.CodeInput, "30 g"},
		{"a net below nothing", nil, stash.Package.Weigh, stash.Move{Reading: net(-g)},
			stash.CodeInput, "below nothing"},
		{"to use nothing", nil, stash.Package.Use, stash.Move{}, stash.CodeInput,
			"more than nothing"},
		{"to use less than nothing", nil, stash.Package.Use, stash.Move{Mass: -g, Force: true},
			stash.CodeInput, "more than nothing"},
		{"to use more than there is", nil, stash.Package.Use, stash.Move{Mass: 101 * g},
			stash.CodeOverdrawn, "holds 100 g"},
		{"to use what is lent", lent, stash.Package.Use, stash.Move{Mass: g}, stash.CodeRefused,
			"on loan"},
		{"to use what is retired", retired, stash.Package.Use, stash.Move{Mass: g, Force: true},
			stash.CodeRetired, "retired"},
		{"to use before it arrived", nil, stash.Package.Use,
			stash.Move{Mass: g, At: noon.Add(-time.Hour), Force: true}, stash.CodeRefused,
			"arrived"},
		{"to spoil more than there is", nil, stash.Package.Discard, stash.Move{Mass: 101 * g},
			stash.CodeOverdrawn, "force"},
		{"to give more than there is", nil, stash.Package.Give, stash.Move{Mass: 101 * g},
			stash.CodeOverdrawn, "force"},
		{"to lend to nobody", nil, stash.Package.Lend, stash.Move{}, stash.CodeUsage, "--to"},
		{"to lend what is lent", lent, stash.Package.Lend, stash.Move{Who: "x"}, stash.CodeRefused,
			"return first"},
		{"to lend what is retired", retired, stash.Package.Lend, stash.Move{Who: "x"},
			stash.CodeRetired, "retired"},
		{"to lend with a gross below the tare", nil, stash.Package.Lend,
			stash.Move{Who: "x", Reading: gross(g)}, stash.CodeInput, "above the gross"},
		{"to return what is here", nil, stash.Package.Return, stash.Move{}, stash.CodeRefused,
			"not on loan"},
		{"to return what is retired", retired, stash.Package.Return, stash.Move{},
			stash.CodeRetired, "retired"},
		{"to return with a gross below the tare", lent, stash.Package.Return,
			stash.Move{Reading: gross(g)}, stash.CodeInput, "above the gross"},
		{"to retire without saying where the rest is", nil, stash.Package.Retire, stash.Move{},
			stash.CodeRefused, "--leftover"},
		{"to retire twice", retired, stash.Package.Retire, stash.Move{Leftover: stash.LeftoverLost},
			stash.CodeRetired, "retired"},
		{"to wind into itself", nil, wind("abcdefghijkl"), stash.Move{Mass: g}, stash.CodeRefused,
			"itself"},
		{"to wind onto nothing", nil, wind(""), stash.Move{Mass: g}, stash.CodeRefused,
			"another item"},
		{"to wind nothing", nil, wind("other"), stash.Move{}, stash.CodeInput, "more than nothing"},
		{"to wind more than there is", nil, wind("other"), stash.Move{Mass: 101 * g},
			stash.CodeOverdrawn, "force"},
		{"to wind what is lent", lent, wind("other"), stash.Move{Mass: g}, stash.CodeRefused,
			"on loan"},
	} {
		t.Run(c.rule, func(t *testing.T) {
			p := heldCone()
			if c.state != nil {
				c.state(&p)
			}
			if c.move.At.IsZero() {
				c.move.At = later
			}
			_, err := c.do(p, c.move)
			var refusal *stash.Error
			if !errors.As(err, &refusal) || refusal.Code != c.code ||
				!strings.Contains(err.Error(), c.words) {
				t.Fatalf("got %v; want %s: %s", err, c.code, c.words)
			}
			if harmful(err.Error()) {
				t.Errorf("the refusal is not harmless: %q", err)
			}
		})
	}
}

func withTare(r stash.Reading, tare measure.Mass) stash.Reading {
	r.Tare = &tare
	return r
}

func TestMovesDraftWhatTheyAreAskedFor(t *testing.T) {
	at := noon.Add(time.Hour)
	for _, c := range []struct {
		rule string
		do   func(stash.Package, stash.Move) (stash.Draft, error)
		move stash.Move
		kind stash.Kind
	}{
		{"all that there is", stash.Package.Use, stash.Move{Mass: 100 * g}, stash.KindUse},
		{"more than there is, forced", stash.Package.Discard,
			stash.Move{Mass: 101 * g, Force: true}, stash.KindDiscard},
		{"a gross equal to the tare", stash.Package.Weigh, stash.Move{Reading: gross(25 * g)},
			stash.KindWeigh},
		{"the moment when it arrived", stash.Package.Give, stash.Move{Mass: g, At: noon},
			stash.KindGive},
		{"a loan without a weight", stash.Package.Lend, stash.Move{Who: "x"}, stash.KindLend},
		{"a rest that was lost", stash.Package.Retire, stash.Move{Leftover: stash.LeftoverLost},
			stash.KindRetire},
	} {
		t.Run(c.rule, func(t *testing.T) {
			if c.move.At.IsZero() {
				c.move.At = at
			}
			p := heldCone()
			d, err := c.do(p, c.move)
			if err != nil {
				t.Fatal(err)
			}
			if d.Kind != c.kind || d.Of != stash.Subject(p.ID) || !d.At.Equal(c.move.At) ||
				len(d.Replaces) != 1 || d.Replaces[0] != p.Heads[0] {
				t.Errorf("got %+v", d)
			}
		})
	}
}

func TestAPackageThatWasNeverWeighedMayBeTakenFrom(t *testing.T) {
	p := stash.Package{ID: "abcdefghijkl"}
	if _, err := p.Use(stash.Move{Mass: g, At: noon}); err != nil {
		t.Error(err)
	}
}
