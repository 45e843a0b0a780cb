package learn

import (
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// practice marks what weavers do and no source states.
const practice = "common practice, no source"

// row is the handbook value of a kind of yarn. Length and width are the whole
// losses from loom to finished cloth, relaxing and washing together, as they
// are taught; stretch and drawIn are the parts that are lost before washing.
type row struct {
	name            string
	length, width   normal
	stretch, drawIn normal
	source          string
}

// shrinkLength is what is left for washing: (1 − total) = (1 − sw) / (1 + x).
func (r row) shrinkLength() normal {
	return normal{1 - (1-r.length.mean)*(1+r.stretch.mean), r.length.sd}
}

// shrinkWidth is what is left for washing: (1 − total) = (1 − sx)(1 − d).
func (r row) shrinkWidth() normal {
	return normal{1 - (1-r.width.mean)/(1-r.drawIn.mean), r.width.sd}
}

// The handbook values. The whole losses of cotton, wool and very elastic yarn
// are taught (reference: practice, a2, grade T: common practice, no source);
// 10 % for cotton towels also stands in a worked metric example, 10 to 20 % for
// wool in an imperial one (reference: textile, 6 F and 6 J), and linen towels
// were recorded to lose 2 % in washing (practice, a2, grade P). How a whole loss
// divides into its two parts, every standard deviation, and every row that says
// so: common practice, no source.
var (
	cottonRow  = row{"cotton", normal{.10, .03}, normal{.10, .03}, normal{.03, .02}, normal{.04, .02}, "about 10 % in all, relaxing and washing together, of which this is a part, " + practice + "; so in a worked towel"}
	woolRow    = row{"wool", normal{.15, .04}, normal{.15, .04}, normal{.05, .03}, normal{.05, .02}, "about 15 % in all, relaxing and washing together, of which this is a part, " + practice + "; 10 to 20 % with moderate washing"}
	elasticRow = row{"very elastic yarn", normal{.20, .06}, normal{.20, .06}, normal{.10, .05}, normal{.07, .03}, "about 20 % in all, relaxing and washing together, of which this is a part, " + practice}
	bastRow    = row{"linen and other bast", normal{.04, .03}, normal{.06, .03}, normal{.02, .015}, normal{.04, .02}, "linen towels were seen to lose 2 % in washing; the rest " + practice}
	silkRow    = row{"silk", normal{.10, .04}, normal{.10, .04}, normal{.03, .02}, normal{.04, .02}, "as cotton, " + practice}
	madeRow    = row{"regenerated fibre", normal{.10, .05}, normal{.10, .05}, normal{.03, .02}, normal{.04, .02}, "as cotton, " + practice}
	plasticRow = row{"synthetic fibre", normal{.06, .04}, normal{.08, .04}, normal{.04, .03}, normal{.05, .02}, practice}
	stiffRow   = row{"paper, glass or metal", normal{.03, .03}, normal{.04, .03}, normal{.01, .01}, normal{.02, .02}, practice}
	unknownRow = row{"fibre not known", normal{.12, .06}, normal{.12, .06}, normal{.04, .03}, normal{.045, .025}, "between cotton and wool, " + practice}
)

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

// elastics are the fibres that make a yarn elastic, however little there is.
var elastics = []fibre.ID{"elastane", "elastodiene", "elastomultiester", "elastolefin", fibre.UnknownElastic}

func elastic(y stash.Yarn) bool {
	return y.Stretch == stash.StretchElastic || slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
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

// blend is the mean of the rows of several yarns, alike in weight; each loss
// is averaged by itself.
func blend(yarns []stash.Yarn) handbook {
	if len(yarns) == 0 {
		yarns = []stash.Yarn{{}}
	}
	var h handbook
	for _, y := range yarns {
		for _, s := range sharesOf(y) {
			w := s.weight / float64(len(yarns))
			h.add(w, s.row)
		}
		h.grade(y, 1/float64(len(yarns)))
	}
	return h
}

// handbook is what the tables say of the yarns in one direction of a cloth.
type handbook struct {
	stretch, shrinkLength, drawIn, shrinkWidth normal
	sources                                    []string
}

func (h *handbook) add(w float64, r row) {
	for _, part := range []struct {
		to   *normal
		from normal
	}{
		{&h.stretch, r.stretch}, {&h.shrinkLength, r.shrinkLength()}, {&h.drawIn, r.drawIn}, {&h.shrinkWidth, r.shrinkWidth()},
	} {
		part.to.mean += w * part.from.mean
		part.to.sd += w * part.from.sd
	}
	if source := r.name + ": " + r.source; !slices.Contains(h.sources, source) {
		h.sources = append(h.sources, source)
	}
}

// grade moves the handbook value of stretch to the grade that the weaver gave
// the yarn (common practice, no source; a warp that stretches was woven 77 in
// for 70, which is marked).
func (h *handbook) grade(y stash.Yarn, w float64) {
	to, ok := map[stash.Stretch]float64{stash.StretchNone: .01, stash.StretchSlight: .03, stash.StretchMarked: .10}[y.Stretch]
	if !ok || elastic(y) {
		return
	}
	var row normal
	for _, s := range sharesOf(y) {
		row.mean += s.weight * s.stretch.mean
	}
	h.stretch.mean += w * (to - row.mean)
	h.sources = append(h.sources, "stretch by the grade recorded, "+practice)
}

func (h handbook) basis() string { return strings.Join(h.sources, "; ") }
