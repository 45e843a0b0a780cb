package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/unmarked"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

func unmarkedCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "unmarked", Category: groupLooking, ArgsUsage: "[ITEM|YARN]",
		Usage: "See which yarns lack a fibre or a count, and which test tells most next.",
		Description: "With a name it lists what to measure and which tests to make, those first that tell most, with how they\n" +
			"can hurt, and what each answer would decide: whose rules it answers, and what can be reckoned with then. No test makes sure.",
		Flags:  []cli.Flag{sumsFlag()},
		Action: action(e, 0, 1, unmarkedYarn),
	}
}

func unmarkedYarn(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		only, err := k.oneYarn(tx)
		if err != nil {
			return err
		}
		shapes, err := unmarkedYarns(tx, only)
		if err != nil {
			return err
		}
		sums := only != "" && k.Bool("sums")
		return k.answerOfShelf(tx, shapes, func(w io.Writer) {
			show.PrintUnmarked(w, shapes, only != "", sums, k.units)
		})
	})
}

// unmarkedYarns are the yarns on the shelf that lack something; where only one is asked about,
// that one, with the tests to make of it.
func unmarkedYarns(tx *sqlite.Tx, only stash.YarnID) (shapes []show.UnmarkedShape, err error) {
	s, err := newShelf(tx)
	if err != nil {
		return nil, err
	}
	there, err := itemsOfYarns(tx)
	if err != nil {
		return nil, err
	}
	yarns, err := tx.Yarns()
	if err != nil {
		return nil, err
	}
	everybody, err := tx.People()
	if err != nil {
		return nil, err
	}
	for _, y := range yarns {
		if only != "" && y.ID != only {
			continue
		}
		one := unmarkedOf(s, y, there[y.ID])
		if only != "" {
			one.Tests = testsOf(s.Yarns[y.ID], yarns, everybody)
			askedByRules(s.Yarns[y.ID], everybody, &one)
		} else if len(one.Lacks) == 0 || len(one.Items) == 0 {
			continue
		}
		shapes = append(shapes, one)
	}
	return shapes, nil
}

// itemsOfYarns are the items of each yarn, and what they hold.
func itemsOfYarns(tx *sqlite.Tx) (map[stash.YarnID]itemsOf, error) {
	there := map[stash.YarnID]itemsOf{}
	return there, tx.EachPackage(true, func(p stash.Package) error {
		of := there[p.Yarn]
		of.labels, of.net = append(of.labels, p.Label()), of.net+max(0, p.Held)
		there[p.Yarn] = of
		return nil
	})
}

// oneYarn is the yarn that is named, by itself or by an item; empty for none.
func (k *call) oneYarn(tx *sqlite.Tx) (stash.YarnID, error) {
	name := k.Args().First()
	if name == "" {
		return "", nil
	}
	ids, err := tx.FindPackages(name)
	if err != nil {
		return "", err
	}
	p, _, err := tx.Package(ids[0])
	return p.Yarn, err
}

// itemsOf are the items of a yarn, and what they hold.
type itemsOf struct {
	labels []string
	net    measure.Mass
}

// unmarkedOf says what a yarn lacks and what to measure of it.
func unmarkedOf(s *shelf, y stash.Yarn, there itemsOf) show.UnmarkedShape {
	one := show.UnmarkedShape{Yarn: y.Name, Items: there.labels, Net: there.net}
	name := y.Name
	if y.Fibre.Unknown() {
		one.Lacks = append(one.Lacks, "fibre: "+y.Fibre.String())
	}
	if words := unmarked.NotedWords(y.YarnFacts); words != "" {
		one.Noted = &words
		if fibre := unmarked.NotedFibre(y.YarnFacts); fibre != "" {
			one.Do = append(one.Do, show.MeasureStep{What: words, Settles: "whom to ask",
				Do: stash.Command("set", name, "fibre="+fibre)})
		}
	}
	one.Lacks, one.Do = lackingCount(s, y, one.Lacks, one.Do)
	if y.Fit == "" {
		one.Do = append(one.Do, show.MeasureStep{What: "Tug a length until it breaks, rub one to and fro over a table edge; try both ends of an old, sunned or dark yarn.",
			Settles: "whether it can be warp", Do: stash.Command("set", name, "fit=warp")})
	}
	return one
}

// lackingCount adds what a yarn's count lacks, and what measuring it would leave of the doubt.
func lackingCount(s *shelf, y stash.Yarn, lacks []string, do []show.MeasureStep) ([]string,
	[]show.MeasureStep) {
	sample := stash.Command("set", y.Name, "count="+unmarked.TenMetresWeighed)
	then := func(from measure.Source) string { return y.DoubtFrom(from, s.Settings.Doubts).String() }
	switch source := s.sourceOf(y); {
	case s.Yarns[y.ID].Tex() == 0:
		return append(lacks, "count"), append(do,
			show.MeasureStep{What: unmarked.TenMetres + "; wind them without stretching.", Do: sample,
				Settles: "its length, to about " + then(measure.WeighedSample) +
					", and with it plan, fits and share"},
			show.MeasureStep{What: "Without such a scale: wrap it round a ruler for an inch, just touching.",
				Settles: "its length, to about " + then(measure.Wraps) + ", which plans little",
				Do:      stash.Command("set", y.Name, "count=N wpi")})
	case source == measure.Guess || source == measure.Wraps:
		return append(lacks, "count that was measured"), append(do,
			show.MeasureStep{What: unmarked.TenMetres + ".", Do: sample, Settles: "its length, to about " +
				then(measure.WeighedSample) + " in place of " + y.CountDoubt(s.Settings.Doubts).String()})
	}
	return lacks, do
}

// sourceOf is where the count of a yarn is from.
func (s *shelf) sourceOf(y stash.Yarn) measure.Source {
	if y.Count == nil {
		return measure.SourceUnknown
	}
	return y.Count.Source
}

// askedByRules adds what the rules of people ask of a yarn and neither a test nor a measure in
// the answer tells; of fibre that no test tells more of, who could.
func askedByRules(y stash.Yarn, everybody []stash.Person, one *show.UnmarkedShape) {
	steps := unmarked.Steps(y, everybody)
	if y.Fibre.Unknown() && !slices.ContainsFunc(steps,
		func(step unmarked.Step) bool { return step.Field == "fibre" }) {
		steps = append(steps, unmarked.FibreStep())
	}
	tests := slices.ContainsFunc(one.Tests, func(t show.TestShape) bool {
		return slices.ContainsFunc(t.Signs, func(s show.SignShape) bool {
			return s.Record != nil && strings.Contains(*s.Record, "fibre=")
		})
	})
	for _, step := range steps {
		if step.Field == "fibre" && (tests || one.Noted != nil) || step.Field == "count" {
			continue // told above
		}
		m := show.MeasureStep{What: step.What, Settles: "what the yarn is"}
		if len(step.For) > 0 {
			m.Settles = "for " + strings.Join(step.For, "; for ")
		}
		if step.Field != "" {
			m.Do = stash.Command("set", y.Name, step.Field+"="+step.Value)
		}
		one.Do = append(one.Do, m)
	}
}

// testsOf are the tests of a yarn's fibre, with what each answer would decide.
func testsOf(y stash.Yarn, shelf []stash.Yarn, everybody []stash.Person) []show.TestShape {
	var out []show.TestShape
	for _, r := range unmarked.Rank(y.YarnFacts, shelf) {
		one := show.TestShape{Name: r.Name, How: r.How, Bits: float64(int(r.Tells*100+0.5)) / 100,
			Misleads: r.Misleads,
			Cautions: r.Cautions, Source: r.Source}
		for _, sign := range r.Signs {
			shape := show.SignShape{Shows: sign.Shows}
			if words := unmarked.AgainstNoted(y.YarnFacts, sign); words != "" {
				shape.Shows += " (" + words + ")"
			} else if field, value, then, ok := unmarked.Proposal(y.YarnFacts, sign); ok {
				do := stash.Command("set", y.Name, field+"="+value)
				shape.Record = &do
				shape.Settles = settledFor(y, then, everybody)
			}
			one.Signs = append(one.Signs, shape)
		}
		if slices.ContainsFunc(one.Signs, func(s show.SignShape) bool { return s.Record != nil }) {
			out = append(out, one) // else it decides nothing
		}
	}
	return out
}

// settledFor says whose rules would be answered if that were recorded of a yarn, and how.
func settledFor(y stash.Yarn, facts stash.YarnFacts, everybody []stash.Person) []string {
	then := y
	then.YarnFacts = facts
	var out []string
	for _, p := range everybody {
		before, after := people.Suits(p, y).Answer, people.Suits(p, then).Answer
		if before != after && !p.Gone {
			out = append(out, fmt.Sprintf("%s: %s", p.Name, after.Words()))
		}
	}
	slices.Sort(out)
	return out
}
