package learn

import (
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Cotton 8/2 of 3360 yd/lb, k 0.92: 0.92·√3360 = 53.33 diameters per inch, half of
// it closes plain weave, and ordinary cloth is woven at 80 % of that: 21.33 per
// inch (Ashenhurst's rule and a teacher's printed 80 %: textile, 5.1 and 5.2).
func TestWorkingSettOfAPlainCotton(t *testing.T) {
	s := shelf()
	y := s.Yarns["chalk"]
	y.Count = &stash.CountFact{Count: 147_635}
	s.Yarns["chalk"] = y
	sett, picks := Setts(Question{Project: stash.ProjectFacts{Structure: "plain"},
		Warp: []stash.YarnID{"chalk"}, Weft: []stash.YarnID{"chalk"}}, nil, s)
	close(t, "sett", sett.Value.PerMM()*inch, 21.59, 0.01) // 8.40/cm; a reed gives 8.5
	if picks.Value != sett.Value || !sett.FromPrior || sett.Pieces != 0 ||
		!strings.Contains(sett.Basis, "Ashenhurst") {
		t.Errorf("%+v %+v", sett, picks)
	}
}

func TestSettsOfTheProjectStand(t *testing.T) {
	q := scarf("oat", "slate")
	q.Project.Picks = 430_000
	sett, picks := Setts(q, nil, shelf())
	if !sett.Given || sett.Value != q.Project.Sett || !picks.Given || picks.Value != 430_000 {
		t.Errorf("%+v %+v", sett, picks)
	}
}

func TestSettsOfFinishedPiecesAreTaken(t *testing.T) {
	q := scarf("oat", "slate")
	var pieces []stash.Piece
	for _, e := range []measure.Sett{700_000, 500_000, 600_000} {
		p := woven(q, stash.Measures{Tape: 2000, Picks: 900})
		p.Plan.Spec.Sett, p.Plan.Spec.Picks = e, e
		pieces = append(pieces, p)
	}
	q.Project.Sett = 0
	sett, picks := Setts(q, pieces, shelf())
	if sett.Value != 600_000 || sett.Pieces != 3 || sett.FromPrior {
		t.Errorf("%+v", sett)
	}
	if picks.Value != 450_000 {
		t.Errorf("900 picks on two metres of tape are not %v", picks.Value)
	}
	q.Project.Structure = "2/2 twill"
	if sett, _ = Setts(q, pieces, shelf()); sett.Pieces != 0 || sett.Value == 0 {
		t.Errorf("another weave: %+v", sett)
	}
}

// A mixed warp as it wraps round a ruler: each end has the room that it takes alone, which
// is the harmonic mean; such as a reed gives, to half an end in a centimetre.
func TestAMixedWarpHasTheRoomOfItsEnds(t *testing.T) {
	s := shelf()
	alone := func(id stash.YarnID) float64 {
		sett, _ := Setts(Question{Warp: []stash.YarnID{id}}, nil, s)
		return float64(sett.Value)
	}
	q := Question{Project: stash.ProjectFacts{Stripes: []stash.Stripe{{Colour: "oat", Ends: 30},
		{Colour: "flax", Ends: 10}}}, Warp: []stash.YarnID{"oat", "flax"}}
	sett, _ := Setts(q, nil, s)
	close(t, "three to one", float64(sett.Value), 4/(3/alone("oat")+1/alone("flax")), 25_000)
	q.Project.Stripes = nil
	sett, _ = Setts(q, nil, s)
	close(t, "one to one", float64(sett.Value), 2/(1/alone("oat")+1/alone("flax")), 25_000)
	if !strings.Contains(sett.Basis, "structure not recorded") {
		t.Error(sett.Basis)
	}
}

func TestNoSettFromNothing(t *testing.T) {
	for _, c := range []struct {
		yarns []stash.YarnID
		says  string
	}{{nil, "no yarn"}, {[]stash.YarnID{"found"}, "found has no count"},
		{[]stash.YarnID{"oat", "found"}, "found has no count"}} {
		sett, _ := Setts(Question{Warp: c.yarns}, nil, shelf())
		if !strings.Contains(sett.Basis, c.says) {
			t.Errorf("%+v", sett)
		}
		if sett.Value != 0 {
			t.Errorf("a sett of %v from nothing", sett.Value)
		}
	}
}
