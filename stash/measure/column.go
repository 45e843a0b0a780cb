package measure

import (
	"cmp"
	"slices"
	"strings"

	"endsmeet/stash/written"
)

// Balanced gives masses as a column of a table has them, in whole grams or tenths of an
// ounce, each rounded so that what is printed adds up as the masses do: none is a step
// off its mass (largest remainder). What goes out is given below zero.
func Balanced(sys System, parts ...Mass) []string {
	const scale = 10_000_000
	step, places, word := int64(Gram)*scale, 0, " g"
	if sys == Imperial {
		step, places, word = 28_349_523_125, 1, " oz" // a tenth of 28.349523125 g
	}
	return balanced(parts, scale, step, places, word)
}

// Opposite is what Balanced gave of what goes out, as so much.
func Opposite(text string) string {
	switch {
	case strings.HasPrefix(text, "-"):
		return text[1:]
	case strings.Trim(text[:strings.Index(text, " ")], "0.") == "":
		return text
	}
	return "-" + text
}

// BalancedYarn gives lengths of yarn as a column has them, all with as many decimals as
// the longest warrants, and so that what is printed adds up.
func BalancedYarn(sys System, parts ...Length) []string {
	const scale = 1000
	step, word := int64(Metre)*scale, " m"
	if sys == Imperial {
		step, word = 914_400, " yd"
	}
	var most uint64
	for _, l := range parts {
		most = max(most, magnitude(int64(l)))
	}
	places := 0
	switch {
	case most < 10_000:
		step, places = step/100, 2
	case most < 100_000:
		step, places = step/10, 1
	}
	return balanced(parts, scale, step, places, word)
}

// ClothColumn gives lengths of cloth as a column has them, all with a tenth where one
// has it.
func ClothColumn(sys System, parts ...Length) []string {
	tenth := slices.ContainsFunc(parts, func(l Length) bool { return l%Centimetre != 0 })
	out := make([]string, len(parts))
	for i, l := range parts {
		if out[i] = l.Cloth(sys); tenth {
			out[i] = l.ClothTenth(sys)
		}
	}
	return out
}

// ClothTenth is Cloth for a column in which every length has its tenth.
func (l Length) ClothTenth(sys System) string {
	if sys == Imperial {
		return l.Cloth(sys)
	}
	return scaled(int64(l), perCentim, 1) + " cm"
}

// balanced rounds parts to steps by their largest remainders.
func balanced[T ~int64](parts []T, scale, step int64, places int, word string) []string {
	whole, over := make([]int64, len(parts)), make([]int64, len(parts))
	order := make([]int, len(parts))
	var sum, floors int64
	for i, part := range parts {
		n := int64(part) * scale
		whole[i], over[i], order[i] = n/step, n%step, i
		if over[i] < 0 {
			whole[i], over[i] = whole[i]-1, over[i]+step
		}
		sum, floors = sum+n, floors+whole[i]
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(over[b], over[a]) })
	total, _ := mulDiv(sum, 1, step)
	for _, i := range order[:max(0, total-floors)] {
		whole[i]++
	}
	out := make([]string, len(parts))
	for i, n := range whole {
		out[i] = written.Fixed(n, places) + word
	}
	return out
}
