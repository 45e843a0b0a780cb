package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/unmarked"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

func unmarkedCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "unmarked", Category: groupLooking, ArgsUsage: "[ITEM|YARN]",
		Usage: "See which yarns lack a fibre or a count, and which test tells most next.",
		Description: "With a name it lists what to measure and which tests to make, those first that tell most, with how they\n" +
			"can hurt, and what each answer would settle: whose rules it answers, and what can be reckoned with then. No test makes sure.",
		Action: action(e, 0, 1, unmarkedYarn),
	}
}

// unmarkedShape is the JSON shape of a yarn that lacks something.
type unmarkedShape struct {
	Yarn  string        `json:"yarn"`
	Items []string      `json:"items"`
	Net   measure.Mass  `json:"net_mg"`
	Lacks []string      `json:"lacks"`
	Do    []measureStep `json:"measure"`
	Tests []testShape   `json:"tests"`
}

// measureStep is something to measure, and what it settles.
type measureStep struct {
	What    string `json:"what"`
	Settles string `json:"settles"`
	Do      string `json:"do"`
}

type testShape struct {
	Name     string      `json:"name"`
	How      string      `json:"how"`
	Bits     float64     `json:"tells_bits"`
	Misleads string      `json:"misleads"`
	Cautions []string    `json:"cautions"`
	Signs    []signShape `json:"signs"`
	Source   string      `json:"source"`
}

// signShape is what a test may show, what to record then, and whom it answers.
type signShape struct {
	Shows   string   `json:"shows"`
	Record  *string  `json:"record"`
	Settles []string `json:"settles"`
}

func unmarkedYarn(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		s, err := newShelf(tx)
		if err != nil {
			return err
		}
		packages, err := tx.Packages(true)
		if err != nil {
			return err
		}
		yarns, err := tx.Yarns()
		if err != nil {
			return err
		}
		only, err := k.oneYarn(tx)
		if err != nil {
			return err
		}
		everybody, err := tx.People()
		if err != nil {
			return err
		}
		shapes := []unmarkedShape{}
		for _, y := range yarns {
			if only != "" && y.ID != only {
				continue
			}
			one := unmarkedOf(s, y, packages)
			if only != "" {
				one.Tests = testsOf(y, yarns, everybody)
			} else if len(one.Lacks) == 0 || len(one.Items) == 0 {
				continue
			}
			shapes = append(shapes, one)
		}
		return k.answer(shapes, func(w io.Writer) { printUnmarked(w, shapes, only != "", k.units) })
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

// unmarkedOf says what a yarn lacks and what to measure of it.
func unmarkedOf(s *shelf, y stash.Yarn, packages []stash.Package) unmarkedShape {
	one := unmarkedShape{Yarn: y.Name, Items: []string{}, Lacks: []string{}, Do: []measureStep{},
		Tests: []testShape{}}
	for _, p := range packages {
		if p.Yarn == y.ID {
			one.Items = append(one.Items, p.Label())
			one.Net += max(0, p.Held)
		}
	}
	name := y.Name
	if y.Fibre.Unknown() {
		one.Lacks = append(one.Lacks, "fibre: "+y.Fibre.String())
	}
	source := measure.SourceUnknown
	if y.Count != nil {
		source = y.Count.Source
	}
	switch {
	case s.Yarns[y.ID].Tex() == 0:
		one.Lacks = append(one.Lacks, "count")
		one.Do = append(one.Do, measureStep{"Cut and weigh ten metres on a scale that reads to 0.1 g or finer; wind them without stretching.",
			"its length, to about 5%, and with it plan, fits and share",
			stash.Command("set", name, "count=WEIGHT per 10m, weighed sample")})
		one.Do = append(one.Do, measureStep{"Without such a scale: wrap it round a ruler for an inch, just touching.",
			"its length, to about 30%, which plans little",
			stash.Command("set", name, "count=N wpi")})
	case source == measure.Guess || source == measure.Wraps:
		one.Lacks = append(one.Lacks, "count that was measured")
		one.Do = append(one.Do, measureStep{"Cut and weigh ten metres on a scale that reads to 0.1 g or finer.", "its length, to about 5% in place of 30%",
			stash.Command("set", name, "count=WEIGHT per 10m, weighed sample")})
	}
	if y.Fit == "" {
		one.Do = append(one.Do, measureStep{"Tug a length until it breaks, rub one to and fro over a table edge; try both ends of an old, sunned or dark yarn.",
			"whether it can be warp", stash.Command("set", name, "fit=warp")})
	}
	return one
}

// testsOf are the tests of a yarn's fibre, with what each answer would settle.
func testsOf(y stash.Yarn, shelf []stash.Yarn, everybody []stash.Person) []testShape {
	out := []testShape{}
	if !y.Fibre.Unknown() {
		return out
	}
	for _, r := range unmarked.Rank(y.YarnFacts, shelf) {
		one := testShape{r.Name, r.How, float64(int(r.Tells*100+0.5)) / 100, r.Misleads,
			orEmpty(r.Cautions), []signShape{}, r.Source}
		for _, sign := range r.Signs {
			shape := signShape{Shows: sign.Shows, Settles: []string{}}
			if sign.Leaves != "" {
				do := stash.Command("set", y.Name, "fibre="+string(sign.Leaves))
				shape.Record = &do
				shape.Settles = settledFor(y, sign.Leaves, everybody)
			}
			one.Signs = append(one.Signs, shape)
		}
		out = append(out, one)
	}
	return out
}

// settledFor says whose rules would be answered if the yarn were of a group, and how.
func settledFor(y stash.Yarn, group fibre.ID, everybody []stash.Person) []string {
	then := y
	then.Fibre = fibre.Content{{Fibre: group, Share: measure.Whole}}
	out := []string{}
	for _, p := range everybody {
		before, after := people.Suits(p, y).Answer, people.Suits(p, then).Answer
		if before != after && !p.Gone {
			out = append(out, fmt.Sprintf("%s: %s", p.Name, after.Words()))
		}
	}
	slices.Sort(out)
	return out
}

func printUnmarked(w io.Writer, all []unmarkedShape, one bool, units measure.System) {
	if !one {
		printLacking(w, all, units)
		return
	}
	for _, u := range all {
		fmt.Fprintf(w, "%s: %s, %s\n", stash.Clean(u.Yarn), strings.Join(u.Items, ", "),
			u.Net.Format(units))
		if len(u.Lacks) == 0 && len(u.Do) == 0 {
			fmt.Fprintln(w, "Fibre and count are recorded.")
		}
		for _, m := range u.Do {
			fmt.Fprint(w, "\n"+wrap(m.What, "", pageWidth)+wrap("It settles "+m.Settles+".", "  ",
				pageWidth)+wrap(m.Do, "  ", pageWidth))
		}
		for i, t := range u.Tests {
			printTest(w, i+1, t)
		}
		if len(u.Tests) > 0 {
			fmt.Fprint(w, "\n"+wrap("What a test shows is never sure: \"animal, of unknown kind\" counts as wool for everybody who reacts to it. Ask the person. The chances behind the order are common practice without a source.", "", pageWidth))
		}
	}
}

func printLacking(w io.Writer, all []unmarkedShape, units measure.System) {
	if len(all) == 0 {
		fmt.Fprintln(w, "Every yarn has a fibre and a count that was measured or is from a label.")
		return
	}
	t := newTable("yarn", "items", ">left", "lacks")
	for _, u := range all {
		t.addWrapped(30, cut(stash.Clean(u.Yarn), 26), fewOf(u.Items), u.Net.Format(units),
			strings.Join(u.Lacks, "; "))
	}
	t.print(w)
	fmt.Fprintf(w, "What to do next: %s\n", stash.Command("unmarked", all[0].Items[0]))
}

func fewOf(items []string) string {
	if len(items) > 2 {
		return fmt.Sprintf("%s and %d more", items[0], len(items)-1)
	}
	return strings.Join(items, ", ")
}

func printTest(w io.Writer, n int, t testShape) {
	fmt.Fprint(w, "\n"+wrap(fmt.Sprintf("%d. %s. %s", n, strings.ToUpper(t.Name[:1])+t.Name[1:],
		t.How), "", pageWidth))
	for _, c := range t.Cautions {
		fmt.Fprint(w, wrap("! "+c, "  ", pageWidth))
	}
	for _, s := range t.Signs {
		text := s.Shows
		if s.Record == nil {
			text += ": settles nothing"
		} else if len(s.Settles) > 0 {
			text += " (" + strings.Join(s.Settles, "; ") + ")"
		}
		fmt.Fprint(w, wrap("- "+text, "  ", pageWidth))
		if s.Record != nil {
			fmt.Fprint(w, wrap(*s.Record, "    ", 200))
		}
	}
	fmt.Fprint(w, wrap(t.Misleads+" ["+t.Source+"]", "  ", pageWidth))
}
