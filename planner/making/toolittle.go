package making

import (
	"cmp"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// wovenOf is the length on the tape of one piece: as it was read, or the picks tell, else
// as planned.
func wovenOf(piece stash.Piece, m stash.Measures) measure.Length {
	p := piece.Plan
	switch tape := cmp.Or(m.Tape, tapeRead(piece)); {
	case tape > 0:
		return stash.OfOne(tape, p.Tape, max(1, p.Spec.Pieces))
	case m.Picks > 0:
		return scaled(p.Tape, wovenShare(p, m))
	}
	return p.Tape
}

// tooShort refuses what is far shorter or narrower than was to be expected.
func (s Shelf) tooShort(piece stash.Piece, f stash.Finish) *stash.Error {
	p, m := piece.Plan, f.Measures
	n := max(1, p.Spec.Pieces)
	woven, before := wovenOf(piece, m), wovenOf(piece, stash.Measures{Picks: m.Picks})
	width := scaled(p.Width, widthShare(p, m))
	finished := scaled(p.Length, float64(cmp.Or(m.OffLoom, woven))/float64(max(1, p.Tape)))
	for _, l := range []struct {
		name     string
		is, than measure.Length
	}{
		{"tape", stash.OfOne(m.Tape, p.Tape, n), before}, {"off-loom", m.OffLoom, woven},
		{"length", m.Length, finished}, {"width", m.Width, width}, {"off-width", m.OffWidth, width},
		{"reed-width", m.Reed, scaled(p.ReedWidth, endsShare(p, m))},
	} {
		if l.is > 0 && fewMargin*float64(l.is) < float64(l.than) {
			return stash.Refuse(stash.CodeInput, "is a figure missing, or is it another unit?",
				"--%s: %s is far less than the %s to be expected", l.name,
				l.is.Cloth(s.Settings.Units), l.than.Cloth(s.Settings.Units))
		}
	}
	return nil
}

// woundShort refuses a warp too short for the cloth that came of it.
func (s Shelf) woundShort(piece stash.Piece, f stash.Finish) *stash.Error {
	p, m := piece.Plan, f.Measures
	spec := s.specOf(p.Spec)
	waste := measure.Length(float64(spec.Front()+spec.Back()) / fewMargin)
	cloth := measure.Length(max(1, p.Spec.Pieces)) * max(m.Length, m.OffLoom)
	if least := cloth + cmp.Or(m.Waste, waste); m.Wound > 0 && cloth > 0 && m.Wound < least {
		return stash.Refuse(stash.CodeInput, "it is from end to end, loom waste and all",
			"--wound: %s of warp cannot give %s of cloth", m.Wound.Cloth(s.Settings.Units),
			cloth.Cloth(s.Settings.Units))
	}
	return nil
}

// tooFew refuses counts far below what was to be expected.
func (s Shelf) tooFew(piece stash.Piece, f stash.Finish) *stash.Error {
	p, m := piece.Plan, f.Measures
	n := max(1, p.Spec.Pieces)
	picks := stash.OfOne(measure.Length(m.Picks), measure.Length(p.Picks), n)
	woven := wovenOf(piece, stash.Measures{Tape: cmp.Or(m.Tape, m.OffLoom, m.Length)})
	for _, c := range []struct {
		name     string
		is, than int
	}{{"ends", m.Ends, p.Ends}, {"picks", int(picks),
		int(float64(p.Picks) * float64(woven) / float64(max(1, p.Tape)))}} {
		if c.is > 0 && fewMargin*float64(c.is) < float64(c.than) {
			return stash.Refuse(stash.CodeInput, "is a figure missing?",
				"--%s: %d is far less than the %d to be expected", c.name, c.is, c.than)
		}
	}
	return nil
}

// tooLight refuses cloth that weighs far less than the yarn that went into it.
func (s Shelf) tooLight(piece stash.Piece, f stash.Finish) *stash.Error {
	yarn, cloth := s.yarnIn(piece, f), f.Measures.Cloth
	if cloth <= 0 || lightMargin*cloth >= yarn {
		return nil
	}
	return stash.Refuse(stash.CodeInput, "is it the right unit, and of all pieces on the warp?",
		"--cloth: %s of cloth is far less than the %s of yarn in it",
		cloth.Format(s.Settings.Units), yarn.Format(s.Settings.Units))
}
