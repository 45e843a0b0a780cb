package measure_test

import (
	"math"
	"testing"

	"endsmeet/stash/measure"
)

// seed adds the seeds, and fails when there are none.
func seed(f *testing.F, seeds ...string) {
	f.Helper()
	if len(seeds) == 0 {
		f.Fatal("there are no seeds")
	}
	for _, s := range seeds {
		f.Add(s)
	}
}

func FuzzParseMass(f *testing.F) {
	seed(f, "412g", "1lb 3oz", "½ oz", "1 3/4 lb", "1,200 g", "2 621 g", "-3g", "1/0 lb",
		"99999999999999999999 g", "NaN", "\x00", "1e9kg", "1'6")
	f.Fuzz(func(t *testing.T, in string) {
		m, err := measure.ParseMass(in)
		if err != nil {
			checkError(t, in, err)
			return
		}
		if back, err := measure.ParseMass(m.Exact()); m < 0 || m > 1000*measure.Kilogram ||
			err != nil || back != m {
			t.Fatalf("%q is %d, reads back %d, %v", in, m, back, err)
		}
	})
}

func FuzzParseLength(f *testing.F) {
	seed(f, "3.2m", "2yd 1in", `1'6"`, "5′ 3½″", "10001 km", "1 1 1 m", "/", "8 m/kg", "１m")
	f.Fuzz(func(t *testing.T, in string) {
		l, err := measure.ParseLength(in)
		if err != nil {
			checkError(t, in, err)
			return
		}
		if back, err := measure.ParseLength(l.Exact()); l < 0 || err != nil || back != l {
			t.Fatalf("%q is %d, reads back %d, %v", in, l, back, err)
		}
	})
}

func FuzzParseSett(f *testing.F) {
	seed(f, "8/cm", "20epi", "80/10cm", "7 1/2/cm", "8", "0/cm", "8//cm", "ends/cm",
		"8 ends per inch", "1/2 per 0.5 cm")
	f.Fuzz(func(t *testing.T, in string) {
		s, err := measure.ParseSett(in)
		if err != nil {
			checkError(t, in, err)
			return
		}
		if back, err := measure.ParseSett(s.String()); s <= 0 || err != nil || back != s {
			t.Fatalf("%q is %d, reads back %d, %v", in, s, back, err)
		}
	})
}

func FuzzParseCount(f *testing.F) {
	seed(f, "8/2 Ne", "3/2 Ne", "R 69.3 tex", "34 tex x 2", "label 420 m / 100 g", "60+40 Ne",
		"8/2", "12 wpi", "++", "50 g = 125 m",
		"x2", "Ne 8/2/2", "1/1/1 m/kg", "r1", "8x8x8", "1450 yd per lb", "+++++ Ne")
	f.Fuzz(func(t *testing.T, in string) {
		r, err := measure.ParseCount(in)
		if err != nil {
			checkError(t, in, err)
			return
		}
		if r.Count <= 0 || r.Plies < 0 || math.IsNaN(r.Single) || math.IsInf(r.Single, 0) ||
			r.Doubt <= 0 {
			t.Fatalf("%q reads %+v", in, r)
		}
		if again, err := measure.ParseCount(r.Written); err != nil || again != r {
			t.Fatalf("%q is written %q, which reads %+v, %v", in, r.Written, again, err)
		}
	})
}

// checkError holds every refusal to its form: a sentence, about the input, in
// bounds, with nothing that a terminal would obey.
func checkError(t *testing.T, in string, err error) {
	t.Helper()
	if e, ok := err.(*measure.Error); ok && (e.Input != in || e.Pos < 0 || e.Pos > len(in) ||
		e.Problem == "") {
		t.Fatalf("%q: %#v", in, e)
	}
	for _, r := range err.Error() {
		if r < ' ' || r == 0x7f {
			t.Fatalf("%q: the message %q holds a control character", in, err.Error())
		}
	}
}
