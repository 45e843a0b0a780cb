package stash

import (
	"slices"
	"strings"

	"encoding/json"
	"endsmeet/stash/fibre"
	"time"

	"endsmeet/stash/measure"
)

// Package is one physical unit of one yarn and dye lot, as folded from its
// events.
type Package struct {
	ID PackageID `json:"id"`
	PackageFacts
	// Disputed holds the fields whose values disagree, all values in full.
	Disputed map[string][]json.RawMessage `json:"disputed,omitempty"`
	Account
}

// PackageFacts are the facts of a package. Empty means not recorded.
type PackageFacts struct {
	Yarn   YarnID `json:"yarn,omitempty"`
	Tag    string `json:"tag,omitempty"`
	Form   Form   `json:"form,omitempty"`
	Lot    string `json:"lot,omitempty"`
	Colour string `json:"colour,omitempty"`
	// Swatch is how the colour looks: # and six hexadecimal digits.
	Swatch   string `json:"swatch,omitempty"`
	Bin      string `json:"bin,omitempty"`
	Acquired string `json:"acquired,omitempty"`
	Aired    string `json:"aired,omitempty"`
	Washed   string `json:"washed,omitempty"`
	Frozen   string `json:"frozen,omitempty"`
	Price    *Price `json:"price,omitempty"`
	Source   string `json:"source,omitempty"`
	Note     string `json:"note,omitempty"`
	Tare     *Tare  `json:"tare,omitempty"`
	// Longest is the greatest usable length of one piece of the yarn, where
	// it is cut (thrums) or knotted; zero means that it runs through.
	Longest measure.Length `json:"longest,omitempty"`
	// LengthDoubt is what somebody says of how far its length may be off, as one relative
	// standard uncertainty of all there is in it.
	LengthDoubt measure.Ratio `json:"length_doubt,omitempty"`
	// Knots is how many knots there are, so the package is in Knots+1 lengths.
	Knots      int         `json:"knots,omitempty"`
	Quarantine *Quarantine `json:"quarantine,omitempty"`
	Reserve    *Reserve    `json:"reserve,omitempty"`
	// Row is the row of an import that the package came from. It is a fact like
	// the others, though nobody types it: undoing the import or a correction
	// takes it back, and another machine learns it.
	Row *Row `json:"row,omitempty"`
}

// CutColour takes the colour off the name of a yarn: what stands behind the last comma, if
// that is words alone.
func CutColour(name string) (base, colour string, ok bool) {
	i := strings.LastIndexByte(name, ',')
	if i < 0 || strings.ContainsAny(name[i:], "0123456789%()") {
		return name, "", false
	}
	return strings.TrimSpace(name[:i]), strings.TrimSpace(name[i+1:]), true
}

// ColourOf is the colour of a package of a yarn of that name: as it was recorded,
// else what stands behind the last comma of the name, if that is words alone.
func (p PackageFacts) ColourOf(yarn string) string {
	if p.Colour != "" {
		return p.Colour
	}
	_, colour, _ := CutColour(yarn)
	return colour
}

// DyeLot names the packages of one yarn, colour and dye lot.
type DyeLot struct {
	Yarn        YarnID
	Colour, Dye string
}

// noLot are words that stand where a dye lot would, of yarn that has none to ask for.
var noLot = []string{"hand", "mixed", "various", "assorted", "unknown", "not known", "none", "no lot",
	"one only", "one off", "one-off", "unique", "own", "n/a", "undyed", "natural", "lost"}

// LotToAskFor is a dye lot that a seller can be asked for: empty where the words say that
// there is none, and no number stands with them.
func LotToAskFor(lot string) string {
	words := strings.ToLower(lot)
	if strings.ContainsAny(lot, "0123456789") || !slices.ContainsFunc(noLot, func(word string) bool {
		return strings.HasPrefix(words, word) || strings.Contains(words, " "+word)
	}) {
		return lot
	}
	return ""
}

// InLot is the dye lot that a package belongs to.
func (p *Package) InLot() DyeLot { return DyeLot{p.Yarn, p.Colour, p.Lot} }

// Empty says that a package was weighed and holds nothing: it needs no care, and none
// of it is idle.
func (p Package) Empty() bool { return p.Known && p.Held <= 0 }

// The places of the words that stand with a package.
const (
	BesideNote    = "a note"
	BesideColour  = "its colour"
	BesideBin     = "where you keep it"
	BesideName    = "its name"
	BesideOwnNote = "its note"
	BesideOdour   = "its odour"
	BesideSource  = "its source"
	BesideWash    = "its washing"
	BesideAway    = "its quarantine"
)

// Beside gives the texts that stand with a package and speak of a fibre or a hazard.
func (p PackageFacts) Beside() []Beside {
	var out []Beside
	words := []Beside{{BesideNote, p.Note}, {BesideColour, p.Colour}, {BesideBin, p.Bin},
		{BesideSource, p.Source}}
	if p.Quarantine != nil {
		words = append(words, Beside{BesideAway, p.Quarantine.Reason})
	}
	for _, b := range words {
		if len(fibre.Mentions(b.Text)) > 0 {
			out = append(out, b)
		}
	}
	return out
}

// Account is what a package received, where it went and what it holds.
// Received + In = Held + Used + Discarded + Given + Unexplained + Out, always.
type Account struct {
	// Known is false until the package has been weighed once.
	Known bool `json:"known"`
	// Since is when its weight was first known, and Before what had left it by then,
	// which is part of Received.
	Since       time.Time    `json:"since,omitzero"`
	Before      measure.Mass `json:"before_mg,omitempty"`
	Received    measure.Mass `json:"received_mg"`
	In          measure.Mass `json:"in_mg,omitempty"`
	Held        measure.Mass `json:"held_mg"`
	Used        measure.Mass `json:"used_mg,omitempty"`
	Discarded   measure.Mass `json:"discarded_mg,omitempty"`
	Given       measure.Mass `json:"given_mg,omitempty"`
	Unexplained measure.Mass `json:"unexplained_mg,omitempty"`
	Out         measure.Mass `json:"out_mg,omitempty"`
	// Salvaged is the part of In that is thrums out of a piece; the rest of
	// In was wound from another package.
	Salvaged measure.Mass `json:"salvaged_mg,omitempty"`
	// UsedIn is the part of Used for each piece.
	UsedIn map[PieceID]measure.Mass `json:"used_in,omitempty"`
	// Feeds are the pieces that it went onto the loom for and that are not
	// finished, the first started first.
	Feeds []Feed `json:"feeds,omitempty"`
	// Step is the resolution of the scale at the last weighing.
	Step measure.Mass `json:"step_mg,omitempty"`
	// OwnTare says that the last reading does not hang on the tare fact.
	OwnTare bool      `json:"own_tare,omitempty"`
	Weighed time.Time `json:"weighed,omitzero"`
	Moved   time.Time `json:"moved,omitzero"`
	LentTo  string    `json:"lent_to,omitempty"`
	LentAt  time.Time `json:"lent_at,omitzero"`
	// LentUntil is the day on which it should be back, empty where none was said.
	LentUntil string    `json:"lent_until,omitempty"`
	Retired   bool      `json:"retired,omitempty"`
	Arrived   time.Time `json:"arrived,omitzero"`
	// Apart are the movements of one day, a weighing among them, that were recorded
	// without knowledge of each other and that no weighing since has settled.
	Apart    []EventID `json:"apart,omitempty"`
	Newer    bool      `json:"newer,omitempty"`
	Question []string  `json:"question,omitempty"`
	// Namesake says that another package on the shelf bears the same tag. It is
	// found out when a package is read.
	Namesake bool `json:"-"`
	// Heads are the last movements, which the next one names as replaced.
	Heads []EventID `json:"heads,omitempty"`
	// Last is the place of the last movement folded.
	Last Place `json:"last"`
	// readings counts the readings of a scale folded since it was decoded.
	readings int
}

// Reweigh says that only the scale can tell what it holds.
func (a Account) Reweigh() bool { return len(a.Apart) > 0 }

// Overdrawn says that more was taken than the package is known to have held.
func (p Package) Overdrawn() bool { return p.Known && p.Held < 0 }

// Loose is the part of what was used that went into no piece.
func (a Account) Loose() measure.Mass {
	loose := a.Used
	for _, m := range a.UsedIn {
		loose -= m
	}
	return loose
}

// Balanced says whether the account adds up.
func (a Account) Balanced() bool {
	return a.Received+a.In == a.Held+a.Used+a.Discarded+a.Given+a.Unexplained+a.Out
}
