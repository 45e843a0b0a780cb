package planner

import (
	"errors"
	"testing"

	"endsmeet/stash/measure"
)

const (
	mm = measure.Millimetre
	cm = measure.Centimetre
	m  = measure.Metre
)

// perCM is a sett in tenths of a thread per centimetre.
func perCM(tenths int) measure.Sett { return measure.Sett(tenths) * measure.PerCentimetre / 10 }

// towels is reference project B1: four hemmed towels, one combined loss. The
// combined loss (relaxing and washing) is our wet loss; take-up of the warp,
// stretch and draw-in are inside it, so they are zero here.
func towels() Spec {
	return Spec{
		Pieces: 4,
		Size:   Size{Length: 70 * cm, Width: 48 * cm},
		Cloth:  Cloth{Sett: perCM(80), Picks: perCM(75)},
		Losses: Losses{WetLength: 14 * measure.Percent, WetWidth: 12 * measure.Percent,
			WeftTakeUp: 10 * measure.Percent},
		Ends:  EndPlan{Modulus: 4, Floats: 2},
		Edges: EdgePlan{Hem: 8 * cm},
		Loom:  LoomPlan{Back: 70 * cm, Sample: 25 * cm},
	}
}

func mustNeed(t *testing.T, s Spec) Needs {
	t.Helper()
	n, err := Need(s)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// near fails unless got is within tol of want.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if got < want-tol || got > want+tol {
		t.Errorf("%s = %.4f, want %.4f within %.4f", what, got, want, tol)
	}
}

func TestTowels(t *testing.T) {
	n := mustNeed(t, towels())
	if n.Threaded != 440 || n.Ends != 442 || n.ThreadedBelow != 436 {
		t.Errorf("ends %d + floats = %d, below %d; want 440, 442, 436", n.Threaded, n.Ends,
			n.ThreadedBelow)
	}
	near(t, "reed wanted, mm", float64(n.ReedWanted), 545, 1)
	near(t, "reed width, mm", float64(n.ReedWidth), 550, 0)
	near(t, "on loom each, mm", float64(n.TapeLength), 907, 0.5)
	near(t, "warp end, m", float64(n.WarpEnd)/1000, 4.58, 0.005)
	near(t, "warp, m", float64(n.WarpTotal)/1000, 2023, 0.5)
	// The reference does not round picks up: at most one pick each more.
	near(t, "weft, m", float64(n.WeftTotal)/1000, 1646, 4*0.605+0.5)
}

// refuses fails unless err names the field and has a hint.
func refuses(t *testing.T, field string, err error) {
	t.Helper()
	var bad InputErrors
	if !errors.As(err, &bad) {
		t.Errorf("%s: error %v, want a refusal", field, err)
		return
	}
	for _, one := range bad {
		if one.Field == field && one.Hint != "" && one.Problem != "" {
			return
		}
	}
	t.Errorf("%s is not named with a hint in %v", field, bad)
}
