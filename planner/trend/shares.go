package trend

import (
	"cmp"
	"fmt"
	"slices"

	"endsmeet/stash/fibre"
)

// unsaid is the name of what has no fibre recorded, or no shares.
const unsaid = "not recorded"

type part struct {
	name  string
	share float64
}

// roundingShare is how much the shares of a label may lack of the whole by rounding.
const roundingShare = 0.001

// partsOf shares a yarn out among its fibres. A fibre that may be another, one
// without its share in a blend, and what is missing of the whole are not recorded.
func partsOf(c fibre.Content) []part {
	var out []part
	told := 0.0
	for _, p := range c {
		share := p.Share.Float()
		if share == 0 && len(c) == 1 {
			share = 1
		}
		if p.Doubtful || p.Fibre.Info().Hazards.Has(fibre.UnknownHazard) || share <= 0 {
			continue
		}
		told += share
		out = append(out, part{p.Fibre.Word(), share})
	}
	if told < 1-roundingShare {
		out = append(out, part{unsaid, 1 - told})
	}
	return out
}

// oldest is the age from which years are counted together.
const oldest = 10

func byAge(ages map[int]*Share) []Share {
	var years []int
	for y := range ages {
		years = append(years, y)
	}
	slices.Sort(years)
	var out []Share
	for _, y := range years {
		s := *ages[y]
		s.Name = ageWords(y)
		out = append(out, s)
	}
	return out
}

func ageWords(years int) string {
	switch years {
	case 0:
		return "under a year"
	case 1:
		return "1 year"
	case oldest:
		return fmt.Sprintf("%d years or more", oldest)
	}
	return fmt.Sprintf("%d years", years)
}

// byHeld puts the most held first; what is equal goes by name.
func byHeld(shares map[string]*Share) []Share {
	var out []Share
	for name, s := range shares {
		one := *s
		one.Name = name
		out = append(out, one)
	}
	slices.SortFunc(out, func(a, b Share) int {
		return cmp.Or(cmp.Compare(b.Held, a.Held), cmp.Compare(a.Name, b.Name))
	})
	return out
}
