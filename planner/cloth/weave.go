package cloth

import (
	"strconv"
	"strings"
)

// Weave is how one thread goes over and under the others: the lengths of its
// floats in one repeat, over and under in turn. Warp and weft are taken to
// interlace alike.
type Weave struct {
	Name   string
	floats []int
}

// Common weaves. A satin is named by its ends: each thread passes one and then
// all others.
var (
	Plain      = Weave{"plain weave", []int{1, 1}}
	twill21    = Weave{"2/1 twill", []int{2, 1}}
	twill22    = Weave{"2/2 twill", []int{2, 2}}
	twill13    = Weave{"1/3 twill", []int{1, 3}}
	basket22   = Weave{"2/2 basket", []int{2, 2}}
	satin5     = Weave{"5-end satin", []int{1, 4}}
	satin8     = Weave{"8-end satin", []int{1, 7}}
	fancyTwill = Weave{"5/2/1/2 twill", []int{5, 2, 1, 2}}
)

// Weaves are the weaves that have a name here.
func Weaves() []Weave {
	return []Weave{Plain, twill21, twill22, twill13, basket22, satin5, satin8, fancyTwill}
}

// ParseWeave reads a name from [Weaves], or floats such as "3/1" or
// "5/2/1/2". The error is an [InputError].
func ParseWeave(text string) (Weave, error) {
	text = strings.ToLower(strings.TrimSpace(text))
	for _, w := range Weaves() {
		if text == w.Name || text+" weave" == w.Name {
			return w, nil
		}
	}
	bad := InputError{"weave", strconv.Quote(text) + " is not a weave",
		"write plain, 2/2 twill, 5-end satin, or floats such as 3/1"}
	parts := strings.Split(text, "/")
	floats := make([]int, len(parts))
	for i, p := range parts {
		n, err := strconv.Atoi(p)
		if err != nil || n < 1 || n > 100 {
			return Weave{}, bad
		}
		floats[i] = n
	}
	if len(floats)%2 != 0 || len(floats) > 64 {
		return Weave{}, bad
	}
	return Weave{text, floats}, nil
}

// ends in one repeat.
func (w Weave) ends() int {
	sum := 0
	for _, f := range w.floats {
		sum += f
	}
	return sum
}

// intersections in one repeat: how often the thread changes sides.
func (w Weave) intersections() int { return len(w.floats) }

// firmness is the share of the diameters that ends may take: ends / (ends +
// intersections).
func (w Weave) firmness() float64 {
	return float64(w.ends()) / float64(w.ends()+w.intersections())
}
