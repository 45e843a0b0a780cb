package learn

import (
	"math"
	"slices"
	"strings"
	"testing"

	"endsmeet/planner"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"pgregory.net/rapid"
)

// Whole losses as they are taught (common practice, no source): relaxing and washing together about 10 % for cotton, 15 % for wool, 20 %
// for very elastic yarn. 10 % for cotton also in a printed metric example
// (textile, 6 F).
func TestHandbookLossesMakeTheTaughtTotals(t *testing.T) {
	s := shelf()
	spring := yarnOf("spring", "cotton", 0)
	spring.Stretch = stash.StretchElastic
	s.Yarns["spring"] = spring
	for _, c := range []struct {
		yarn  stash.YarnID
		total float64
	}{{"chalk", .10}, {"oat", .15}, {"spring", .20}} {
		set := Losses(scarf(c.yarn, c.yarn), nil, s)
		close(t, string(c.yarn)+" length",
			1-(1-set.ShrinkLength.Value.Float())/(1+set.Stretch.Value.Float()), c.total, 2e-6)
		close(t, string(c.yarn)+" width",
			1-(1-set.ShrinkWidth.Value.Float())*(1-set.DrawIn.Value.Float()), c.total, 2e-6)
		for _, f := range set.Figures() {
			if !f.FromPrior || f.Pieces != 0 || f.U <= 0 ||
				!strings.HasPrefix(f.Basis, "handbook value") {
				t.Errorf("%s %s: %+v", c.yarn, f.Name, f)
			}
		}
	}
}

// Linen towels were seen to lose about 2 % in washing (common practice, no source).
func TestLinenHardlyShrinksInWashing(t *testing.T) {
	set := Losses(scarf("flax", "flax"), nil, shelf())
	close(t, "linen", set.ShrinkLength.Value.Float(), 0.02, 0.002)
}

func TestABlendLiesBetweenItsFibres(t *testing.T) {
	s := shelf()
	half := yarnOf("half", "wool", 0)
	half.Fibre[0].Share = 50 * measure.Percent
	half.Fibre = append(half.Fibre, yarnOf("", "cotton", 0).Fibre[0])
	half.Fibre[1].Share = 50 * measure.Percent
	s.Yarns["half"] = half
	at := func(id stash.YarnID) float64 {
		return Losses(scarf(id, id), nil, s).ShrinkLength.Value.Float()
	}
	close(t, "half and half", at("half"), (at("oat")+at("chalk"))/2, 2e-6)
}

// A warp that stretches: 77 in on the tape for 70 in of cloth must teach x near
// 0.10 (common practice, no source), and then give that tape again.
func TestAStretchingWarpTeachesItsTape(t *testing.T) {
	q := scarf("oat", "slate")
	var pieces []stash.Piece
	for range 50 {
		pieces = append(pieces, woven(q, stash.Measures{Tape: inches(77), OffLoom: inches(70),
			Length: inches(70)}))
	}
	b := Losses(q, pieces, shelf()).Fill(q.Project)
	close(t, "x", b.Stretch.Float(), 0.10, 0.002)
	n, err := planner.Need(planner.Spec{
		Pieces: 1, Size: planner.Size{Length: inches(70), Width: 300},
		Cloth:  planner.Cloth{Sett: b.Sett, Picks: b.Sett},
		Losses: planner.Losses{Stretch: *b.Stretch}, Ends: planner.EndPlan{Modulus: 1},
	})
	if err != nil {
		t.Fatal(err)
	}
	close(t, "tape", float64(n.TapeLength)/inch, 77, 0.15)
}

func TestManyPiecesReplaceTheHandbook(t *testing.T) {
	q := scarf("oat", "slate")
	m := stash.Measures{Tape: 2000, OffLoom: 1800, Length: 1700, Reed: 400, OffWidth: 360,
		Width: 340}
	var before, u float64 = math.Inf(1), math.Inf(1)
	for _, n := range []int{1, 3, 10, 1000} {
		set := Losses(q, slices.Repeat([]stash.Piece{woven(q, m)}, n), shelf())
		far := math.Abs(set.Stretch.Value.Float()-200./1800) +
			math.Abs(set.ShrinkLength.Value.Float()-100./1800) +
			math.Abs(set.DrawIn.Value.Float()-0.1) + math.Abs(set.ShrinkWidth.Value.Float()-20./360)
		if now := set.Stretch.U.Float(); far >= before || now >= u {
			t.Errorf("%d pieces: off by %.5f after %.5f, u %.5f after %.5f", n, far, before, now, u)
		}
		before, u = far, set.Stretch.U.Float()
	}
	if before > 1e-3 {
		t.Errorf("a thousand pieces are still off by %.5f", before)
	}
}

// Where the cloth was not measured off the loom only the whole loss is known:
// stretch and shrinkage must together come to it, whatever their parts.
func TestACombinedMeasureTeachesTheSum(t *testing.T) {
	q := scarf("oat", "slate")
	m := stash.Measures{Tape: 2000, Length: 1500, Reed: 400, Width: 300}
	set := Losses(q, slices.Repeat([]stash.Piece{woven(q, m)}, 1000), shelf())
	close(t, "length", (1-set.ShrinkLength.Value.Float())/(1+set.Stretch.Value.Float()), 0.75, 1e-3)
	close(t, "width", (1-set.ShrinkWidth.Value.Float())*(1-set.DrawIn.Value.Float()), 0.75, 1e-3)
	given := q
	given.Project.Stretch = ratio(0.10)
	set = Losses(given, slices.Repeat([]stash.Piece{woven(q, m)}, 1000), shelf())
	close(t, "shrinkage with the stretch set", set.ShrinkLength.Value.Float(), 1-0.75*1.10, 1e-3)
	if !set.Stretch.Given || *set.Fill(given.Project).Stretch != 100_000 {
		t.Errorf("the project's stretch is not kept: %+v", set.Stretch)
	}
}

func TestNearerPiecesCountMore(t *testing.T) {
	q, m := scarf("oat", "slate"), stash.Measures{Tape: 2000, OffLoom: 1650}
	stretchFrom := func(change func(*stash.Piece)) Figure {
		p := woven(q, m)
		change(&p)
		return Losses(q, []stash.Piece{p}, shelf()).Stretch
	}
	cloth := stretchFrom(func(*stash.Piece) {})
	yarn := stretchFrom(func(p *stash.Piece) { p.Plan.Spec.Washing = "machine" })
	class := stretchFrom(func(p *stash.Piece) { p.Plan.Spec.Warp = []stash.Ref{{Yarn: "moss"}} })
	apart := stretchFrom(func(p *stash.Piece) { p.Plan.Spec.Warp = []stash.Ref{{Yarn: "flax"}} })
	if !(cloth.Value > yarn.Value && yarn.Value > class.Value && class.U > yarn.U) ||
		apart.Pieces != 0 {
		t.Errorf("cloth %v, yarn %v, class %v, apart %v", cloth, yarn, class, apart)
	}
	for _, c := range []struct {
		f    Figure
		says string
	}{{cloth, "of these yarns, weave and washing"}, {yarn, "1 piece of this yarn, measured "},
		{class, "of like fibre"}, {apart, "handbook value"}} {
		if !strings.Contains(c.f.Basis, c.says) {
			t.Errorf("%q does not say %q", c.f.Basis, c.says)
		}
	}
}

func TestTheRungsOfAPiece(t *testing.T) {
	s, q := shelf(), scarf("oat", "slate")
	k := s.question(q)
	cases := []struct {
		rule   string
		change func(*stash.ProjectFacts)
		along  rung
		across rung
	}{
		{"the same", func(*stash.ProjectFacts) {}, ofCloth, ofCloth},
		{"plain is plain weave", func(b *stash.ProjectFacts) { b.Structure = "Plain weave" },
			ofCloth, ofCloth},
		{"a sett within a tenth is the same",
			func(b *stash.ProjectFacts) { b.Sett = b.Sett * 105 / 100 }, ofCloth, ofCloth},
		{"another sett is another cloth", func(b *stash.ProjectFacts) { b.Sett = b.Sett * 2 },
			ofYarn, ofYarn},
		{"another weave", func(b *stash.ProjectFacts) { b.Structure = "2/2 twill" }, ofYarn,
			ofYarn},
		{"another weft of the same fibre",
			func(b *stash.ProjectFacts) { b.Weft = []stash.Ref{{Yarn: "moss"}} }, ofYarn, ofClass},
		{"another weft of another fibre",
			func(b *stash.ProjectFacts) { b.Weft = []stash.Ref{{Yarn: "flax"}} }, ofYarn, apart},
		{"a package stands for its yarn",
			func(b *stash.ProjectFacts) { b.Warp = []stash.Ref{{Package: "oat warp"}} }, ofCloth,
			ofCloth},
		{"unknown fibres are not alike", func(b *stash.ProjectFacts) { b.Warp, b.Weft = nil, nil },
			apart, apart},
	}
	for _, c := range cases {
		t.Run(c.rule, func(t *testing.T) {
			other := q.Project
			c.change(&other)
			p := s.pieceKey(woven(Question{Project: other}, stash.Measures{}))
			if along, across := k.compare(p, lengthwise),
				k.compare(p, widthwise); along != c.along || across != c.across {
				t.Errorf("along %d, across %d", along, across)
			}
		})
	}
}

func TestNothingIsLearned(t *testing.T) {
	q, s := scarf("oat", "slate"), shelf()
	m := stash.Measures{Tape: 2000, OffLoom: 1700, Length: 1500, Reed: 400, OffWidth: 350,
		Width: 300, Waste: 400}
	want := Losses(q, nil, s).Figures()
	for rule, change := range map[string]func(*stash.Piece){
		"from a piece marked as unusual":    func(p *stash.Piece) { p.Finish.Unusual = true },
		"from a piece on the loom":          func(p *stash.Piece) { p.State = stash.OnLoom },
		"from a piece never planned":        func(p *stash.Piece) { p.Plan = nil },
		"from measures that were not taken": func(p *stash.Piece) { p.Finish.Measures = stash.Measures{} },
		"from one measure alone":            func(p *stash.Piece) { p.Finish.Measures = stash.Measures{Tape: 2000} },
	} {
		t.Run(rule, func(t *testing.T) {
			p := woven(q, m)
			change(&p)
			if got := Losses(q, []stash.Piece{p}, s).Figures(); !slices.Equal(got, want) {
				t.Errorf("%+v", got)
			}
		})
	}
	if got := Losses(q, []stash.Piece{woven(q, m)}, s).Figures(); slices.Equal(got, want) {
		t.Error("the piece teaches nothing even unchanged")
	}
}

// 205 in woven measured 225 in off the loom: pins miscounted (common practice, no
// source).
func TestMiscountedPinsAreLeftOutAndNamed(t *testing.T) {
	q, s := scarf("oat", "slate"), shelf()
	set := Losses(q, []stash.Piece{woven(q,
		stash.Measures{Tape: inches(205), OffLoom: inches(225)})}, s)
	if !set.Stretch.FromPrior || len(set.LeftOut) != 1 || set.LeftOut[0].Name != "stretch" ||
		set.LeftOut[0].Label != "first" {
		t.Fatalf("%+v, left out %+v", set.Stretch, set.LeftOut)
	}
	if !strings.Contains(set.LeftOut[0].Why, "-8.9% is less than -2%") {
		t.Error(set.LeftOut[0].Why)
	}
	set = Losses(q, []stash.Piece{woven(q, stash.Measures{Reed: 500, OffWidth: 150, Width: 140})},
		s)
	if len(set.LeftOut) != 2 || set.LeftOut[0].Name != "draw_in" || !set.ShrinkWidth.FromPrior {
		t.Errorf("%+v", set.LeftOut)
	}
}

func TestLengthsOfOnePieceOrOfAll(t *testing.T) {
	q := scarf("oat", "slate")
	q.Project.Pieces, q.Project.Stretch = 3, nil
	of := func(m stash.Measures) measure.Ratio {
		p := woven(q, m)
		p.Plan.Tape, p.Plan.Length = 1050, 900
		return Losses(q, []stash.Piece{p}, shelf()).Stretch.Value
	}
	all, one := of(stash.Measures{Tape: 3300, OffLoom: 3000}),
		of(stash.Measures{Tape: 3300, OffLoom: 1000})
	if all != one || all <= of(stash.Measures{}) {
		t.Errorf("all %v, one %v", all, one)
	}
	if got := readingsOf(&stash.Plan{Spec: q.Project}, stash.Measures{Tape: 3300}); got.tape != 0 {
		t.Errorf("without a plan of one piece it cannot be told: %v", got.tape)
	}
}

func TestCutHemsBelongToTheWashedCloth(t *testing.T) {
	q := scarf("chalk", "chalk")
	q.Project.Hem = 80
	r := readingsOf(woven(q, stash.Measures{Length: 700}).Plan, stash.Measures{Length: 700})
	close(t, "wet", r.wet, 780, 0)
}

func TestWashingRulesOutrankTheFibre(t *testing.T) {
	s := shelf()
	for _, c := range []struct {
		rule   string
		change func(*stash.ProjectFacts, *stash.Yarn)
		want   float64
	}{
		{"cloth that is not washed loses nothing",
			func(b *stash.ProjectFacts, _ *stash.Yarn) { b.Washing = "not washed" }, 0},
		{"chenille by machine was seen to lose half", func(b *stash.ProjectFacts, y *stash.Yarn) {
			b.Washing, y.Construction = "Machine 40", []string{"chenille"}
		}, .50},
		{"wool washed hard felts",
			func(b *stash.ProjectFacts, _ *stash.Yarn) { b.Washing = "fulled by hand" }, .20},
		{"washed carefully is not fulled",
			func(b *stash.ProjectFacts, _ *stash.Yarn) {
				b.Washing = "carefully, not hot, no machine"
			}, 1 - .85*math.Exp(.095)},
		{"deflected double weave was seen to lose a quarter",
			func(b *stash.ProjectFacts, _ *stash.Yarn) { b.Structure = "deflected double weave" },
			.25},
		{"a yarn recorded as hardly shrinking",
			func(_ *stash.ProjectFacts, y *stash.Yarn) { y.Shrinks = stash.ShrinksHardly }, .03},
	} {
		t.Run(c.rule, func(t *testing.T) {
			q, y := scarf("wild", "wild"), yarnOf("wild", "wool", 0)
			c.change(&q.Project, &y)
			s.Yarns["wild"] = y
			set := Losses(q, nil, s)
			close(t, "length", set.ShrinkLength.Value.Float(), c.want, 1e-6)
			if width := set.ShrinkWidth.Value.Float(); c.rule[:7] != "washed " &&
				math.Abs(width-c.want) > 0.003 {
				t.Errorf("width %v", width)
			}
		})
	}
}

func TestTheRecordedGradeMovesTheStretch(t *testing.T) {
	s := shelf()
	for grade, want := range map[stash.Stretch]float64{stash.StretchNone: math.Exp(.07) - 1,
		stash.StretchMarked: math.Exp(.125) - 1, "": math.Exp(.095) - 1} {
		y := yarnOf("wild", "wool", 0)
		y.Stretch = grade
		s.Yarns["wild"] = y
		close(t, "stretch "+string(grade),
			Losses(scarf("wild", "wild"), nil, s).Stretch.Value.Float(), want, 1e-6)
	}
}

// Without a known cloth the handbook's middle stands, which for cotton lies between the
// 4 and 7 % of industrial cloth (Taylor 1909) and near Brooks's 6 %, and 10 % (common
// practice, no source). With one the warp is drawn to Peirce's geometry, which
// never passes the jammed cloth.
func TestTakeUpBeforeAnyPiece(t *testing.T) {
	q := scarf("chalk", "chalk")
	set := Losses(q, nil, shelf())
	close(t, "warp", set.TakeUp.Value.Float(), math.Exp(.055)-1, 1e-6)
	close(t, "weft", set.WeftTakeUp.Value.Float(), .10, 1e-6)
	q.Project.Sett, q.Project.Picks = 787_402, 787_402
	close20 := Losses(q, nil, shelf())
	if v := close20.TakeUp.Value; v <= set.TakeUp.Value || v >= planner.JammedPlain ||
		!strings.Contains(close20.TakeUp.Basis, "Peirce") {
		t.Errorf("%+v", close20.TakeUp)
	}
}

// Any measures at all, however wild, give figures that a plan can use.
func TestFiguresAreAlwaysUsable(t *testing.T) {
	s := shelf()
	ids := []stash.YarnID{"oat", "slate", "chalk", "flax", "found", "missing", ""}
	rapid.Check(t, func(t *rapid.T) {
		yarn, length := rapid.SampledFrom(ids), rapid.Custom(func(t *rapid.T) measure.Length {
			return measure.Length(rapid.Int64Range(-10, 5000).Draw(t, "mm"))
		})
		q := scarf(yarn.Draw(t, "warp"), yarn.Draw(t, "weft"))
		var pieces []stash.Piece
		for range rapid.IntRange(0, 5).Draw(t, "pieces") {
			p := woven(scarf(yarn.Draw(t, "w"), yarn.Draw(t, "f")), stash.Measures{
				Tape: length.Draw(t, "tape"), OffLoom: length.Draw(t, "off"),
				Length: length.Draw(t, "length"), Width: length.Draw(t, "width"),
				OffWidth: length.Draw(t, "offwidth"), Reed: length.Draw(t, "reed"),
				Waste: length.Draw(t, "waste"), Picks: int(length.Draw(t, "picks")),
			})
			p.Plan.WarpEnd, p.Plan.Tape, p.Plan.ReedWidth = length.Draw(t, "end"),
				length.Draw(t, "plan tape"), length.Draw(t, "plan reed")
			p.Plan.Spec.Pieces = rapid.IntRange(0, 3).Draw(t, "n")
			p.Plan.Ends, p.Plan.Picks = int(length.Draw(t, "ends")),
				int(length.Draw(t, "plan picks"))
			for _, role := range []stash.Role{stash.RoleWarp, stash.RoleWeft} {
				id := stash.PackageID(string(yarn.Draw(t, "debit")) + " " + string(role))
				p.Finish.Debits = append(p.Finish.Debits,
					stash.Debit{Package: id, Role: role, Measured: true,
						Mass: measure.Mass(length.Draw(t, "mass")) * 100})
			}
			pieces = append(pieces, p)
		}
		for _, f := range Losses(q, pieces, s).Figures() {
			if f.Value < -measure.Whole/5 || f.Value >= measure.Whole || f.U <= 0 ||
				f.U >= measure.Whole || f.Basis == "" {
				t.Fatalf("%+v", f)
			}
		}
		counts, _ := Counts(pieces, s)
		for id, f := range counts {
			if f.Count <= 0 || f.Doubt <= 0 || f.Doubt >= measure.Whole || f.Yarn != id {
				t.Fatalf("%+v", f)
			}
		}
		for _, p := range pieces {
			for _, r := range Compare(p.Plan, *p.Finish, s, nil) {
				if r.Unit != PerMillion && (r.Planned <= 0 || r.Actual <= 0) || r.Reason == "" ||
					strings.Contains(r.Reason, "NaN") {
					t.Fatalf("%+v", r)
				}
			}
		}
	})
}

// The order in which pieces are listed does not matter.
func TestOrderOfPiecesDoesNotMatter(t *testing.T) {
	q, s := scarf("oat", "slate"), shelf()
	other := scarf("moss", "slate")
	pieces := []stash.Piece{
		woven(q, stash.Measures{Tape: 2000, OffLoom: 1800}),
		woven(other, stash.Measures{Tape: 2000, Length: 1700}),
		woven(q, stash.Measures{OffLoom: 1900, Length: 1700}),
	}
	want := Losses(q, pieces, s).Figures()
	slices.Reverse(pieces)
	for i, f := range Losses(q, pieces, s).Figures() {
		if math.Abs(float64(f.Value-want[i].Value)) > 1 || f.U != want[i].U ||
			f.Basis != want[i].Basis {
			t.Errorf("%+v, was %+v", f, want[i])
		}
	}
}
