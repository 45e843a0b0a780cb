package search

import (
	"cmp"
	"slices"

	"endsmeet/planner"
	"endsmeet/stash/measure"
)

// choice is one lot for each colour of the warp, by rank, and one for the weft.
type choice struct {
	warp []*lot
	weft *lot
}

// lots lists the lots of a choice, each once.
func (c choice) lots() []*lot {
	if slices.Contains(c.warp, c.weft) {
		return c.warp
	}
	return append(slices.Clone(c.warp), c.weft)
}

// size is a finished size.
type size struct{ width, length measure.Length }

// judge reckons choices through.
type judge struct {
	query Query
	base  planner.Spec
	join  measure.Length
	// least is the least scale that would still do, in thousandths.
	least  int
	cloths map[cloth]laid
	// middle reckons every package at its middle length, not at its low one.
	middle bool
}

// atMiddle is the judge of the middle figures, which keeps none of the cloths that a search
// went through.
func (j *judge) atMiddle() *judge {
	out := *j
	out.middle, out.cloths = true, map[cloth]laid{}
	return &out
}

func newJudge(q Query, base planner.Spec, join measure.Length) *judge {
	f := q.Kind.Facts
	j := &judge{query: q, base: base, join: join, cloths: map[cloth]laid{}}
	if len(f.HemstitchYarn) > 0 {
		j.base.Edges.Finished[planner.HemStitching] = 0
	}
	j.least = max(1, scaleFor(f.LeastWidth, f.Width), scaleFor(f.LeastLength, f.Length))
	return j
}

// scaleFor is the scale, in thousandths, at which whole becomes least, rounded
// up; at most 1000.
func scaleFor(least, whole measure.Length) int {
	return int(min(1000, (least*1000+whole-1)/whole))
}

func (j *judge) sizeAt(scale int) size {
	f := j.query.Kind.Facts
	s := measure.Length(scale)
	return size{max(1, f.Width*s/1000), max(1, f.Length*s/1000)}
}

// trial is a choice at one size.
type trial struct {
	ok    bool
	ends  []int // of each warp lot, floats included
	end   measure.Length
	weft  measure.Length
	short string // what does not suffice, where it is not ok
}

// spec is the question that a choice puts to the planner: the losses along the
// warp are the mean of the warp's, those across are the weft's.
func (j *judge) spec(c choice, at size) planner.Spec {
	s := j.base
	s.Size = planner.Size{Width: at.width, Length: at.length}
	f := c.weft.figures
	s.Cloth.Picks = f.picks
	s.Losses.WeftTakeUp, s.Losses.WetWidth, s.Losses.DrawIn, s.Losses.Beating = f.losses.WeftTakeUp,
		f.losses.WetWidth, f.losses.DrawIn, f.losses.Beating
	s.Cloth.Sett, s.Losses.WarpTakeUp, s.Losses.WetLength, s.Losses.Stretch = 0, 0, 0, 0
	for _, w := range c.warp {
		s.Cloth.Sett += w.figures.sett
		s.Losses.WarpTakeUp += w.figures.losses.WarpTakeUp
		s.Losses.WetLength += w.figures.losses.WetLength
		s.Losses.Stretch += w.figures.losses.Stretch
	}
	n := int64(len(c.warp))
	s.Cloth.Sett /= measure.Sett(n)
	s.Losses.WarpTakeUp /= measure.Ratio(n)
	s.Losses.WetLength /= measure.Ratio(n)
	s.Losses.Stretch /= measure.Ratio(n)
	return s
}

// cloth is all of a choice that its needs hang on: figures, of which yarns of one
// sort share one address, and the size.
type cloth struct {
	warp [maxColours]*figures
	weft *figures
	at   size
}

// laid is what a cloth needs; short is what forbids it, whatever yarn there is.
type laid struct {
	ends      int
	end, weft measure.Length
	short     string
}

// mostCloths is how many cloths are remembered.
const mostCloths = 20_000

// lay reckons what a choice needs at a size, once for all lots of the same figures.
func (j *judge) lay(c choice, at size) laid {
	key := cloth{weft: c.weft.figures, at: at}
	for i, w := range c.warp {
		key.warp[i] = w.figures
	}
	out, known := j.cloths[key]
	if !known {
		out = j.reckon(c, at)
		if len(j.cloths) < mostCloths {
			j.cloths[key] = out
		}
	}
	return out
}

func (j *judge) reckon(c choice, at size) laid {
	s := j.spec(c, at)
	threaded := s.ThreadedFor()
	if most, what, known := s.MaxThreaded(); known && threaded > most {
		return laid{short: what}
	}
	line, err := s.WarpLine()
	if err != nil {
		return laid{short: "sizes that can be reckoned with"}
	}
	out := laid{ends: threaded + s.Ends.Floats, end: line.End(s.Size.Length)}
	if limit := s.Limits.MaxWarp; limit > 0 && out.end > limit {
		return laid{short: "length of warp"}
	}
	out.weft = j.weftFor(s, threaded, c.weft)
	return out
}

// try reckons a choice at a size.
func (j *judge) try(c choice, at size) trial {
	need := j.lay(c, at)
	t := trial{end: need.end, short: need.short}
	if need.short != "" {
		return t
	}
	if t.ends = j.share(c.warp, need.ends, t.end); t.ends == nil {
		t.short = "warp"
		return t
	}
	t.weft = need.weft
	t.ok = j.weaves(c, t)
	if !t.ok {
		t.short = "weft"
	}
	return t
}

// weftFor is the weft of a spec in mm of the lot's yarn.
func (j *judge) weftFor(s planner.Spec, threaded int, weft *lot) measure.Length {
	if j.query.Kind.Rag {
		n, err := planner.NeedForEnds(s, threaded)
		if err != nil {
			return outOfReach
		}
		return measure.Length(float64(n.RagMass)/weft.tex) + 1
	}
	line, err := s.WeftLine(threaded)
	if err != nil {
		return outOfReach
	}
	return line.Need(s.Size.Length)
}

// outOfReach is longer than any stash.
const outOfReach = measure.Length(1) << 50

// unit returns the ends of one winding and its yarn for an end of length end.
func (j *judge) unit(end measure.Length) (int, measure.Length) {
	if j.base.Ends.Loops {
		return 2, 2 * end
	}
	return 1, end
}

// capacity is how many ends a lot gives.
func (j *judge) capacity(l *lot, end measure.Length) int {
	per, yarn := j.unit(end)
	return l.windings(max(1, yarn), j.middle) * per / max(1, j.base.Ends.Strands)
}

// warpOf is the yarn that so many ends take.
func (j *judge) warpOf(ends int, end measure.Length) measure.Length {
	per, yarn := j.unit(end)
	windings := (ends*max(1, j.base.Ends.Strands) + per - 1) / per
	return measure.Length(windings) * yarn
}

// leastShare is the least part of a warp of several colours that one of them
// takes: half of an even share.
func leastShare(ends, colours int) int { return max(1, ends/(2*colours)) }

// share gives each colour its ends: in proportion to its yarn, none less than
// leastShare nor more than it has; nil if that cannot be.
func (j *judge) share(warp []*lot, ends int, end measure.Length) []int {
	out := make([]int, len(warp))
	room := make([]int, len(warp))
	sum, total := 0, measure.Length(0)
	for i, w := range warp {
		room[i] = j.capacity(w, end)
		total += j.lengthOf(w)
		sum += room[i]
	}
	if sum < ends {
		return nil
	}
	if len(warp) == 1 {
		out[0] = ends
		return out
	}
	left := ends
	least := leastShare(ends, len(warp))
	for i, w := range warp {
		if room[i] < least {
			return nil
		}
		want := int(measure.Length(ends) * j.lengthOf(w) / max(1, total))
		out[i] = min(room[i], max(least, want))
		left -= out[i]
	}
	return evenOut(out, room, least, left)
}

// evenOut takes ends from the widest or gives them to those with most room until
// left is used up; nil if that cannot be.
func evenOut(out, room []int, least, left int) []int {
	order := make([]int, len(out))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		if left < 0 {
			return cmp.Compare(out[b], out[a])
		}
		return cmp.Compare(room[b]-out[b], room[a]-out[a])
	})
	for _, i := range order {
		move := min(left, room[i]-out[i])
		if left < 0 {
			move = -min(-left, out[i]-least)
		}
		out[i] += move
		left -= move
	}
	if left != 0 {
		return nil
	}
	return out
}

// lengthOf is what a lot is reckoned to hold.
func (j *judge) lengthOf(l *lot) measure.Length {
	if j.middle {
		return l.length
	}
	return l.low
}

// joinOf is what the weft can take of a lot, one join charged back.
func (j *judge) joinOf(l *lot) measure.Length {
	if !j.middle {
		return l.join
	}
	var all measure.Length
	for i := range l.packs {
		all += l.packs[i].strands().Joinable(l.packs[i].mid, j.join, 0)
	}
	if all > 0 {
		all += j.join
	}
	return all
}

// weaves says whether the weft lot suffices after its ends are cut.
func (j *judge) weaves(c choice, t trial) bool {
	have := j.joinOf(c.weft)
	if i := slices.Index(c.warp, c.weft); i >= 0 {
		have -= j.warpOf(t.ends[i], t.end)
	}
	return have >= t.weft
}

// scaled is the greatest scale at which a choice fits, 0 if none that would do.
func (j *judge) scaled(c choice) (int, trial) {
	if t := j.try(c, j.sizeAt(1000)); t.ok {
		return 1000, t
	}
	lo, hi := j.least-1, 1000
	var best trial
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if t := j.try(c, j.sizeAt(mid)); t.ok {
			lo, best = mid, t
		} else {
			hi = mid
		}
	}
	if lo < j.least {
		return 0, trial{}
	}
	return lo, best
}

// parts are the parts of the score of a choice at a size.
func (j *judge) parts(c choice, at size, t trial) Parts {
	var used, mass, useless float64
	for _, l := range c.lots() {
		one := float64(j.usedOf(c, l, t)) * l.tex
		used += one
		mass += l.mass()
		if j.query.useless(l.length - j.usedOf(c, l, t)) {
			useless += l.mass() - one
		}
	}
	return Parts{Size: j.area(at), Use: min(1, used/mass), Rest: 1 - min(1, max(0, useless/mass)),
		Lots: 1 / float64(len(c.lots()))}
}

// usedOf is the length that a choice takes of one of its lots.
func (j *judge) usedOf(c choice, l *lot, t trial) measure.Length {
	var used measure.Length
	if i := slices.Index(c.warp, l); i >= 0 {
		used += j.warpOf(t.ends[i], t.end)
	}
	if c.weft == l {
		used += t.weft
	}
	return used
}

// score is the weighted mean in millionths, rounded down. The bounds of
// package search round the same way, so that equal bounds stay equal.
func (w Weights) score(p Parts) int {
	sum := w.Size + w.Use + w.Rest + w.Lots
	if sum <= 0 {
		return 0
	}
	v := float64(w.Size)*p.Size + float64(w.Use)*p.Use + float64(w.Rest)*p.Rest +
		float64(w.Lots)*p.Lots
	return int(1e6*v/float64(sum) + 1e-3)
}
