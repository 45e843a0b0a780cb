package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// The facts that may be told when yarn comes in; the tare goes with the weight.
var (
	receiveYarnFacts = stash.Told(stash.WhatYarn)
	receivePackFacts = slices.DeleteFunc(stash.Told(stash.WhatPackage),
		func(name string) bool { return name == "tare" })
)

func receiveCommand(e *environment) *cli.Command {
	flags := append(factFlags(stash.WhatYarn, receiveYarnFacts...),
		factFlags(stash.WhatPackage, receivePackFacts...)...)
	flags = append(flags, readingFlags()...)
	return &cli.Command{
		Name: "receive", Category: groupYarn, ArgsUsage: "[YARN]",
		Usage: "Record yarn that came in: balls, cones, skeins, each by weight.",
		Description: "Every ball, cone and skein is an item of its own. Give --gross or --net once for each,\n" +
			"or --alike N for several that weigh the same. Facts of a yarn are needed only once. `endsmeet help fibres` and\n" +
			"`endsmeet help counts` tell how they are written.\n" + labelHelp,
		Flags: recorded(append(append(flags,
			&cli.BoolFlag{Name: "new",
				Usage: "a new yarn, though its name is like that of one you have, or like a tag"},
			&cli.IntFlag{Name: "alike", Usage: "how many that weigh the same: `N`", Value: 1},
			overrideFlag()),
			labelFlags()...)...),
		Action: action(e, 0, 1, receive),
	}
}

func receive(k *call) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	name, err := k.labelled()
	if err != nil {
		return err
	}
	readings, err := k.readings()
	if err != nil {
		return err
	}
	var packages []stash.PackageID
	return k.act(func(tx *sqlite.Tx) error {
		yarn, err := k.receiveYarn(tx, name, at)
		if err != nil {
			return err
		}
		for i, r := range readings {
			id, err := k.receivePackage(tx, yarn, r, i, len(readings), at)
			if err != nil {
				return err
			}
			packages = append(packages, id)
		}
		return k.answerPackages(tx, packages,
			func(w io.Writer, items []show.Item) { show.Received(w, items, k.units) })
	})
}

// receiveYarn finds the yarn by its name, or records it. Facts given for a
// known yarn must agree with what is recorded.
func (k *call) receiveYarn(tx *sqlite.Tx, name string, at time.Time) (stash.YarnID, error) {
	fields, err := k.facts(stash.WhatYarn, receiveYarnFacts...)
	if err != nil {
		return "", err
	}
	known, found, err := k.yarnOrColour(tx, name)
	if err != nil {
		return "", err
	}
	if found {
		return known.ID, k.agree(tx, known, fields)
	}
	if !k.Bool("new") {
		if err := nearYarn(tx, name); err != nil {
			return "", err
		}
	}
	if fields["name"], err = stash.Value(stash.WhatYarn, "name", name); err != nil {
		return "", err
	}
	id := tx.NewID()
	_, err = tx.Record(stash.Draft{Kind: stash.KindYarn, Of: id, At: at,
		Body: stash.Set{What: stash.WhatYarn, Fields: fields}})
	return stash.YarnID(id), err
}

// yarnOrColour finds the yarn of a name, as it was recorded or as lists show it: with the
// colour of one of its items behind a comma, which is then the colour of what came in.
func (k *call) yarnOrColour(tx *sqlite.Tx, name string) (stash.Yarn, bool, error) {
	y, found, err := tx.YarnCalled(name)
	base, colour, more := stash.CutColour(name)
	if err != nil || found || !more || k.Bool("new") {
		return y, found, err
	}
	if y, found, err = tx.YarnCalled(base); err != nil || !found {
		return y, false, err
	}
	packages, err := tx.PackagesOf(y.ID)
	if err != nil {
		return y, false, err
	}
	given := k.String("colour")
	for _, p := range packages {
		if known := p.ColourOf(y.Name); stash.Fold(known) == stash.Fold(colour) &&
			(given == "" || stash.Fold(given) == stash.Fold(colour)) {
			k.note("%s is a colour of %s, and so taken", stash.Clean(known), stash.Clean(y.Name))
			return y, true, k.Set("colour", known)
		}
	}
	return y, false, stash.Refuse(stash.CodeAmbiguous, "Of another colour of it: `"+
		stash.Command("receive --colour", cmp.Or(given, colour), y.Name)+"`.",
		"There is a yarn %q, and none %q yet.", y.Name, stash.Clean(name)).Unless("new")
}

// taggedOnce gives a package, retired or not, with a tag.
func taggedOnce(tx *sqlite.Tx, tag string) (stash.Package, bool, error) {
	ids, err := tx.FindPackages(tag)
	if err != nil {
		return stash.Package{}, false, nil // nothing is called so
	}
	for _, id := range ids {
		if p, _, err := tx.Package(id); err != nil || strings.EqualFold(p.Tag, tag) {
			return p, err == nil, err
		}
	}
	return stash.Package{}, false, nil
}

// nearYarn asks about the name of a new yarn that is a tag, or nearly the name of
// a yarn that is there.
func nearYarn(tx *sqlite.Tx, name string) error {
	name = stash.Clean(name)
	p, found, err := tx.PackageTagged(name)
	if err == nil && !found {
		p, found, err = taggedOnce(tx, name)
	}
	if err != nil {
		return err
	}
	if found {
		y, _, err := tx.Yarn(p.Yarn)
		return cmp.Or(err, error(stash.Refuse(stash.CodeAmbiguous,
			"More of it is `"+stash.Command("receive", y.Name)+"`.",
			"%q is the tag of %s.", name, y.Name).Unless("new")))
	}
	yarns, err := tx.YarnNames()
	var known stash.Names
	near, ok := "", false
	for _, yarn := range yarns {
		known.Add(yarn)
		if base, _, more := stash.CutColour(yarn); more && stash.Fold(base) == stash.Fold(name) {
			near, ok = yarn, true
		}
	}
	if !ok {
		near, ok = known.Near(name)
	}
	if ok {
		return stash.Refuse(stash.CodeAmbiguous, fmt.Sprintf("Did you mean %q?", near),
			"There is no yarn %q yet.", name).Unless("new")
	}
	return err
}

func (k *call) agree(tx *sqlite.Tx, y stash.Yarn, fields stash.Fields) error {
	facts, err := tx.Facts(stash.Subject(y.ID))
	if err != nil {
		return err
	}
	shown := facts.Shown()
	for name, value := range fields {
		if !stash.SameFact(name, shown[name], value) {
			return stash.Refuse(stash.CodeRefused, "correct it with `"+stash.Command("set", y.Name,
				name+"=...")+"`, or give this yarn another name",
				"%s is recorded already, with another %s", y.Name, name)
		}
	}
	return nil
}

func (k *call) receivePackage(tx *sqlite.Tx, yarn stash.YarnID, r stash.Reading, i, n int,
	at time.Time) (stash.PackageID, error) {
	fields, err := k.facts(stash.WhatPackage, receivePackFacts...)
	if err != nil {
		return "", err
	}
	if fields["yarn"], err = json.Marshal(yarn); err != nil {
		return "", err
	}
	if tag := k.String("tag"); tag != "" && n > 1 {
		fields["tag"], _ = json.Marshal(fmt.Sprintf("%s-%d", tag, i+1))
	}
	if err := tx.TagFree(fields); err != nil {
		return "", err
	}
	if fields.Text("form") == string(stash.FormThrums) && fields["longest"] == nil && i == 0 {
		settings, err := tx.Settings()
		if err != nil {
			return "", err
		}
		k.note("how long its pieces are is not recorded: taken as %s, what usually stays on the loom; `set` gives longest=LENGTH", settings.BackWaste.Cloth(k.units))
	}
	tare, err := k.tareFact(stash.Form(k.String("form")), r)
	if err != nil {
		return "", err
	}
	if tare != nil {
		if r.Gross != nil && *r.Gross < tare.Mass {
			return "", stash.Refuse(stash.CodeInput, "weigh the empty again",
				"the tare %s is above the gross %s", tare.Mass.Format(k.units),
				r.Gross.Format(k.units))
		}
		fields["tare"], _ = json.Marshal(tare)
	}
	id := tx.NewID()
	if _, err = tx.Record(stash.Draft{Kind: stash.KindReceive, Of: id, At: at,
		Body: stash.Receive{Fields: fields, Reading: r}}); err != nil {
		return "", err
	}
	p, _, err := tx.Package(stash.PackageID(id))
	if err == nil {
		err = k.promise(tx, p, fields)
	}
	return p.ID, err
}

// tareFact is the tare given, else the usual one of the form, which is told
// where a gross weight is read with it.
func (k *call) tareFact(form stash.Form, r stash.Reading) (*stash.Tare, error) {
	if text := k.String("tare"); text != "" && text != "unknown" {
		t, err := typed(k, text, stash.ParseTare)
		return &t, err
	}
	t := stash.UsualTare(form)
	if r.Gross == nil && t.Mass == 0 {
		return nil, nil
	}
	if r.Gross != nil && form == "" {
		k.note("no --form and no --tare: all of %s is taken as yarn; `set` gives a form, or the tare of a cone", r.Gross.Format(k.units))
	}
	if r.Gross != nil && t.Source == stash.TareUnknown {
		k.note("tare unknown: taken as %s, give or take %s, as usual for a %s; weigh an empty and `set` it", t.Mass.Format(k.units), t.Spread.Format(k.units), form)
	}
	return &t, nil
}

// readings reads --gross, --net and --scale: one reading for each package, or
// --alike times the one.
func (k *call) readings() ([]stash.Reading, error) {
	gross, net := k.StringSlice("gross"), k.StringSlice("net")
	if len(gross) > 0 && len(net) > 0 {
		return nil, stash.Refuse(stash.CodeUsage, "give one of them, and --tare with --gross",
			"--gross and --net do not go together")
	}
	var out []stash.Reading
	for _, text := range append(gross, net...) {
		mass, err := k.mass(text)
		if err != nil {
			return nil, fmt.Errorf("the weight: %w", err)
		}
		step, err := k.scaleStep()
		if err != nil {
			return nil, err
		}
		r := stash.Reading{Net: &mass, Step: step}
		if len(gross) > 0 {
			r = stash.Reading{Gross: &mass, Step: step}
		}
		out = append(out, r)
	}
	return k.alike(out)
}

func (k *call) alike(readings []stash.Reading) ([]stash.Reading, error) {
	n := k.Int("alike")
	if n < 1 || n > 1000 {
		return nil, stash.Refuse(stash.CodeUsage, "", "--alike takes a number from 1 to 1000")
	}
	if len(readings) == 0 {
		readings = []stash.Reading{{}}
	}
	if n > 1 && len(readings) > 1 {
		return nil, stash.Refuse(stash.CodeUsage,
			"give the weight once for all, or each on its own",
			"--alike and several weights do not go together")
	}
	for len(readings) < n {
		readings = append(readings, readings[0])
	}
	return readings, nil
}

// customaryBase is the count base that is customary for a fibre content.
func customaryBase(fibreText string) (measure.Base, bool) {
	content, err := fibre.ParseContent(fibreText)
	if err != nil || len(fibre.CountBases(content)) == 0 {
		return 0, false
	}
	return fibre.CountBases(content)[0], true
}
