package making

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endsmeet/planner"
	"endsmeet/planner/cloth"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// notesOf are the remarks on a plan: what planner warns of, and where the cloth
// itself is doubtful.
func (s Shelf) notesOf(b stash.ProjectFacts, n planner.Needs) []string {
	var notes []string
	for _, w := range n.Warnings {
		notes = append(notes, w.Message)
	}
	notes = append(notes, s.widthNotes(b, n)...)
	notes = append(append(notes, repeatNotes(b, n)...), s.clothNotes(b)...)
	return append(notes, s.stretchNotes(b)...)
}

// stretchNotes say of a warp that gives how it is wound: what is wound taut is shorter when
// it is slack (common practice, no source).
func (s Shelf) stretchNotes(b stash.ProjectFacts) []string {
	var notes []string
	for _, p := range s.Named(b.Warp) {
		y := s.Yarns[p.Yarn]
		note := y.Name + " stretches: do not wind it tight, or the warp comes out short"
		if y.Stretchy() && !slices.Contains(notes, note) {
			notes = append(notes, note)
		}
	}
	return notes
}

// widthNotes say why a cloth is wider than its project wants: its ends are a whole number of
// repeats and bunches.
func (s Shelf) widthNotes(b stash.ProjectFacts, n planner.Needs) []string {
	if b.Width <= 0 || n.FinishedWidth-b.Width <= b.Width/50 || n.Spec.Ends.Modulus < 2 {
		return nil
	}
	return []string{fmt.Sprintf("%s wide, not %s: the ends come by %d, for repeat and bunches",
		n.FinishedWidth.Planned(s.Settings.Units), b.Width.Planned(s.Settings.Units), n.Spec.Ends.Modulus)}
}

// repeatNotes say where the ends do not close the repeat, and that a balance without one has
// no use.
func repeatNotes(b stash.ProjectFacts, n planner.Needs) []string {
	if b.Repeat < 2 {
		if b.Balance > 0 {
			return []string{"balance ends have no use without a repeat: give --repeat N"}
		}
		return nil
	}
	counts := planner.CountsOf(b.Repeat, b.Balance)
	above := int(counts.From(int64(n.Threaded)))
	if above == n.Threaded {
		return nil
	}
	text := fmt.Sprintf("%d ends do not close the repeat; ", n.Threaded)
	if below := counts.To(n.Threaded); below > 0 {
		text += fmt.Sprintf("%d and ", below)
	}
	return []string{text + fmt.Sprintf("%d do", above)}
}

// fewPicks is up to how many picks of a strand joins are told of (common practice, no source).
const fewPicks = 20

// shortWeft says how often the weft of cut lengths is joined, a pass of the shuttle being so
// long.
func (s Shelf) shortWeft(o Outcome, pass measure.Length) []string {
	var notes []string
	for _, a := range o.Allotments {
		p, _ := s.find(a.Package)
		strand := p.Strand(s.Settings)
		if a.Weft == 0 || strand == 0 || pass <= 0 || strand > fewPicks*pass {
			continue
		}
		every := "in every pick"
		if n := int(max(0, strand-s.Settings.Join) / pass); n > 1 {
			every = fmt.Sprintf("every %d picks", n)
		}
		notes = append(notes, fmt.Sprintf("%s is in lengths of at most %s: a join about %s",
			p.Label(), strand.Cloth(s.Settings.Units), every))
	}
	return notes
}

// massApart is how far the picks and the mass per area of a weft may be from each other, as
// a logarithm, before it is asked which is meant.
const massApart = 0.25

// clothNotes say that a structure is not known, and that a sett or picks are
// closer than the yarn lies side by side in it.
func (s Shelf) clothNotes(b stash.ProjectFacts) []string {
	var notes []string
	weave, err := cloth.ParseWeave(b.Structure)
	if err != nil {
		if strings.TrimSpace(b.Structure) != "" {
			notes = append(notes,
				fmt.Sprintf("how the threads of %q interlace is not known, take-up and sett are guessed: write %s",
					stash.Clean(b.Structure), weaveNames(b.Structure)))
		}
		weave = cloth.Plain
	}
	sett, picks := s.closest(b)
	if b.RagPerM2 > 0 {
		picks = 0 // by how close yarn lies; what goes by mass is beaten flat
	}
	if by := s.ragPicks(b); by > 0 && math.Abs(math.Log(float64(b.Picks)/float64(by))) > massApart {
		notes = append(notes, fmt.Sprintf("%s picks of such a weft make %s per square metre, not the %s that it is planned by: check which is meant",
			b.Picks.Format(s.Settings.Units), measure.Mass(float64(b.RagPerM2)*float64(b.Picks)/float64(by)).Whole(measure.Metric), b.RagPerM2.Whole(measure.Metric)))
	}
	for _, one := range []struct {
		name    string
		asked   measure.Sett
		closest measure.Sett
	}{{"ends", b.Sett, sett}, {"picks", b.Picks, picks}} {
		if one.closest > 0 && one.asked > one.closest {
			notes = append(notes,
				fmt.Sprintf("%s %s are closer than the yarn lies in a balanced %s, at most about %s (estimate by count, Ashenhurst): check the figure, or sample first if they are to cover the other",
					one.asked.Format(s.Settings.Units), one.name, weave.Name,
					one.closest.Format(s.Settings.Units)))
		}
	}
	return notes
}

// closest are the setts at which the threads just jam, zero where a count is
// not known: what package learn proposes without any piece is the ordinary
// share of them.
func (s Shelf) closest(b stash.ProjectFacts) (sett, picks measure.Sett) {
	b.Sett, b.Picks = 0, 0
	forWarp, forWeft := learn.Setts(learn.Question{Project: b}, nil, s.learning())
	jam := func(f learn.SettFigure) measure.Sett { return measure.Sett(float64(f.Value) / cloth.Ordinary.Share) }
	return jam(forWarp), jam(forWeft)
}

// fewNames is of how many weaves one is reminded.
const fewNames = 2

func weaveNames(written string) string {
	written = strings.ToLower(strings.TrimSpace(written))
	var like []string
	for _, w := range cloth.Weaves() {
		if strings.Contains(w.Name, written) {
			like = append(like, w.Name)
		}
	}
	if len(like) == 0 {
		like = []string{cloth.Plain.Name, "2/2 twill", "5-end satin"}
	}
	return strings.Join(like[:min(len(like), fewNames)], ", ") + " or the like"
}
