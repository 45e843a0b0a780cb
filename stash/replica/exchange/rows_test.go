package exchange

import (
	"slices"
	"testing"

	"endsmeet/stash/replica/format"
)

func TestRowsToMerge(t *testing.T) {
	segs := func(sizes ...int64) []format.SegmentName {
		var out []format.SegmentName
		next := int64(1)
		for _, n := range sizes {
			if n > 0 {
				out = append(out, format.SegmentName{Run: format.Run{First: next, Last: next + n - 1}})
			}
			next += max(n, -n)
		}
		return out
	}
	repeat := func(n int, size int64) []int64 { return slices.Repeat([]int64{size}, n) }
	cases := []struct {
		rule string
		segs []format.SegmentName
		want int
	}{
		{"fifteen stay", segs(repeat(15, 1)...), 0},
		{"sixteen are merged", segs(repeat(16, 1)...), 16},
		{"a great one before them stays", segs(append([]int64{16}, repeat(16, 1)...)...), 16},
		{"sixteen of the next level are merged", segs(repeat(16, 20)...), 16},
		{"a hole parts a row", segs(append(append(repeat(10, 1), -1), repeat(10, 1)...)...), 0},
		{"what would be too long is not merged", segs(repeat(16, 4000)...), 0},
		{"small ones among the great go with them", segs(append(repeat(15, 20), 1)...), 16},
	}
	for _, c := range cases {
		t.Run(c.rule, func(t *testing.T) {
			if got := rowOf(c.segs, mergeRun); len(got) != c.want {
				t.Errorf("%d are merged, want %d", len(got), c.want)
			}
		})
	}
}
