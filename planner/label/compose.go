package label

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"

	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// Use is the mass of one yarn in the finished piece: loom waste excluded, edge
// stitching included.
type Use struct {
	Yarn    string
	Content fibre.Content
	Mass    measure.Mass
	// Measured says that the yarn was weighed before and after; else its mass
	// is computed from lengths. Weighed says so of the yarn alone, whose loom waste may
	// be computed.
	Measured, Weighed bool
	// Dry says that the mass is oven-dry. The agreed allowance of each fibre
	// is then added (Regulation (EU) 1007/2011, Annex IX). A mass from a scale
	// in a room is not dry.
	Dry bool
}

// Share is one fibre of the piece.
type Share struct {
	Fibre fibre.ID `json:"fibre"`
	// Mass is the mass of the fibre in the piece, zero where it is not known.
	Mass measure.Mass `json:"mass_mg,omitempty"`
	// Percent is the whole percentage, nil where none is firm.
	Percent *int `json:"percent"`
	// Of names the yarns that hold it, where the fibre is not known.
	Of []string `json:"of,omitempty"`
}

// Composition is what a piece is made of, the largest fibre first, what is not
// known last.
type Composition struct {
	Shares []Share `json:"shares"`
	// Firm says that every fibre is known, so that the percentages hold.
	Firm bool `json:"firm"`
	// Measured says that every yarn was weighed.
	Measured bool `json:"measured"`
	// Weighed says that of every yarn at least what the piece took was weighed.
	Weighed bool         `json:"-"`
	Mass    measure.Mass `json:"mass_mg"`
}

// tally gathers exact masses by fibre.
type tally struct {
	known   map[fibre.ID]*big.Rat
	unknown map[fibre.ID][]string // with the yarns that hold it
	loose   bool                  // some fibre or share is not known
}

// Compose adds up the fibres of a piece. The error names a yarn whose mass is
// negative or whose dry mass cannot be brought to an agreed one, and a piece
// without any mass.
func Compose(uses []Use) (Composition, error) {
	c := Composition{Firm: true, Measured: true, Weighed: true}
	t := tally{known: map[fibre.ID]*big.Rat{}, unknown: map[fibre.ID][]string{}}
	for _, u := range uses {
		if u.Mass < 0 {
			return Composition{},
				fmt.Errorf("%s: a weight of %s in a piece cannot be (weigh it again)", clean(u.Yarn),
					u.Mass)
		}
		if u.Mass == 0 {
			continue
		}
		c.Mass += u.Mass
		c.Measured = c.Measured && u.Measured
		c.Weighed = c.Weighed && (u.Weighed || u.Measured)
		if err := t.addUse(u); err != nil {
			return Composition{}, err
		}
	}
	if c.Mass == 0 {
		return Composition{}, fmt.Errorf("nothing in the piece has a weight (weigh its yarns, or the piece)")
	}
	c.Firm = !t.loose
	c.Shares = t.shares(c.Firm)
	return c, nil
}

// addUse adds one yarn. A yarn of which anything is not known adds nothing firm:
// its fibres are named, and those not known with the yarn's name.
func (t *tally) addUse(u Use) error {
	if u.Content.Unknown() || total(u.Content) != measure.Whole {
		t.open(u)
		return nil
	}
	weights, err := agreed(u)
	if err != nil {
		return err
	}
	for i, p := range u.Content {
		t.add(p.Fibre, weights[i])
	}
	return nil
}

func total(c fibre.Content) measure.Ratio {
	var sum measure.Ratio
	for _, p := range c {
		sum += p.Share
	}
	return sum
}

func (t *tally) add(id fibre.ID, mass *big.Rat) {
	if t.known[id] == nil {
		t.known[id] = new(big.Rat)
	}
	t.known[id].Add(t.known[id], mass)
}

// open takes a yarn that is not fully known.
func (t *tally) open(u Use) {
	name := cmp.Or(clean(u.Yarn), "a yarn without a name")
	t.loose = true
	for _, p := range u.Content {
		info := p.Fibre.Info()
		if !p.Doubtful && !info.Hazards.Has(fibre.UnknownHazard) {
			mass := big.NewRat(int64(u.Mass)*int64(p.Share), int64(measure.Whole))
			t.add(p.Fibre, mass)
			t.others(p, name)
			continue
		}
		t.unknown[p.Fibre] = append(t.unknown[p.Fibre], name)
	}
	if len(u.Content) == 0 {
		t.unknown[fibre.Unknown] = append(t.unknown[fibre.Unknown], name)
	}
}

// others takes what a fibre's note names beside it: "cotton (rubber core)".
func (t *tally) others(p fibre.Part, name string) {
	for _, m := range p.Others() {
		if m.Fibre != "" && !slices.Contains(t.unknown[m.Fibre], name) {
			t.unknown[m.Fibre] = append(t.unknown[m.Fibre], name)
		}
	}
}

// agreed gives the mass of each fibre of a yarn. The shares of a yarn are by
// agreed mass already, so that of a dry mass M fibre i has
// M·sᵢ / Σ sⱼ/(1+aⱼ), which is M·(1+a) for a single fibre.
func agreed(u Use) ([]*big.Rat, error) {
	dry := new(big.Rat)
	for _, p := range u.Content {
		part := share(p)
		if u.Dry {
			allowances := p.Fibre.Info().Allowances
			if len(allowances) == 0 {
				return nil, fmt.Errorf("%s: no allowance is agreed for %s (give its weight as weighed in the room)", clean(u.Yarn), p.Fibre)
			}
			part.Quo(part, big.NewRat(int64(measure.Whole+allowances[0].Ratio),
				int64(measure.Whole)))
		}
		dry.Add(dry, part)
	}
	out := make([]*big.Rat, len(u.Content))
	for i, p := range u.Content {
		out[i] = new(big.Rat).Mul(share(p), big.NewRat(int64(u.Mass), 1))
		out[i].Quo(out[i], dry)
	}
	return out, nil
}

func share(p fibre.Part) *big.Rat { return big.NewRat(int64(p.Share), int64(measure.Whole)) }

// shares orders the fibres and gives them percentages if they are firm.
func (t *tally) shares(firm bool) []Share {
	ids := make([]fibre.ID, 0, len(t.known))
	for id := range t.known {
		ids = append(ids, id)
	}
	slices.SortFunc(ids, func(a, b fibre.ID) int {
		return cmp.Or(t.known[b].Cmp(t.known[a]), cmp.Compare(a, b))
	})
	percents := t.percents(ids)
	var out []Share
	for i, id := range ids {
		s := Share{Fibre: id, Mass: rounded(t.known[id])}
		if firm {
			s.Percent = &percents[i]
		}
		out = append(out, s)
	}
	return append(out, t.unknownShares()...)
}

func (t *tally) unknownShares() []Share {
	var out []Share
	for id, yarns := range t.unknown {
		slices.Sort(yarns)
		out = append(out, Share{Fibre: id, Of: slices.Compact(yarns)})
	}
	slices.SortFunc(out, func(a, b Share) int { return cmp.Compare(a.Fibre, b.Fibre) })
	return out
}

// percents rounds to whole percent by the largest remainder, so that the sum
// is exactly 100; of equal remainders the larger fibre's counts first.
func (t *tally) percents(ids []fibre.ID) []int {
	sum := new(big.Rat)
	for _, id := range ids {
		sum.Add(sum, t.known[id])
	}
	whole, rest := make([]int, len(ids)), make([]*big.Rat, len(ids))
	left := 100
	if sum.Sign() == 0 {
		return whole
	}
	for i, id := range ids {
		exact := new(big.Rat).Mul(t.known[id], big.NewRat(100, 1))
		exact.Quo(exact, sum)
		floor := new(big.Int).Quo(exact.Num(), exact.Denom())
		whole[i] = int(floor.Int64())
		rest[i] = exact.Sub(exact, new(big.Rat).SetInt(floor))
		left -= whole[i]
	}
	order := make([]int, len(ids))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return rest[b].Cmp(rest[a]) })
	for _, i := range order[:min(left, len(order))] {
		whole[i]++
	}
	return whole
}

// rounded rounds an exact mass to a milligram, half up.
func rounded(r *big.Rat) measure.Mass {
	r = new(big.Rat).Add(r, big.NewRat(1, 2))
	return measure.Mass(new(big.Int).Quo(r.Num(), r.Denom()).Int64())
}

// Words says the composition for a label: "wool 62%, silk 38%". What is not
// known is named, and then there is no percentage.
func (c Composition) Words() string {
	var words []string
	for _, s := range c.Shares {
		words = append(words, s.words())
	}
	if !c.Firm {
		return strings.Join(words, ", ") + ": no firm percentage, a fibre or its share is not known"
	}
	return strings.Join(words, ", ")
}

func (s Share) words() string {
	switch {
	case len(s.Of) > 0:
		name := string(s.Fibre)
		if !s.Fibre.Info().Hazards.Has(fibre.UnknownHazard) {
			name += ", not sure"
		}
		return name + " (" + strings.Join(s.Of, ", ") + ")"
	case s.Percent == nil:
		return string(s.Fibre)
	case *s.Percent == 0:
		return string(s.Fibre) + " under 1%"
	}
	return fmt.Sprintf("%s %d%%", s.Fibre, *s.Percent)
}

// Basis says how the percentages were found.
func (c Composition) Basis() string {
	if c.Measured {
		return "by weight in the finished piece, weighed"
	}
	if c.Weighed {
		return "by weight in the finished piece: yarn weighed, its loom waste computed"
	}
	return "by weight in the finished piece, part of it computed and not weighed"
}
