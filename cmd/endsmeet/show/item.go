package show

import (
	"fmt"
	"strings"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
)

// Item is a package with its yarn and what is left of it: the JSON shape of
// `list`. Unknown is null.
type Item struct {
	ID     stash.PackageID `json:"id"`
	Tag    string          `json:"tag"`
	Yarn   string          `json:"yarn"`
	YarnID stash.YarnID    `json:"yarn_id"`
	Form   *string         `json:"form"`
	DyeLot *string         `json:"dye_lot"`
	Colour *string         `json:"colour"`
	Bin    *string         `json:"bin"`
	Fibre  []fibreShare    `json:"fibre"`
	Mtex   *measure.Count  `json:"mtex"`
	// MtexBasis is what a learned count rests on, null where it is the recorded one.
	MtexBasis   *string         `json:"mtex_basis"`
	NetMg       *measure.Mass   `json:"net_mg"`
	AvailableMg *measure.Mass   `json:"available_mg"`
	LengthMm    *measure.Length `json:"length_mm"`
	LowMm       *measure.Length `json:"length_low_mm"`
	HighMm      *measure.Length `json:"length_high_mm"`
	Flags       []string        `json:"flags"`
	State       string          `json:"state"`
	// Weighed is the day on which it was weighed last, null where nobody said.
	Weighed *string `json:"weighed"`

	Pack   stash.Package `json:"-"`
	Facts  stash.Yarn    `json:"-"`
	Amount stash.Amount  `json:"-"`
	// Apart is what of it pieces have, where that was asked for.
	Apart stash.Apart `json:"-"`
	// recorded is the yarn without what was learned of its count.
	Recorded stash.Yarn   `json:"-"`
	Learned  *making.Loss `json:"-"`
}

// fibreShare is one fibre of a yarn; its share is null where it is not known.
type fibreShare struct {
	Name    string   `json:"name"`
	Percent *float64 `json:"percent"`
}

// Shares is a content as JSON says it.
func Shares(y stash.Yarn) []fibreShare {
	var out []fibreShare
	for _, part := range y.Fibre {
		out = append(out, shareOf(part))
	}
	return out
}

// Line is the item in one line.
func (it Item) Line(units measure.System) string {
	return fmt.Sprintf("%s: %s", stash.Clean(it.Tag+" "+YarnColour(it.Yarn, it.Colour)),
		it.Left(units))
}

// YarnColour is a yarn and its colour, unless its name holds that.
func YarnColour(yarn string, colour *string) string {
	if colour == nil || strings.Contains(strings.ToLower(yarn), strings.ToLower(*colour)) {
		return yarn
	}
	return yarn + ", " + *colour
}

// Left says how much is left, and how sure that is.
func (it Item) Left(units measure.System) string {
	if !it.Amount.Known {
		return "not weighed yet"
	}
	text := it.Amount.Net.Format(units)
	if it.Pack.Overdrawn() {
		return text + ", more was taken than it held"
	}
	if !it.Amount.LengthKnown {
		return text + ", length not known: no count recorded"
	}
	return text + ", about " + it.Amount.Length.Yarn(units) + " (" + lengthSpan(it.Amount, units) +
		")"
}

func lengthSpan(a stash.Amount, units measure.System) string {
	return a.Low.Yarn(units) + " to " + a.High.Yarn(units)
}

// asks lists what is not recorded of an item and would be worth recording.
func (it Item) asks() []string {
	var out []string
	if len(it.Fibre) == 0 {
		out = append(out, "fibre not recorded: treated as unknown for anybody who reacts to one")
	}
	if it.Mtex == nil {
		out = append(out, "count not recorded: its length is not known until `set` gives one")
	}
	if !it.Amount.Known {
		out = append(out, "not weighed: `"+stash.Command("weigh", it.Tag, "WEIGHT")+"`")
	}
	for _, q := range people.Questions(it.Facts.YarnFacts) {
		out = append(out, stash.Clean(q.Text))
	}
	return out
}

func shareOf(p fibre.Part) fibreShare {
	share := fibreShare{Name: p.Fibre.Word()}
	if p.Doubtful {
		share.Name += "?"
	}
	if p.Share > 0 {
		percent := p.Share.Float() * 100
		share.Percent = &percent
	}
	return share
}
