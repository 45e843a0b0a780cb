package learn

import (
	"math"
	"slices"
	"strings"

	"endsmeet/planner/cloth"
	"endsmeet/planner/levels"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// practice marks what weavers do and no source states.
const practice = "common practice, no source"

// row is the handbook value of a kind of yarn. Length and width are the whole
// losses from loom to finished cloth, relaxing and washing together, as they
// are taught; the rest, in logarithms, are the parts that are lost before washing and
// how far each part strays among yarns.
type row struct {
	name          string
	length, width float64
	// strain is of the yarn under the tension of the loom, bend the take-up that comes
	// only when the tension goes.
	strain, bend normal
	drawIn       normal
	// washLength and washWidth are standard deviations of what washing takes.
	washLength, washWidth float64
	source                string
}

// taut is the take-up of the warp under tension, when it lies nearly straight and the
// weft bends (a guess; the two published warps of the tests allow 3.5 and 1.9 % at most,
// and one towel warp may have had 10 %, hence so wide).
var taut = normal{.025, .022}

// The handbook values. The whole losses of cotton, wool and very elastic yarn
// are taught (common practice, no source);
// 10 % for cotton towels also stands in a worked metric example, 10 to 20 % for
// wool in an imperial one (textile references), and linen towels
// were recorded to lose 2 % in washing (common practice, no source). Strain and bend of
// wool and strain of cotton follow one measured warp each (two published warps, planned and measured);
// with the taut take-up cotton comes near the 4 to 7 % contraction of Taylor (1909);
// linen stretches least (textbook order of elasticity, from memory). Every other part,
// every standard deviation, and every row that says so: common practice, no source.
var (
	cottonRow = row{"cotton", .10, .10, normal{.010, .008}, normal{.030, .020}, normal{.04, .02},
		.030, .03, "about 10% in all, relaxing and washing together, of which this is a part, " +
			practice + "; so in a worked towel"}
	woolRow = row{"wool", .15, .15, normal{.030, .015}, normal{.065, .040}, normal{.05, .02},
		.040, .04, "about 15% in all, relaxing and washing together, of which this is a part, " +
			practice + "; 10 to 20% with moderate washing"}
	elasticRow = row{"very elastic yarn", .20, .20, normal{.060, .040}, normal{.080, .050},
		normal{.07, .03}, .050, .06,
		"about 20% in all, relaxing and washing together, of which this is a part, " + practice}
	bastRow = row{"linen and other bast", .04, .06, normal{.006, .005}, normal{.015, .015},
		normal{.04, .02}, .020, .03, "linen towels were seen to lose 2% in washing; the rest " +
			practice}
	silkRow = row{"silk", .10, .10, normal{.012, .008}, normal{.035, .020}, normal{.04, .02},
		.030, .04, "as cotton, " + practice}
	madeRow = row{"regenerated fibre", .10, .10, normal{.010, .008}, normal{.030, .020},
		normal{.04, .02}, .040, .05, "as cotton, " + practice}
	plasticRow = row{"synthetic fibre", .08, .08, normal{.020, .012}, normal{.040, .030},
		normal{.05, .02}, .030, .04, practice}
	stiffRow = row{"paper, glass or metal", .03, .04, normal{.003, .003}, normal{.007, .010},
		normal{.02, .02}, .030, .03, practice}
	unknownRow = row{"fibre not recorded", .12, .12, normal{.020, .015}, normal{.050, .040},
		normal{.045, .025}, .050, .06, "between cotton and wool, " + practice}
)

// along holds strain, taut take-up, bend and loss in washing.
func (r row) along() levels.Handbook {
	washing := -math.Log(1-r.length) - r.strain.mean - r.bend.mean
	return levels.Handbook{
		Mean: levels.Vector{r.strain.mean, taut.mean, r.bend.mean, washing},
		SD:   levels.Vector{r.strain.sd, taut.sd, r.bend.sd, r.washLength},
	}
}

// across holds draw-in, loss in washing, take-up of the weft, and picks beaten beyond
// the plan. Weft take-up of 10 ± 4 % and picks ± 4 %: common practice, no source.
func (r row) across() levels.Handbook {
	drawIn := losses.log(r.drawIn)
	washing := -math.Log(1-r.width) + drawIn.mean
	return levels.Handbook{
		Mean: levels.Vector{-drawIn.mean, washing, weftTakeUp.mean, 0},
		SD:   levels.Vector{drawIn.sd, r.washWidth, weftTakeUp.sd, .04},
	}
}

// weftTakeUp is that of any yarn, in logarithms.
var weftTakeUp = gains.log(normal{.10, .04})

// rowOf is the handbook row for a class of fibre.
func rowOf(c fibre.Class) row {
	switch c {
	case fibre.Cellulose:
		return cottonRow
	case fibre.Wool, fibre.Animal:
		return woolRow
	case fibre.Bast:
		return bastRow
	case fibre.Silk:
		return silkRow
	case fibre.Regenerated:
		return madeRow
	case fibre.Synthetic:
		return plasticRow
	case fibre.Rubber:
		return elasticRow
	case fibre.Mineral, fibre.Paper:
		return stiffRow
	}
	return unknownRow
}

// WholeLoss is how much cloth of a yarn loses in length from the loom on, relaxing and
// washing together, by the handbook.
func WholeLoss(y stash.Yarn) float64 {
	sum, all := 0.0, 0.0
	for _, s := range sharesOf(y) {
		sum, all = sum+s.weight*s.length, all+s.weight
	}
	return sum / all
}

// elastics are the fibres that make a yarn elastic, however little there is.
var elastics = []fibre.ID{"elastane", "elastodiene", "elastomultiester", "elastolefin",
	fibre.UnknownElastic}

func elastic(y stash.Yarn) bool {
	return y.Stretch == stash.StretchElastic ||
		slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
			return slices.Contains(elastics, p.Fibre)
		})
}

// share is a handbook row with its weight.
type share struct {
	row
	weight float64
}

// sharesOf lists the rows of a yarn's fibres by mass; parts of unknown share
// count alike.
func sharesOf(y stash.Yarn) []share {
	if elastic(y) {
		return []share{{elasticRow, 1}}
	}
	if len(y.Fibre) == 0 {
		return []share{{unknownRow, 1}}
	}
	var out []share
	var sum float64
	for _, p := range y.Fibre {
		weight := p.Share.Float()
		if weight <= 0 {
			weight = 1 / float64(len(y.Fibre))
		}
		sum += weight
		out = append(out, share{rowOf(p.Fibre.Info().Class), weight})
	}
	for i := range out {
		out[i].weight /= sum
	}
	return out
}

// blend is the mean of the rows of several yarns, alike in weight; each part is
// averaged by itself.
func blend(yarns []stash.Yarn, of func(row) levels.Handbook) handbook {
	if len(yarns) == 0 {
		yarns = []stash.Yarn{{}}
	}
	var h handbook
	for _, y := range yarns {
		for _, s := range sharesOf(y) {
			h.add(s.weight/float64(len(yarns)), of(s.row))
			if source := s.name + ": " + s.source; !slices.Contains(h.sources, source) {
				h.sources = append(h.sources, source)
			}
		}
	}
	return h
}

// handbook is what the tables say of the yarns in one direction of a cloth, before any
// piece is seen.
type handbook struct {
	levels.Handbook
	sources []string
	// washing and takeUp say what these rest on where it is more than the fibre.
	washing, takeUp string
}

func (h *handbook) add(w float64, part levels.Handbook) {
	for i := range h.Mean {
		h.Mean[i] += w * part.Mean[i]
		h.SD[i] += w * part.SD[i]
	}
}

// grades are the strains of a yarn by the grade that the weaver gave it (common
// practice, no source).
var grades = map[stash.Stretch]normal{
	stash.StretchNone: {.005, .004}, stash.StretchSlight: {.020, .012},
	stash.StretchMarked: {.060, .030},
}

// grade moves the strain to the grades recorded.
func (h *handbook) grade(yarns []stash.Yarn) {
	for _, y := range yarns {
		to, ok := grades[y.Stretch]
		if !ok || elastic(y) {
			continue
		}
		own, w := blend([]stash.Yarn{y}, row.along), 1/float64(len(yarns))
		h.Mean[strain] += w * (to.mean - own.Mean[strain])
		h.SD[strain] += w * (to.sd - own.SD[strain])
		h.sources = append(h.sources, "stretch by the grade recorded, "+practice)
	}
}

// wash puts what outranks the fibre in place of its loss in washing.
func (h *handbook) wash(at int, b stash.ProjectFacts, yarns []stash.Yarn) {
	if rule, ok := wetOf(b, yarns); ok {
		l := losses.log(rule.loss)
		h.Mean[at], h.SD[at], h.washing = -l.mean, l.sd, rule.source
	}
}

// drawTo takes a reckoned take-up as a reading of the cloth, of doubt ruleDoubt: the
// means move by what it teaches, how far yarns stray from them stays.
func (h *handbook) drawTo(r cloth.RatioEstimate, take levels.Vector) {
	miss, variance := math.Log(1+r.Ratio.Float())-take.Dot(h.Mean), ruleDoubt*ruleDoubt
	for i := range take {
		variance += take[i] * take[i] * h.SD[i] * h.SD[i]
	}
	for i := range take {
		h.Mean[i] += h.SD[i] * h.SD[i] * take[i] * miss / variance
	}
	h.takeUp = percent(r.Ratio) + ", " + r.Basis
}

// along is the handbook's answer lengthwise, across that widthwise.
func along(b stash.ProjectFacts, warp, weft []stash.Yarn) handbook {
	h := blend(warp, row.along)
	h.grade(warp)
	h.wash(washing, b, warp)
	if t, ok := geometry(b, warp, weft); ok {
		h.drawTo(t.Warp, takeUpOf)
	}
	return h
}

func across(b stash.ProjectFacts, warp, weft []stash.Yarn) handbook {
	h := blend(weft, row.across)
	h.wash(washingWide, b, weft)
	if t, ok := geometry(b, warp, weft); ok {
		h.drawTo(t.Weft, weftTakeUpOf)
	}
	return h
}

func (h handbook) basis() string { return strings.Join(h.sources, "; ") }
