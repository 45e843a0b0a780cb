package label

import (
	"fmt"
	"strings"
	"unicode"

	"endsmeet/stash/measure"
)

// Law stands on every card and label.
const Law = "Labelling law differs by country; nothing here is certified."

// Lot is a dye lot that went into a piece.
type Lot struct {
	Yarn string `json:"yarn"`
	Lot  string `json:"dye_lot"`
}

// Cost is what all the yarn debited to a piece cost.
type Cost struct {
	// Milli is the amount in thousandths of the currency.
	Milli    int64  `json:"milli"`
	Currency string `json:"currency,omitempty"`
	// Unpriced is how many packages had no price; the cost is then a least one.
	Unpriced int `json:"unpriced,omitempty"`
}

// Card is what goes with a piece. Its texts may come from anywhere: every
// renderer makes them harmless. Cost and overrides are the maker's own and
// stay off the small label.
type Card struct {
	Piece  string         `json:"piece"`
	Maker  string         `json:"maker,omitempty"`
	Date   string         `json:"date,omitempty"`
	Width  measure.Length `json:"width_mm,omitempty"`
	Length measure.Length `json:"length_mm,omitempty"`
	Fringe measure.Length `json:"fringe_mm,omitempty"`
	// Pieces is how many pieces of this size came off the warp; the fibre is
	// that of each, lots and cost are those of all of them.
	Pieces      int         `json:"pieces,omitempty"`
	Composition Composition `json:"composition"`
	// Washing is the washing in words.
	Washing  string   `json:"washing,omitempty"`
	Lots     []Lot    `json:"dye_lots,omitempty"`
	Cost     *Cost    `json:"cost,omitempty"`
	Cautions []string `json:"cautions,omitempty"`
	// Overrides are the reasons for which a person's rule was set aside.
	Overrides []string       `json:"overrides,omitempty"`
	System    measure.System `json:"-"`
	// Photo is a JPEG that this program wrote, for a card that is a page; nil for none.
	Photo []byte `json:"-"`
}

// Line is one line of a card: what it is, and its text.
type Line struct{ Name, Text string }

// Lines gives the card's lines in order, harmless, without empty ones. The
// small label leaves out what is the maker's own.
func (c Card) Lines(size Size) []Line {
	lines := []Line{
		{"Fibre", c.Composition.Words()},
		{"Basis", c.Composition.Basis()},
		{"Washing", c.Washing},
		{"Size", c.size()},
	}
	if size != Small {
		lines = append(lines, Line{"Dye lots", c.lots()})
	}
	lines = append(lines, Line{"Made by", c.Maker}, Line{"Date", c.Date})
	if size != Small {
		lines = append(lines, Line{"Yarn cost", c.cost()})
		for _, o := range c.Overrides {
			lines = append(lines, Line{"Overridden", o})
		}
	}
	for _, caution := range c.Cautions {
		lines = append(lines, Line{"Caution", caution})
	}
	lines = append(lines, Line{"Law", Law})
	var out []Line
	for _, l := range lines {
		if l.Text = clean(l.Text); l.Text != "" {
			out = append(out, l)
		}
	}
	return out
}

// title is the card's heading.
func (c Card) title() string {
	if name := clean(c.Piece); name != "" {
		return name
	}
	return "A piece without a name"
}

func (c Card) size() string {
	if c.Width == 0 || c.Length == 0 {
		return ""
	}
	width := c.Width.Cloth(c.System)
	out := width[:strings.LastIndex(width, " ")] + " × " + c.Length.Cloth(c.System)
	if c.Pieces > 1 {
		out = fmt.Sprintf("%d pieces, each %s", c.Pieces, out)
	}
	if c.Fringe > 0 {
		out += ", and a fringe of " + c.Fringe.Cloth(c.System)
	}
	return out
}

func (c Card) lots() string {
	var out []string
	for _, l := range c.Lots {
		lot := l.Lot
		if lot == "" {
			lot = "not recorded"
		}
		out = append(out, l.Yarn+": "+lot)
	}
	return strings.Join(out, "; ")
}

func (c Card) cost() string {
	if c.Cost == nil {
		return ""
	}
	if c.Cost.Milli == 0 && c.Cost.Unpriced > 0 {
		return fmt.Sprintf("not known: %d without a price", c.Cost.Unpriced)
	}
	cents := (c.Cost.Milli + 5) / 10
	out := strings.TrimSpace(fmt.Sprintf("%d.%02d %s", cents/100, cents%100, c.Cost.Currency)) +
		", all the yarn used"
	if c.Cost.Unpriced > 0 {
		return fmt.Sprintf("at least %s; %d without a price", out, c.Cost.Unpriced)
	}
	return out
}

// clean makes a text harmless for a terminal and a page: one line, printable
// characters only, single spaces.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case r == unicode.ReplacementChar, !unicode.IsPrint(r):
			return -1
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}
