package main

import (
	"context"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/making"
	"endsmeet/planner/share"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func shareCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "share", Category: groupMaking, ArgsUsage: "PROJECT PROJECT ...",
		Usage: "Plan several projects from one shelf, so that together they are worth most.",
		Description: "A project is worth its priority times its finished cloth, half for being made and half for\n" +
			"its size, in eight steps from the least size to the one wanted. Whole ends, dye lots and people's rules are kept.\n" +
			"The answer is proven to be the best, or says how far from it it may be; Ctrl-C gives the\n" +
			"best so far. What cannot be made is explained, with what to buy.\n" +
			"--open lists what planned pieces and projects lack, what to buy and what you have that would do instead.",
		Flags: recorded(
			&cli.StringSliceFlag{Name: "priority",
				Usage: "how much a project matters, 1 to 9 (usually 1): `PROJECT=N`"},
			&cli.StringSliceFlag{Name: "must",
				Usage: "this `PROJECT` comes before all others; again for more"},
			&cli.StringFlag{Name: "worth",
				Usage: "count by `cloth or piece`: a shawl for more than a mug rug, or every piece alike", Value: string(share.ByCloth)},
			&cli.BoolFlag{Name: "exact",
				Usage: "search until nothing better is possible, however long it takes"},
			&cli.BoolFlag{Name: "reserve",
				Usage: "plan every piece that can be made and keep its yarn for it"},
			&cli.BoolFlag{Name: "open", Usage: "list what to buy for all planned pieces and projects"},
			overrideFlag()),
		Action: action(e, 0, -1, shareShelf),
	}
}

// sharedOut is the JSON shape of `share`.
type sharedOut struct {
	Value  int64          `json:"value"`
	Bound  int64          `json:"bound"`
	Gap    float64        `json:"gap"`
	Proven bool           `json:"proven"`
	Pieces []sharedTo     `json:"pieces"`
	shelf  making.Shelf   `json:"-"`
	units  measure.System `json:"-"`
}

// sharedTo is what comes of one project.
type sharedTo struct {
	Project     string           `json:"project"`
	Priority    int              `json:"priority"`
	Must        bool             `json:"must"`
	Made        bool             `json:"made"`
	Piece       *string          `json:"piece"`
	Width       *measure.Length  `json:"width_mm"`
	Length      *measure.Length  `json:"length_mm"`
	Probability *float64         `json:"probability"`
	Value       int64            `json:"value"`
	Packages    []show.Given     `json:"items"`
	Rivals      []string         `json:"rivals"`
	Why         *string          `json:"why"`
	Buy         []making.Buy     `json:"buy"`
	LeftOut     []making.LeftOut `json:"left_out"`
	Complete    bool             `json:"all_lots_considered"`
	Cautions    []show.Caution   `json:"cautions"`
	// Verdicts is null where nothing single can be judged: it cannot be made, and
	// names no yarn or gives way to others.
	Verdicts *verdict.Verdict `json:"verdicts"`

	piece share.Piece
	about show.Recipient
}

func shareShelf(k *call) error {
	if k.Bool("open") {
		if k.NArg() > 0 || k.Bool("reserve") {
			return stash.Refuse(stash.CodeUsage, "give one or the other",
				"--open takes all that is planned, and no names")
		}
		return k.buyList()
	}
	if k.NArg() == 0 {
		return tooFew(k.Context)
	}
	// Ctrl-C ends the solving, not the reading and telling after it.
	breakable := k.ctx
	k.ctx = context.WithoutCancel(k.ctx)
	do := k.view
	if k.Bool("reserve") {
		do = k.act
	}
	return do(func(tx *sqlite.Tx) error {
		wants, err := k.wants(tx)
		if err != nil {
			return err
		}
		shelf, err := k.wantsShelf(tx, wants)
		if err != nil {
			return err
		}
		plan, err := k.shareOut(breakable, shelf, wants)
		if err != nil {
			return projectProblem(err)
		}
		shape, err := k.sharedShape(tx, shelf, plan)
		if err != nil {
			return err
		}
		if k.Bool("reserve") {
			if err := k.reserveAll(tx, &shape); err != nil {
				return err
			}
		}
		return k.answer(shape, shape.print)
	})
}

// wantsShelf is the shelf with the yarn of all that is wanted.
func (k *call) wantsShelf(tx *sqlite.Tx, wants []share.Want) (making.Shelf, error) {
	var projects []stash.ProjectFacts
	for _, w := range wants {
		projects = append(projects, w.Project.ProjectFacts)
	}
	shelf, err := projectsShelf(tx, projects)
	for _, w := range wants {
		if err == nil {
			shelf, err = k.ownShelf(tx, shelf, w.Project)
		}
	}
	return shelf, err
}

// shareNodes is how far the sharing is searched without --exact: a second or so.
const shareNodes = 1_200_000

// shareOut solves, and on Ctrl-C goes on with the best so far, which is shown
// but not reserved.
func (k *call) shareOut(breakable context.Context, shelf making.Shelf,
	wants []share.Want) (share.Plan, error) {
	nodes := shareNodes
	if k.Bool("exact") {
		nodes = 0
	}
	by := share.Worth(k.String("worth"))
	if by != share.ByCloth && by != share.ByPiece {
		return share.Plan{}, stash.Refuse(stash.CodeUsage, "--worth cloth or --worth piece",
			"%q is not one of cloth, piece", stash.Clean(string(by)))
	}
	plan, err := share.Allot(breakable, shelf, wants, by, nodes)
	broken := err == nil && !plan.Proven && breakable.Err() != nil
	if broken && k.Bool("reserve") {
		return plan, stash.Refuse(stash.CodeRefused, "without --reserve it shows the best so far",
			"broken off, and nothing was reserved")
	}
	if broken {
		k.note("broken off: this is the best so far")
	}
	return plan, err
}

// wants reads the projects and their priorities.
func (k *call) wants(tx *sqlite.Tx) ([]share.Want, error) {
	var wants []share.Want
	for _, word := range k.Args().Slice() {
		b, err := tx.FindProject(word)
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(wants, func(w share.Want) bool { return w.Project.ID == b.ID }) {
			return nil, stash.Refuse(stash.CodeUsage,
				"name each once; for two of a kind set its pieces, or write a second project",
				"the project %s is named twice", b.Name)
		}
		w := share.Want{Project: b, Priority: 1, Aside: k.String("override") != ""}
		whom, err := whomFor(tx, b.For)
		if err != nil {
			return nil, err
		}
		w.Person, w.Elsewhere = whom.Person, whom.Elsewhere
		wants = append(wants, w)
	}
	return wants, k.priorities(tx, wants)
}

func (k *call) priorities(tx *sqlite.Tx, wants []share.Want) error {
	for _, text := range k.StringSlice("priority") {
		at := strings.LastIndex(text, "=")
		n, err := strconv.Atoi(strings.TrimSpace(text[at+1:]))
		if at < 1 || err != nil || n < 1 || n > 9 {
			return &stash.ValueError{Field: "--priority", Value: text,
				Problem: "a project and a number from 1 to 9 are wanted",
				Hint:    `such as --priority "blue scarf=3"`}
		}
		w, err := wantNamed(tx, wants, "--priority", text[:at])
		if err != nil {
			return err
		}
		w.Priority = n
	}
	for _, name := range k.StringSlice("must") {
		w, err := wantNamed(tx, wants, "--must", name)
		if err != nil {
			return err
		}
		w.Must = true
	}
	return nil
}

// wantNamed finds the want that an option names.
func wantNamed(tx *sqlite.Tx, wants []share.Want, option, name string) (*share.Want, error) {
	b, err := tx.FindProject(name)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(wants, func(w share.Want) bool { return w.Project.ID == b.ID })
	if i < 0 {
		return nil, stash.Refuse(stash.CodeUsage, "name it among the projects too",
			"%s: %s is not among the projects", option, b.Name)
	}
	return &wants[i], nil
}

func (k *call) sharedShape(tx *sqlite.Tx, shelf making.Shelf, plan share.Plan) (sharedOut, error) {
	out := sharedOut{Value: plan.Value, Bound: plan.Bound, Gap: plan.Gap, Proven: plan.Proven,
		shelf: shelf, units: k.units}
	for _, p := range plan.Pieces {
		one := sharedTo{
			Project: p.Want.Project.Name, Priority: p.Want.Priority, Must: p.Want.Must,
			Made: p.Made, Value: p.Value, Rivals: p.Rivals,
			Why: stash.Known(p.Why), Buy: append([]making.Buy{}, p.Buys...),
			LeftOut: append([]making.LeftOut{}, p.LeftOut...), Complete: p.Complete,
			piece: p,
		}
		tell := one.judge
		if p.Made {
			tell = one.fill
		}
		if err := tell(tx, shelf, p); err != nil {
			return out, err
		}
		out.Pieces = append(out.Pieces, one)
	}
	return out, nil
}

// fill tells of a piece that can be made.
func (a *sharedTo) fill(tx *sqlite.Tx, shelf making.Shelf, p share.Piece) error {
	o := p.Outcome
	a.Width, a.Length, a.Packages = &o.Needs.FinishedWidth, &o.Needs.FinishedLength,
		givenBy(shelf, o.Allotments)
	probability := float64(int(o.Probability*1e4+0.5)) / 1e4
	a.Probability = &probability
	var err error
	a.about, err = recipientOf(tx, shelf, o.Project)
	if err != nil {
		return err
	}
	a.Cautions = a.about.CautionsJSON()
	v := verdict.OfPlan(shelf, o, a.about.Whom)
	a.Verdicts = &v
	return nil
}

// judge says of a piece that cannot be made, though no other takes its yarn, what
// a plan for it would say.
func (a *sharedTo) judge(tx *sqlite.Tx, shelf making.Shelf, p share.Piece) error {
	b := p.Want.Project.ProjectFacts
	if len(p.Rivals) > 0 || len(b.Warp) == 0 || len(b.Weft) == 0 {
		return nil
	}
	whom, err := whomFor(tx, b.For)
	if err != nil {
		return err
	}
	if o, err := making.Plan(shelf, b); err == nil {
		v := verdict.OfPlan(shelf, o, whom)
		a.Verdicts = &v
	}
	return nil
}

// reserveAll plans every piece that can be made.
func (k *call) reserveAll(tx *sqlite.Tx, a *sharedOut) error {
	for i := range a.Pieces {
		p := &a.Pieces[i]
		if !p.Made {
			continue
		}
		if err := k.refused(*p.Verdicts, nil); err != nil {
			return err
		}
		id, name, err := newPiece(tx, p.piece.Want.Project)
		if err != nil {
			return err
		}
		m := stash.Making{Project: p.piece.Want.Project.ID, Name: name,
			Plan: p.piece.Outcome.Record()}
		if err := k.recordMaking(tx, stash.Draft{Kind: stash.KindPlan, Of: stash.Subject(id),
			Body: m}, *p.Verdicts, p.about.Whom); err != nil {
			return err
		}
		p.Piece = &name
	}
	return nil
}
