package planner

import (
	"math"
	"testing"

	"endsmeet/stash/measure"

	"pgregory.net/rapid"
)

// specs draws any plan that a handweaver could mean.
func specs() *rapid.Generator[Spec] {
	return rapid.Custom(func(t *rapid.T) Spec {
		length := func(name string, most int) measure.Length {
			return measure.Length(rapid.IntRange(0, most).Draw(t, name))
		}
		ratio := func(name string, most int) measure.Ratio {
			return measure.Ratio(rapid.IntRange(0, most).Draw(t, name))
		}
		s := Spec{
			Pieces: rapid.IntRange(1, 6).Draw(t, "pieces"),
			Size:   Size{Length: 1 + length("length", 9000), Width: 1 + length("width", 2500)},
			Cloth: Cloth{
				Sett:  measure.Sett(rapid.IntRange(50_000, 4_000_000).Draw(t, "sett")),
				Picks: measure.Sett(rapid.IntRange(50_000, 4_000_000).Draw(t, "picks")),
				Plain: rapid.Bool().Draw(t, "plain"),
			},
			Losses: Losses{
				WarpTakeUp: ratio("warp take-up", 570_000),
				WeftTakeUp: ratio("weft take-up", 570_000),
				WetLength:  ratio("wet length", 600_000), WetWidth: ratio("wet width", 600_000),
				Stretch: ratio("stretch", 300_000), DrawIn: ratio("draw-in", 200_000),
				Strain: ratio("strain", 150_000), Beating: ratio("beating", 300_000) - 100_000,
			},
			Ends: EndPlan{
				Modulus: rapid.IntRange(1, 24).Draw(t, "modulus"),
				Floats:  2 * rapid.IntRange(0, 1).Draw(t, "floats"),
				Strands: rapid.IntRange(0, 3).Draw(t, "strands"),
				Loops:   rapid.Bool().Draw(t, "loops"),
			},
			Weft: WeftPlan{
				Strands:     rapid.IntRange(0, 3).Draw(t, "weft strands"),
				Clasped:     rapid.Bool().Draw(t, "clasped"),
				OnReedWidth: rapid.Bool().Draw(t, "reed"),
				Joins:       rapid.IntRange(0, 20).Draw(t, "joins"),
				Overlap:     length("overlap", 100),
			},
			Edges: EdgePlan{Finished: [Finishes]int{rapid.IntRange(0, 1).Draw(t, "stitched"),
				rapid.IntRange(0, 1).Draw(t, "bound")}},
			Loom: LoomPlan{
				Front: length("front", 600), Back: length("back", 900),
				Sample:       length("sample", 400),
				SampleInWeft: rapid.Bool().Draw(t, "sample weft"),
				HeaderWarp:   length("header warp", 100), HeaderWeft: length("header weft", 9000),
				Margin: length("margin", 200),
			},
		}
		switch rapid.IntRange(0, 2).Draw(t, "edge") {
		case 0:
			s.Edges.Fringe = length("fringe", 400)
		case 1:
			s.Edges.Twist = Twist{Finished: 1 + length("twisted", 300),
				Loss: ratio("twist", 400_000), Knot: length("knot", 30), Trim: length("trim", 30)}
		default:
			s.Edges.Hem = length("hem", 200)
		}
		if rapid.Bool().Draw(t, "ends differ") {
			s.Edges.Other = &End{Twist: Twist{Kind: Braided, Finished: 1 + length("braided", 300),
				Loss: ratio("braid", 400_000), Knot: length("knot", 30)}}
		}
		return s
	})
}

func needOf(t *rapid.T, s Spec) Needs {
	n, err := Need(s)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestLinesAddUpExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := needOf(t, specs().Draw(t, "spec"))
		if total(n.Warp) != n.WarpEnd || total(n.Weft) != n.WeftTotal {
			t.Fatalf("warp %v = %d, weft %v = %d", n.Warp, n.WarpEnd, n.Weft, n.WeftTotal)
		}
		for _, l := range append(n.Warp, n.Weft...) {
			if l.Length <= 0 || l.Name == "" || l.Why == "" {
				t.Fatalf("line %+v says nothing", l)
			}
		}
	})
}

// The formulas once more, in floating point, straight from the design page.
func TestNeedFollowsTheFormulas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := specs().Draw(t, "spec")
		n := needOf(t, s)
		one := func(r measure.Ratio) float64 { return float64(r) / 1e6 }
		lo, f, last := s.Losses, float64(s.Edges.Start().Raw()), float64(s.Edges.Last().Raw())
		lr := float64(s.Size.Length+s.Edges.Hem) / (1 - one(lo.WetLength))
		lt := lr * (1 + one(lo.Stretch))
		pieces := float64(s.Pieces)
		slack := 1 + one(lo.Strain)
		end := float64(s.Loom.Sample+s.Loom.HeaderWarp+s.Loom.Margin) +
			pieces*lr*(1+one(lo.WarpTakeUp)) + (pieces-1)*(f+last) +
			math.Max(float64(s.Loom.Front)/slack, f) + math.Max(float64(s.Loom.Back)/slack, last)
		within(t, "relaxed", float64(n.RelaxedLength), lr, 1)
		within(t, "tape", float64(n.TapeLength), lt, 1)
		within(t, "warp end", float64(n.WarpEnd), end, 3.01)
		within(t, "picks", float64(n.Picks), lt*(1+one(lo.Beating))*float64(s.Cloth.Picks)/1e6,
			1.03)
		wr := float64(s.Size.Width) / ((1 - one(lo.WetWidth)) * (1 - one(lo.DrawIn)))
		// an eighth of an inch kept in mm is half a mm off
		within(t, "ends", float64(n.Threaded), wr*float64(s.Cloth.Sett)/1e6,
			float64(s.Ends.Modulus)+1+1.1*float64(s.Cloth.Sett)/1e6*wr/max(1,
				float64(s.Size.Width)))
		wc := float64(n.Threaded) / float64(s.Cloth.Sett) * 1e6 * (1 - one(lo.DrawIn))
		within(t, "cloth", float64(n.ClothWidth), wc, 1)
		within(t, "finished", float64(n.FinishedWidth), wc*(1-one(lo.WetWidth)), 1)
		within(t, "hem-stitching", float64(n.HemstitchPerEdge),
			wc*4*float64(min(1, s.Edges.Finished[HemStitching])), 1)
	})
}

func within(t *rapid.T, what string, got, want, tol float64) {
	if math.Abs(got-want) > tol || math.IsNaN(want) {
		t.Fatalf("%s: got %v, want %v within %v", what, got, want, tol)
	}
}

func TestMoreNeverNeedsLess(t *testing.T) {
	grow := map[string]func(*Spec, int){
		"length":     func(s *Spec, d int) { s.Size.Length += measure.Length(d) },
		"width":      func(s *Spec, d int) { s.Size.Width += measure.Length(d) },
		"pieces":     func(s *Spec, d int) { s.Pieces += d % 3 },
		"wet length": func(s *Spec, d int) { s.Losses.WetLength += measure.Ratio(d * 300) },
		"wet width":  func(s *Spec, d int) { s.Losses.WetWidth += measure.Ratio(d * 300) },
		"weft take-up": func(s *Spec, d int) {
			s.Losses.WeftTakeUp = min(570_000, s.Losses.WeftTakeUp+measure.Ratio(d*300))
		},
		"warp take-up": func(s *Spec, d int) {
			s.Losses.WarpTakeUp = min(570_000, s.Losses.WarpTakeUp+measure.Ratio(d*300))
		},
		"front":  func(s *Spec, d int) { s.Loom.Front += measure.Length(d) },
		"sample": func(s *Spec, d int) { s.Loom.Sample += measure.Length(d) },
	}
	for name, change := range grow {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				s := specs().Draw(t, "spec")
				small := needOf(t, s)
				change(&s, rapid.IntRange(0, 900).Draw(t, "by"))
				big := needOf(t, s)
				if big.WarpTotal < small.WarpTotal || big.WeftTotal < small.WeftTotal ||
					big.WarpEnd < small.WarpEnd {
					t.Fatalf("warp %d to %d, weft %d to %d", small.WarpTotal, big.WarpTotal,
						small.WeftTotal, big.WeftTotal)
				}
			})
		})
	}
}

func TestLinesAgreeWithNeed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := specs().Draw(t, "spec")
		n := needOf(t, s)
		warp, err := s.WarpLine()
		if err != nil {
			t.Fatal(err)
		}
		weft, err := s.WeftLine(n.Threaded)
		if err != nil {
			t.Fatal(err)
		}
		lf := s.Size.Length
		if warp.End(lf) != n.WarpEnd || weft.Need(lf) != n.WeftTotal ||
			weft.Picks(lf) != int64(n.Picks) {
			t.Fatalf("warp %d and %d, weft %d and %d", warp.End(lf), n.WarpEnd, weft.Need(lf),
				n.WeftTotal)
		}
		within(t, "warp as float", warp.A()+warp.B()*float64(lf), float64(n.WarpEnd), 1.001)
		step := weft.strand.float() * float64(weft.many)
		within(t, "weft as float", weft.NeedFloat(float64(lf)), float64(n.WeftTotal), step*1.02+1)
	})
}

// The inverse is exact: the length found fits, one millimetre more does not.
func TestMaxLengthIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := specs().Draw(t, "spec")
		have := measure.Length(rapid.IntRange(0, 3_000_000).Draw(t, "have"))
		warp, err := s.WarpLine()
		if err != nil {
			t.Fatal(err)
		}
		weft, err := s.WeftLine(rapid.IntRange(1, 900).Draw(t, "ends"))
		if err != nil {
			t.Fatal(err)
		}
		w, okWarp := warp.MaxLength(have)
		checkMax(t, "warp", w, okWarp, have, warp.End)
		f, okWeft := weft.MaxLength(have)
		checkMax(t, "weft", f, okWeft, have, weft.Need)
	})
}

func checkMax(t *rapid.T, what string, lf measure.Length, ok bool, have measure.Length,
	need func(measure.Length) measure.Length) {
	if ok && (lf < 1 || need(lf) > have) {
		t.Fatalf("%s: %d mm do not fit", what, lf)
	}
	if need(lf+1) <= have {
		t.Fatalf("%s: %d mm would fit too", what, lf+1)
	}
	if !ok && lf != 0 {
		t.Fatalf("%s: nothing fits, but %d mm", what, lf)
	}
}

func TestOddInputNeverBreaksTheSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := specs().Draw(t, "spec")
		length := rapid.Int64Range(-5, math.MaxInt64)
		s.Size.Length = measure.Length(length.Draw(t, "length"))
		s.Size.Width = measure.Length(rapid.Int64Range(0, 2*maxLength).Draw(t, "width"))
		s.Cloth.Sett = measure.Sett(rapid.Int64Range(0, 2*maxSett).Draw(t, "sett"))
		s.Cloth.Picks = measure.Sett(rapid.Int64Range(0, 2*maxSett).Draw(t, "picks"))
		s.Losses.WetLength = measure.Ratio(rapid.Int64Range(0, 2*maxLoss).Draw(t, "loss"))
		s.Weft.MassPerArea = measure.Mass(rapid.Int64Range(0, int64(200*measure.Kilogram)).Draw(t,
			"rags"))
		s.Pieces = rapid.IntRange(0, 5000).Draw(t, "pieces")
		n, err := Need(s)
		if err != nil {
			return
		}
		for _, v := range []int64{int64(n.WarpEnd), int64(n.WarpTotal), int64(n.TapeLength),
			int64(n.ReedWidth), int64(n.Ends)} {
			if v <= 0 {
				t.Fatalf("%+v", n)
			}
		}
		if n.Picks < 0 || n.Picks == 0 && s.Weft.MassPerArea == 0 {
			t.Fatalf("%d picks", n.Picks)
		}
		if n.WeftTotal < 0 || n.RagMass < 0 {
			t.Fatalf("weft %d, rags %d", n.WeftTotal, n.RagMass)
		}
	})
}

func TestThreadedForIsTheCountThatNeedPlansWith(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := specs().Draw(t, "spec")
		if n := needOf(t, s); s.ThreadedFor() != n.Threaded {
			t.Fatalf("%d ends, Need plans with %d", s.ThreadedFor(), n.Threaded)
		}
	})
}

// TestTheWidthIsNeverLessThanWasAskedFor asks for widths in eighths of an inch, which
// are kept in millimetres, and in millimetres, at setts by the inch: the ends give what
// was asked for, and one less would not.
func TestTheWidthIsNeverLessThanWasAskedFor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := towels()
		s.Ends = EndPlan{Modulus: 1}
		s.Losses.WetWidth = measure.Ratio(rapid.IntRange(0, 20).Draw(t,
			"shrinkage")) * measure.Percent
		s.Losses.DrawIn = measure.Ratio(rapid.IntRange(0, 12).Draw(t, "draw-in")) * measure.Percent
		epi := rapid.IntRange(5, 60).Draw(t, "ends per inch")
		s.Cloth.Sett = measure.Sett(math.Round(float64(epi) * 1e6 / 25.4))
		asked := float64(rapid.IntRange(8, 400).Draw(t, "eighths")) * 25.4 / 8
		s.Size.Width = measure.Length(math.Round(asked))
		most := asked
		if rapid.Bool().Draw(t, "in millimetres") {
			s.Size.Width += measure.Length(rapid.IntRange(0, 2).Draw(t, "more"))
			eighths := math.Round(float64(s.Size.Width) * 8 / 25.4)
			most = max(most, eighths*25.4/8+0.01)
			if asked = float64(s.Size.Width); math.Round(eighths*25.4/8) == asked {
				asked = min(asked, eighths*25.4/8)
			}
		}
		keeps := (1 - s.Losses.WetWidth.Float()) * (1 - s.Losses.DrawIn.Float())
		wide := func(ends int) float64 { return float64(ends) * 25.4 / float64(epi) * keeps }
		got := s.ThreadedFor()
		const rounded = 1e-4 // of the sett, which is kept in threads per 1000 m
		if wide(got) < asked*(1-rounded) {
			t.Errorf("%.3f mm asked for, %d ends give %.3f", asked, got, wide(got))
		}
		if wide(got-1) > max(most, float64(s.Size.Width))*(1+rounded) {
			t.Errorf("%.3f mm asked for, one end less than %d would do: %.3f", asked, got,
				wide(got-1))
		}
	})
}
