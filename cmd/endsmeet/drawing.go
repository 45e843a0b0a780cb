package main

import (
	"bytes"
	"github.com/urfave/cli/v2"
	"io"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers/wif"
	"endsmeet/planner"
	"endsmeet/planner/fit"
	"endsmeet/planner/making"
	"endsmeet/planner/picture"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// drawingFlags are the options of the commands that draw their answer.
func drawingFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "svg", Usage: "draw the answer for printing, to a new `FILE`; - is standard output, in place of the words"},
	}
}

// saveDrawing writes the page that --svg asks for.
func (k *call) saveDrawing(c picture.Cloth, f picture.Frontier) error {
	path := k.String("svg")
	if path == "" {
		return nil
	}
	if err := k.unused(); err != nil {
		return err
	}
	var drawn bytes.Buffer
	if err := k.asWritten(&drawn, func(w io.Writer) error {
		_, err := w.Write(picture.SVG(c, f))
		return err
	}); err != nil {
		return err
	}
	if path == dash {
		k.tell = func() error {
			_, err := drawn.WriteTo(show.Document(k.env.stdout))
			return err
		}
		return k.alone(path, "drawing")
	}
	if err := writeNew(path, drawn.Bytes(), false); err != nil {
		return err
	}
	k.note("drawn into %s", path)
	return nil
}

// plannedCloth is the cloth that a plan gives.
func plannedCloth(name string, o making.Outcome, units measure.System) picture.Cloth {
	n := o.Needs
	return clothOf(name, n.FinishedWidth, n.FinishedLength, o.Project, o.Bands,
		[2]int{o.Edges.Bunches, o.OtherEdges.Bunches}, units)
}

// secondCloth is the cloth that is proposed for another piece, empty for none.
func secondCloth(name string, a making.Second, units measure.System) picture.Cloth {
	if a.Recommended == nil || a.Edges == nil {
		return picture.Cloth{Title: stash.Clean(name)}
	}
	rec := a.Recommended
	return clothOf(name, rec.Point.Width, rec.Length, a.Project, rec.Bands,
		[2]int{a.Edges.Bunches, a.OtherEdges.Bunches}, units)
}

// pieceCloth is the cloth of a piece: as it was measured, else as it is planned.
func pieceCloth(s making.Shelf, p stash.Piece, units measure.System) picture.Cloth {
	d := s.Drawn(p)
	return clothOf(p.Name, d.Width, d.Length, p.Plan.Spec, d.Bands,
		[2]int{d.Bunches, d.OtherBunches}, units)
}

// fringeOf is the fringe of an end, which is in bunches unless it is left raw.
func fringeOf(e stash.Edge, bunches int) picture.Fringe {
	if planner.FringeCalled(string(e.Finish)) == planner.Raw {
		bunches = 0
	}
	return picture.Fringe{Length: e.Fringe(), Bunches: bunches}
}

func clothOf(name string, width, length measure.Length, b stash.ProjectFacts, bands []fit.Band,
	bunches [2]int, units measure.System) picture.Cloth {
	first, other := b.Edges()
	c := picture.Cloth{Title: stash.Clean(name), Width: width, Length: length,
		Fringe: fringeOf(first, bunches[0]), Other: fringeOf(other, bunches[1]), Units: units}
	if len(bands) < 2 || b.StripeRule == stash.StripesMixed {
		c.Unlaid = len(b.Stripes) > 1 && b.StripeRule != stash.StripesMixed
		return c
	}
	c.Hexes = map[string]string{}
	for _, band := range bands {
		label := stash.Clean(band.Colour)
		c.Stripes = append(c.Stripes, picture.Stripe{Label: label, Ends: band.Ends})
		if hex, known := wif.HexOf(label); known {
			c.Hexes[label] = hex
		}
	}
	return c
}
