package kinds

import (
	"testing"

	"endsmeet/planner/cloth"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func TestEveryUsualPieceMakesSense(t *testing.T) {
	seen := map[string]string{}
	all := Usual()
	if len(all) < 25 {
		t.Fatalf("only %d kinds", len(all))
	}
	for _, k := range all {
		t.Run(k.Name, func(t *testing.T) {
			f := k.Facts
			if f.LeastWidth <= 0 || f.LeastWidth > f.Width || f.Width > f.MostWidth ||
				f.LeastLength <= 0 || f.LeastLength > f.Length || f.Length > f.MostLength {
				t.Errorf("sizes %d %d %d, %d %d %d", f.LeastWidth, f.Width, f.MostWidth,
					f.LeastLength, f.Length, f.MostLength)
			}
			if _, err := cloth.ParseWeave(f.Structure); err != nil {
				t.Error(err)
			}
			if f.Hem > 0 && (f.Fringe > 0 || f.Twisted > 0) {
				t.Error("is hemmed and has a fringe")
			}
			if !k.Rag && (k.Working < 40*measure.Percent || k.Working > 100*measure.Percent) {
				t.Errorf("is set at %v of the closest sett", k.Working)
			}
			for _, name := range append([]string{k.Name}, k.Also...) {
				if other, taken := seen[name]; taken {
					t.Errorf("%q is %s too", name, other)
				}
				seen[name] = k.Name
				if found, ok := Named(all, name); !ok || found.Name != k.Name {
					t.Errorf("%q finds %s", name, found.Name)
				}
			}
		})
	}
}

func TestAKindIsFoundByWhatPeopleCallIt(t *testing.T) {
	for word, want := range map[string]string{"towels": "towel", " tea towel ": "towel",
		"placemats": "place mat", "stole": "wrap", "Baby": "baby blanket", "scar": "scarf"} {
		if k, ok := Named(Usual(), word); !ok || k.Name != want {
			t.Errorf("%q finds %q", word, k.Name)
		}
	}
	for _, word := range []string{"", "x", "spaceship"} {
		if k, ok := Named(Usual(), word); ok {
			t.Errorf("%q finds %s", word, k.Name)
		}
	}
}

func project(name string, width, length measure.Length) stash.Project {
	b := stash.Project{ID: stash.ProjectID(name)}
	b.Name, b.Width, b.Length = name, width, length
	return b
}

func TestAProjectOfTheSameNameReplacesAUsualPiece(t *testing.T) {
	own, other, sizeless := project("Scarf", 180, 1500), project("blue runner", 300, 1000),
		project("idea", 0, 0)
	all := Of([]stash.Project{own, other, sizeless}, nil)
	if len(all) != len(Usual())+1 {
		t.Fatalf("%d kinds", len(all))
	}
	k, _ := Named(all, "scarf")
	if k.Project != own.ID || k.Facts.Width != 180 || k.Facts.LeastWidth != 126 ||
		k.From != "your project" {
		t.Errorf("%+v", k)
	}
	if k.Working != drape {
		t.Errorf("a scarf of one's own is set at %v", k.Working)
	}
	if k, _ := Named(all, "blue runner"); k.Project != other.ID {
		t.Error("the other project is no kind")
	}
}

func TestAFinishedPieceIsAKindOfItsMeasuredSize(t *testing.T) {
	b := project("moss scarf", 250, 1700)
	b.Warp, b.Sett, b.For = []stash.Ref{{Yarn: "y"}}, 8*measure.PerCentimetre, "somebody"
	p := stash.Piece{ID: "p", Name: "moss scarf 1", State: stash.Finished,
		Plan:   &stash.Plan{Spec: b.ProjectFacts},
		Finish: &stash.Finish{Measures: stash.Measures{Width: 240, Length: 1650}}}
	k, ok := ofPiece(p)
	if !ok || k.Facts.Width != 240 || k.Facts.Length != 1650 || len(k.Facts.Warp) > 0 ||
		k.Facts.Sett != 0 || k.Facts.For != "somebody" {
		t.Errorf("%v %+v", ok, k.Facts)
	}
	if len(b.Warp) != 1 || p.Plan.Spec.Sett == 0 {
		t.Error("the piece itself was changed")
	}
	p.State = stash.Planned
	if _, ok := ofPiece(p); ok {
		t.Error("a planned piece is a kind")
	}
}

func TestAKindCanBeHemmedInThePlaceOfItsFringe(t *testing.T) {
	scarf, _ := Named(Usual(), "scarf")
	if h := scarf.Hemmed().Facts; h.Twisted+h.Fringe != 0 || h.Hem == 0 {
		t.Errorf("%+v", h)
	}
	towel, _ := Named(Usual(), "towel")
	if towel.Hemmed().Facts.Hem != towel.Facts.Hem {
		t.Error("a hem was changed")
	}
}
