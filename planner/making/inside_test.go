package making

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// bench is a finished piece on a shelf: cotton warp, linen weft, an end of
// 2.5 m of which front and back take 25 and 45 cm, a fringe of 12 cm.
type bench struct {
	shelf Shelf
	piece stash.Piece
}

// fataler is what a test of either kind has.
type fataler interface {
	Helper()
	Fatal(...any)
}

func newBench(t fataler) *bench {
	length := func(mm measure.Length) *measure.Length { return &mm }
	b := &bench{shelf: Shelf{Settings: stash.DefaultSettings(),
		Yarns: map[stash.YarnID]stash.Yarn{}}}
	b.piece = stash.Piece{
		ID: "scarf", Name: "scarf 1", State: stash.Finished,
		EndedAt: time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC),
		Finish:  &stash.Finish{Measures: stash.Measures{Width: 300, Length: 990}},
		Plan: &stash.Plan{
			Spec: stash.ProjectFacts{
				Pieces: 1, Width: 300, Length: 1000, Sett: 8 * measure.PerCentimetre,
				Picks:  7 * measure.PerCentimetre,
				Fringe: 120, FrontWaste: length(250), BackWaste: length(450),
			},
			Ends: 240, WarpEnd: 2500, Tape: 1000, Length: 1000,
		},
	}
	b.yarn(t, "oat", "cotton")
	b.yarn(t, "flax", "linen")
	return b
}

// yarn adds a yarn with one package of the same id.
func (b *bench) yarn(t fataler, id, fibres string) {
	t.Helper()
	y := stash.Yarn{ID: stash.YarnID(id),
		YarnFacts: stash.YarnFacts{Name: id, Count: &stash.CountFact{Count: 100 * measure.Tex}}}
	if fibres != "" {
		var err error
		if y.Fibre, err = fibre.ParseContent(fibres); err != nil {
			t.Fatal(err)
		}
	}
	b.shelf.Yarns[y.ID] = y
	b.shelf.Packages = append(b.shelf.Packages, stash.Package{
		ID: stash.PackageID(id), PackageFacts: stash.PackageFacts{Yarn: y.ID, Tag: id},
		Account: stash.Account{Known: true, Received: measure.Kilogram,
			UsedIn: map[stash.PieceID]measure.Mass{}},
	})
}

// pack gives the package to be changed.
func (b *bench) pack(id string) *stash.Package {
	for i := range b.shelf.Packages {
		if b.shelf.Packages[i].ID == stash.PackageID(id) {
			return &b.shelf.Packages[i]
		}
	}
	return nil
}

// debit debits grams of a package, weighed.
func (b *bench) debit(id string, role stash.Role, grams measure.Mass) {
	mass := grams * measure.Gram
	b.piece.Finish.Debits = append(b.piece.Finish.Debits, stash.Debit{Package: stash.PackageID(id),
		Role: role, Mass: mass, Measured: true})
	b.pack(id).UsedIn["scarf"] += mass
}

// wants checks what is inside: "oat warp 163200 computed", in order.
func (b *bench) wants(t *testing.T, want ...string) {
	t.Helper()
	inside, err := b.shelf.inside(b.piece)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, in := range inside {
		how := "computed"
		if in.Measured {
			how = "measured"
		}
		got = append(got, fmt.Sprintf("%s %s %d %s", in.Package.ID, in.Role, in.Mass, how))
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// The figures are worked by hand from design section 4: end − sample − header
// − trimmings − the waste that the fringe does not use.
func TestInside(t *testing.T) {
	t.Run("loom waste is left out, a fringe cut from it counts", func(t *testing.T) {
		b := newBench(t)
		b.debit("oat", stash.RoleWarp, 200) // 2500 − (250−120) − (450−120) = 2040 of 2500
		b.debit("flax", stash.RoleWeft, 120)
		b.wants(t, "oat warp 163200 computed", "flax weft 120000 measured")
	})
	t.Run("a measured waste is taken instead", func(t *testing.T) {
		b := newBench(t)
		b.debit("oat", stash.RoleWarp, 200)
		b.piece.Finish.Measures.Waste = 500 // 2000 of 2500
		b.wants(t, "oat warp 160000 measured")
	})
	t.Run("what the tape says was not woven is waste", func(t *testing.T) {
		b := newBench(t)
		crimp := 10 * measure.Percent
		b.piece.Plan.Spec.TakeUp = &crimp
		b.debit("oat", stash.RoleWarp, 200)
		b.piece.Finish.Measures.Tape = 900 // 2040 − 100·1.1 = 1930
		b.wants(t, "oat warp 154400 computed")
	})
	t.Run("thrums that weigh more than the computed waste count", func(t *testing.T) {
		b := newBench(t)
		b.debit("oat", stash.RoleWarp, 200)
		b.yarn(t, "thrums", "cotton")
		b.pack("thrums").Yarn = "oat"
		b.piece.Finish.Thrums = []stash.Thrums{{Package: "thrums", Mass: 45 * measure.Gram}}
		b.wants(t, "oat warp 155000 computed")
		// part of the waste, the rest was thrown away
		b.piece.Finish.Thrums[0].Mass = 5 * measure.Gram
		b.wants(t, "oat warp 163200 computed")
	})
	t.Run("a twisted fringe is trimmed", func(t *testing.T) {
		b := newBench(t)
		spec := &b.piece.Plan.Spec
		spec.Fringe, spec.Twisted = 0, 80 // raw (80+30+10)/0.8 = 150; 2500 − 100 − 300 − 2·10
		b.debit("oat", stash.RoleWarp, 200)
		b.wants(t, "oat warp 166400 computed")
	})
	t.Run("sample and header are not in the piece", func(t *testing.T) {
		b := newBench(t)
		// 1800 of 2500; 700 of 840 picks
		b.piece.Plan.Spec.Sample, b.piece.Plan.Spec.Header = 200, 40
		b.debit("oat", stash.RoleWarp, 200)
		b.debit("flax", stash.RoleWeft, 120)
		b.wants(t, "oat warp 144000 computed", "flax weft 100000 computed")
	})
	t.Run("edge stitching counts whole", func(t *testing.T) {
		b := newBench(t)
		b.debit("flax", stash.RoleHemstitch, 3)
		b.wants(t, "flax hem 3000 measured")
	})
	t.Run("what was debited on the loom is warp first, then weft", func(t *testing.T) {
		b := newBench(t) // 1 m weighs 0.1 g
		b.piece.Plan.Allotments = []stash.Allotment{{Package: "oat", Warp: 500_000, Weft: 300_000}}
		b.debit("oat", stash.RoleWarp, 20)
		b.debit("oat", stash.RoleWeft, 10)
		// 30 make the 50 of warp full, 10 are weft
		b.pack("oat").UsedIn["scarf"] += 40 * measure.Gram
		b.wants(t, "oat warp 40800 computed", "oat weft 20000 measured")
	})
	t.Run("what was used by hand is in the piece", func(t *testing.T) {
		b := newBench(t)
		b.pack("flax").UsedIn["scarf"] = 4 * measure.Gram
		b.wants(t, "flax weft 4000 measured")
	})
	t.Run("on a warp of several the tape may be of one or of all", func(t *testing.T) {
		b := newBench(t)
		b.piece.Plan.Spec.Pieces, b.piece.Plan.WarpEnd = 2, 4000
		b.debit("oat", stash.RoleWarp, 200)
		for _, tape := range []measure.Length{1000, 2000} {
			b.piece.Finish.Measures.Tape = tape // 4000 − 460 = 3540 of 4000
			b.wants(t, "oat warp 177000 computed")
		}
	})
	t.Run("a piece that is not finished is refused", func(t *testing.T) {
		b := newBench(t)
		b.piece.Finish, b.piece.State = nil, stash.OnLoom
		if _, err := b.shelf.inside(b.piece); err == nil ||
			!strings.Contains(err.Error(), "on the loom") {
			t.Error(err)
		}
	})
}

func TestInsideIsNeverMoreThanWasDebited(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := newBench(t)
		long := func(name string, most int64) measure.Length {
			return measure.Length(rapid.Int64Range(0, most).Draw(t, name))
		}
		spec, m := &b.piece.Plan.Spec, &b.piece.Finish.Measures
		spec.Fringe, spec.Sample, spec.Header = long("fringe", 500), long("sample", 800),
			long("header", 200)
		m.Tape, m.Waste = long("tape", 3000), long("waste", 3000)
		for _, role := range []stash.Role{stash.RoleWarp, stash.RoleWeft, stash.RoleHemstitch} {
			b.debit("oat", role, measure.Mass(rapid.Int64Range(0, 500).Draw(t, string(role))))
		}
		inside, err := b.shelf.inside(b.piece)
		if err != nil {
			t.Fatal(err)
		}
		var debited measure.Mass
		for _, in := range inside {
			debited += in.Debited
			if in.Mass < 0 || in.Mass > in.Debited {
				t.Errorf("%+v", in)
			}
		}
		if debited != b.pack("oat").UsedIn["scarf"] {
			t.Errorf("%d debited of %d", debited, b.pack("oat").UsedIn["scarf"])
		}
	})
}
