package main

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/importers/wif"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// draftFlags are the options of a project that comes from a weaving draft.
func draftFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "wif",
			Usage: "take stripes, sett, picks and repeat from a draft: `FILE` in WIF 1.1; - is standard input"},
		&cli.StringSliceFlag{Name: "colour",
			Usage: "the yarn for a colour number of the draft: `N=YARN`; again for more"},
	}
}

// draftColour is a colour of a draft with what it is to be woven of.
type draftColour struct {
	wif.Colour
	label string
	refs  []stash.Ref
	how   string // how it was matched
}

// draft reads the draft that --wif names; nil without one.
func (k *call) draft() (*wif.Draft, error) {
	path := k.String("wif")
	if path == "" && k.IsSet("colour") {
		return nil, stash.Refuse(stash.CodeUsage, "give the draft with --wif FILE",
			"--colour is of the colours of a draft")
	}
	if path == "" {
		return nil, nil
	}
	var d *wif.Draft
	if err := k.fromFile(path, func(path string) (err error) {
		d, err = wif.Open(path)
		return tableError(err)
	}); err != nil {
		return nil, err
	}
	for _, n := range d.Notes {
		k.note("%s", n)
	}
	return d, nil
}

// draftFields adds to the fields of a project what a draft says and no option
// does, and tells how its colours were matched.
func (k *call) draftFields(tx *sqlite.Tx, d *wif.Draft, fields stash.Fields) error {
	if d == nil {
		return nil
	}
	colours, err := k.matchColours(tx, d)
	if err != nil {
		return err
	}
	for _, c := range colours {
		k.note("%s", c.words())
	}
	a := adder{fields: fields}
	a.cloth(d, stripesOf(d, colours))
	if refs := refsOfSide(d.Warp, colours); len(refs) > 0 {
		a.set("warp", refs)
	}
	if refs := refsOfSide(d.Weft, colours); len(refs) > 0 {
		a.set("weft", refs)
	}
	return a.err
}

// adder sets fields that are not set yet.
type adder struct {
	fields stash.Fields
	err    error
}

func (a *adder) set(name string, value any) {
	if a.fields[name] != nil || a.err != nil {
		return
	}
	a.fields[name], a.err = json.Marshal(value)
}

// cloth sets what a draft says of the cloth.
func (a *adder) cloth(d *wif.Draft, stripes []stash.Stripe) {
	if len(stripes) > 1 {
		a.set("stripes", stripes)
		a.set("stripe_rule", stash.StripesFixed)
	}
	if d.Warp.Sett != nil {
		a.set("sett", *d.Warp.Sett)
	}
	if d.Weft.Sett != nil {
		a.set("picks", *d.Weft.Sett)
	}
	if d.Warp.Repeat > 0 && d.Warp.Repeat < d.Warp.Threads {
		a.set("repeat", d.Warp.Repeat)
	}
	var parts []string
	if d.Warp.Threads > 0 {
		parts = append(parts, measure.Counted(d.Warp.Threads, "end"))
	}
	if d.Weft.Threads > 0 {
		parts = append(parts, measure.Counted(d.Weft.Threads, "pick"))
	}
	note := "draft of " + strings.Join(parts, " and ")
	if d.Weft.Repeat > 0 && d.Weft.Repeat < d.Weft.Threads {
		note += fmt.Sprintf(", the picks repeat after %d", d.Weft.Repeat)
	}
	a.set("note", note)
}

func (c draftColour) words() string {
	hex := c.Hex
	if hex == "" {
		hex = "no colour given"
	}
	if c.label == "" {
		return fmt.Sprintf("colour %d (%s): no yarn of a known colour is near; give --colour %d=YARN", c.Index, hex, c.Index)
	}
	return fmt.Sprintf("colour %d (%s): %s, %s", c.Index, hex, stash.Clean(c.label), c.how)
}

// name is what the colour is called in the stripes.
func (c draftColour) name() string {
	switch {
	case c.label != "":
		return c.label
	case c.Hex != "":
		return c.Hex
	}
	return "colour " + strconv.Itoa(c.Index)
}

// matchColours matches the colours of a draft by hand, the others with the
// nearest yarn of the stash whose colour is written down; those of the warp with
// one that is not known to be unfit for it.
func (k *call) matchColours(tx *sqlite.Tx, d *wif.Draft) ([]draftColour, error) {
	given, err := k.givenColours(tx, d)
	if err != nil {
		return nil, err
	}
	var out []draftColour
	for _, c := range d.Colours() {
		if hand, ok := given[c.Index]; ok {
			hand.Colour = c
			out = append(out, hand)
			continue
		}
		inWarp := slices.ContainsFunc(d.Warp.ByColour,
			func(r wif.Run) bool { return r.Colour == c })
		yarns, refs, err := k.colouredYarns(tx, inWarp)
		if err != nil {
			return nil, err
		}
		matches, err := wif.Nearest([]wif.Colour{c}, yarns)
		if err != nil {
			return nil, err
		}
		m := draftColour{Colour: c}
		if near := matches[0]; near.Yarn != "" {
			m.label, m.refs = near.Yarn, refs[near.Yarn]
			m.how = nearness(near)
		}
		out = append(out, m)
	}
	return out, nil
}

// farOff is a distance in CIELAB beyond which two colours have little in common
// (common practice, no source).
const farOff = 30

func nearness(m wif.Match) string {
	text := fmt.Sprintf("the nearest, %.1f away (CIELAB; about 2 is what an eye sees)", m.Distance)
	if m.Distance > farOff {
		text += fmt.Sprintf(": far off, give --colour %d=YARN", m.Colour.Index)
	}
	return text
}

// givenColours reads --colour N=YARN.
func (k *call) givenColours(tx *sqlite.Tx, d *wif.Draft) (map[int]draftColour, error) {
	known := map[int]bool{}
	for _, c := range d.Colours() {
		known[c.Index] = true
	}
	out := map[int]draftColour{}
	for _, word := range k.StringSlice("colour") {
		number, name, ok := strings.Cut(word, "=")
		n, err := strconv.Atoi(strings.TrimSpace(number))
		if !ok || err != nil || strings.TrimSpace(name) == "" {
			return nil, stash.Refuse(stash.CodeUsage, "such as --colour 2=Y05",
				"%q is no colour and yarn", stash.Clean(word))
		}
		if !known[n] {
			return nil, stash.Refuse(stash.CodeInput, "its colours are "+numbersOf(d),
				"the draft uses no colour %d", n)
		}
		refs, err := findRefs(tx, []string{name})
		if err != nil {
			return nil, err
		}
		out[n] = draftColour{label: strings.TrimSpace(name), refs: refs, how: "as you say"}
	}
	return out, nil
}

func numbersOf(d *wif.Draft) string {
	var words []string
	for _, c := range d.Colours() {
		words = append(words, strings.TrimSpace(fmt.Sprintf("%d %s", c.Index, c.Hex)))
	}
	return strings.Join(words, ", ")
}

// colouredYarns lists what has a colour that can be seen in its name, of the
// whole stash or what --warp and --weft name, with the packages of each. Warp
// leaves out what is fit for weft only.
func (k *call) colouredYarns(tx *sqlite.Tx, warp bool) ([]wif.Yarn, map[string][]stash.Ref, error) {
	packages, err := k.draftPackages(tx)
	if err != nil {
		return nil, nil, err
	}
	var yarns []wif.Yarn
	refs, owner := map[string][]stash.Ref{}, map[string]stash.YarnID{}
	for _, p := range packages {
		y, _, err := tx.Yarn(p.Yarn)
		if err != nil {
			return nil, nil, err
		}
		label := colourLabel(p, y)
		hex, ok := wif.HexOf(label)
		if by, taken := owner[label]; taken && by != y.ID {
			label = p.Label()
		}
		if !ok || p.Retired || p.Yarn == "" || y.Fit == stash.FitDiscard || warp &&
			y.Fit == stash.FitWeftOnly {
			continue
		}
		if refs[label] == nil {
			yarns, owner[label] = append(yarns, wif.Yarn{Name: label, Hex: hex}), y.ID
		}
		refs[label] = append(refs[label], stash.Ref{Package: p.ID})
	}
	return yarns, refs, nil
}

// colourLabel is what a stripe of a package is called: its colour, or the end of
// its yarn's name that stands behind a comma.
func colourLabel(p stash.Package, y stash.Yarn) string {
	if p.Colour != "" {
		return p.Colour
	}
	return strings.TrimSpace(y.Name[strings.LastIndex(y.Name, ",")+1:])
}

// draftPackages are the packages that --warp and --weft name, else all.
func (k *call) draftPackages(tx *sqlite.Tx) ([]stash.Package, error) {
	words := append(k.StringSlice("warp"), k.StringSlice("weft")...)
	if len(words) == 0 {
		return tx.Packages(true)
	}
	var out []stash.Package
	for _, word := range words {
		ids, err := tx.FindPackages(word)
		if err != nil {
			return nil, err
		}
		for _, id := range ids {
			p, _, err := tx.Package(id)
			if err != nil {
				return nil, err
			}
			out = append(out, p)
		}
	}
	return out, nil
}

// stripesOf gives the runs of the warp, neighbours of one yarn joined.
func stripesOf(d *wif.Draft, colours []draftColour) []stash.Stripe {
	var out []stash.Stripe
	for _, run := range d.Warp.Stripes {
		name := colourOf(colours, run.Colour).name()
		if n := len(out); n > 0 && out[n-1].Colour == name {
			out[n-1].Ends += run.Threads
			continue
		}
		out = append(out, stash.Stripe{Colour: name, Ends: run.Threads})
	}
	return out
}

// refsOfSide gives what a side is to be woven of, each once.
func refsOfSide(s wif.Side, colours []draftColour) []stash.Ref {
	var out []stash.Ref
	for _, run := range s.ByColour {
		for _, ref := range colourOf(colours, run.Colour).refs {
			if !slices.Contains(out, ref) {
				out = append(out, ref)
			}
		}
	}
	return out
}

func colourOf(colours []draftColour, c wif.Colour) draftColour {
	for _, have := range colours {
		if have.Colour == c {
			return have
		}
	}
	return draftColour{Colour: c}
}
