package learn

import (
	"cmp"
	"math"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Compare sets a finished piece against its plan: a row for everything that
// was measured, with the reason of each difference. Lengths are of all pieces
// of the warp. Earlier is what had been debited of each package for the piece
// before this finish, nil for nothing. A nil plan has no rows.
func Compare(plan *stash.Plan, f stash.Finish, shelf Shelf,
	earlier map[stash.PackageID]measure.Mass) []Row {
	if plan == nil {
		return nil
	}
	if earlier == nil {
		earlier = map[stash.PackageID]measure.Mass{}
	}
	c := comparison{
		piece: stash.Piece{Plan: plan, Finish: &f}, plan: plan, shelf: shelf, earlier: earlier,
		r: readingsOf(plan, f.Measures), sys: shelf.Settings.Units,
	}
	c.lengths()
	c.widths()
	c.threads()
	c.waste()
	c.ratios()
	c.yarn(stash.RoleWarp)
	c.yarn(stash.RoleWeft)
	return c.rows
}

type comparison struct {
	piece   stash.Piece
	plan    *stash.Plan
	shelf   Shelf
	earlier map[stash.PackageID]measure.Mass
	r       readings
	sys     measure.System
	rows    []Row
}

// add appends a row if both numbers are known.
func (c *comparison) add(name string, u Unit, planned, actual float64, why string) {
	if planned > 0 && actual > 0 {
		c.rows = append(c.rows, Row{name, u, int64(math.Round(planned)), int64(math.Round(actual)),
			why})
	}
}

// noticed is the least part of a length that is named, in mm.
const noticed = 2

// product adds a row whose difference is divided among causes.
func (c *comparison) product(name string, u Unit, planned, actual float64, causes []cause) {
	if planned <= 0 || actual <= 0 {
		return
	}
	least := float64(noticed)
	if u == milligrams {
		least = 0.005 * planned
	}
	c.add(name, u, planned, actual, reason(planned, actual, causes, least, u.signed(c.sys)))
}

// lengths follows the cloth from the tape through the loom's release to the
// washing.
func (c *comparison) lengths() {
	b, r := c.plan.Spec, c.r
	tape := r.pieces * mm(c.plan.Tape)
	x, sw := 1+ratioOf(b.Stretch), 1-ratioOf(b.ShrinkLength)
	c.product("tape", millimetres, tape, r.tape, []cause{{"woven", tape, r.tape, false}})
	woven := cause{"woven", tape, r.tape, false}
	if r.tape == 0 {
		woven.actual = tape
	}
	relaxing := cause{"stretch", x, woven.actual / r.off, true}
	if r.tape == 0 {
		relaxing.name = "woven length and stretch together"
	}
	if r.off > 0 {
		c.product("off_loom", millimetres, tape/x, r.off, []cause{woven, relaxing})
	}
	if r.wet == 0 {
		return
	}
	causes := []cause{woven, relaxing, {"shrinkage", sw, r.wet / r.off, false}}
	if r.off == 0 {
		causes = []cause{woven, {"stretch and shrinkage together", sw / x, r.wet / woven.actual,
			false}}
	}
	hem := r.pieces * mm(b.Hems())
	if planned := tape / x * sw; planned > 0 && r.wet > hem {
		why := reason(planned, r.wet, causes, noticed, millimetres.signed(c.sys))
		c.add("length", millimetres, r.pieces*mm(c.plan.Length), r.wet-hem, why)
	}
}

// widths follows the cloth from the reed through draw-in to the washing.
func (c *comparison) widths() {
	b, r := c.plan.Spec, c.r
	reed := mm(c.plan.ReedWidth)
	d, sx := 1-ratioOf(b.DrawIn), 1-ratioOf(b.ShrinkWidth)
	inReed := cause{"reed", reed, r.reed, false}
	if c.piece.Finish.Measures.Reed > 0 {
		c.product("reed", millimetres, reed, r.reed, []cause{{"threading", reed, r.reed, false}})
	}
	draw := cause{"draw-in", d, r.offWidth / r.reed, false}
	if r.offWidth > 0 && r.reed > 0 {
		c.product("off_loom_width", millimetres, reed*d, r.offWidth, []cause{inReed, draw})
	}
	if r.reed == 0 || r.width == 0 {
		return
	}
	causes := []cause{inReed, draw, {"shrinkage", sx, r.width / r.offWidth, false}}
	if r.offWidth == 0 {
		causes = []cause{inReed, {"draw-in and shrinkage together", d * sx, r.width / r.reed,
			false}}
	}
	if planned := reed * d * sx; planned > 0 {
		// Shown as the plan says it, which rounds down.
		c.add("width", millimetres, cmp.Or(mm(c.plan.Width), planned), r.width,
			reason(planned, r.width, causes, noticed, millimetres.signed(c.sys)))
	}
}

// threads compares what was counted.
func (c *comparison) threads() {
	if e := c.r.ends; e > 0 {
		c.add("ends", threads, float64(c.plan.Ends), e,
			same(float64(c.plan.Ends), e, 0.5, "threading"))
	}
	r, planned := c.r, c.r.pieces*float64(c.plan.Picks)
	if r.picks == 0 || planned == 0 {
		return
	}
	tape := r.pieces * mm(c.plan.Tape)
	causes := []cause{{"picks", planned, r.picks, false}}
	if r.tape > 0 && tape > 0 {
		causes = []cause{{"woven length", tape, r.tape, false},
			{"picks to the length", planned / tape, r.picks / r.tape, false}}
	}
	c.add("picks", threads, planned, r.picks,
		reason(planned, r.picks, causes, 0.5, threads.signed(c.sys)))
}

// same names a single cause if the numbers differ.
func same(planned, actual, least float64, name string) string {
	if math.Abs(planned-actual) < least {
		return "as planned"
	}
	return name
}

// waste compares what was cut off beyond the fringes.
func (c *comparison) waste() {
	beyond := mm(c.plan.Warped(c.piece.Finish.Measures) - c.plan.WarpEnd + c.plan.Margin)
	planned := plannedWaste(c.plan, c.shelf.Settings) + beyond
	why := "as planned"
	if c.r.waste > planned+noticed {
		why = "loom waste: more was cut off unwoven"
	} else if c.r.waste < planned-noticed {
		why = "loom waste: woven nearer to the ends of the warp"
	}
	if beyond > noticed {
		why += " (planned: with what was wound beyond the middle)"
	}
	c.add("waste", millimetres, planned, c.r.waste, why)
}

// plannedWaste is what a plan leaves unwoven beyond the fringes:
//
//	max(a, F) + max(b, F) − 2F    with a and b as they are when cut
//
// A fringe longer than the waste of its side is cut from warp of its own.
func plannedWaste(p *stash.Plan, s stash.Settings) float64 {
	front := s.FrontWaste
	if p.Spec.FrontWaste != nil {
		front = *p.Spec.FrontWaste
	}
	front = min(front, p.Waste)
	edges := EdgesOf(p.Spec, s)
	slack := 1 + ratioOf(p.Spec.Strain)
	return math.Max(0, mm(front)/slack-mm(edges.Start().Raw())) +
		math.Max(0, mm(p.Waste-front)/slack-mm(edges.Last().Raw()))
}
