package main

import (
	"math"
	"strconv"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// measures are the lengths that may be measured of a piece.
func measureFields(m *stash.Measures) []struct {
	name, usage string
	into        *measure.Length
} {
	return []struct {
		name, usage string
		into        *measure.Length
	}{
		{"tape", "`LENGTH` the tape read under tension, of one piece or of all on the warp",
			&m.Tape},
		{"off-loom", "`LENGTH` of one piece off the loom, before washing", &m.OffLoom},
		{"length", "finished `LENGTH`, without fringe", &m.Length},
		{"width", "finished `WIDTH`", &m.Width},
		{"off-width", "`WIDTH` off the loom, before washing", &m.OffWidth},
		{"reed-width", "`WIDTH` in the reed", &m.Reed},
		{"waste", "`LENGTH` of warp cut off unwoven, front and back together, without the fringes",
			&m.Waste},
		{"waste-taut", "`LENGTH` of warp left unwoven, front and back together, still under tension, with the fringes", &m.WasteTaut},
		{"wound", "`LENGTH` the warp was really wound, from end to end", &m.Wound},
	}
}

// minutes reads hours, as 6.5 or 6:30; nothing is 0.
func minutes(text string) (int, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0, nil
	}
	whole, rest, clock := strings.Cut(text, ":")
	hours, err := strconv.ParseFloat(strings.Replace(whole, ",", ".", 1), 64)
	part := 0
	if clock && err == nil {
		part, err = strconv.Atoi(rest)
	}
	const most = 10_000
	if err != nil || hours < 0 || hours > most || part < 0 || part > 59 {
		return 0, &stash.ValueError{Field: "--hours", Value: text, Problem: "is no number of hours",
			Hint: "write it as 6.5 or 6:30"}
	}
	return int(math.Round(hours*60)) + part, nil
}
