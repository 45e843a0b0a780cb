package intake

import (
	"slices"
	"strings"

	"endsmeet/importers"
	"endsmeet/stash"
	"endsmeet/stash/written"
)

// flagHazards are what sheets write for a hazard of a yarn. Common practice, no
// source.
var flagHazards = map[string]string{
	"latex": "latex", "rubber": "latex", "natural rubber": "latex", "contains latex": "latex",
	"possible latex":    "possible latex",
	"may contain latex": "possible latex",
	"lanolin":           "lanolin", "some lanolin": "lanolin", "greasy": "lanolin",
	"oily": "oil", "oil": "oil", "spinning oil": "oil", "in oil": "oil",
	"metal": "metal", "metallic": "metal",
	"dust": "dust", "dusty": "dust", "loom dust": "dust",
	"loops": "loops", "loops catch": "loops", "catches": "loops", "snags": "loops",
	"long ends": "long ends", "long loose ends": "long ends",
	"prickle": "prickle", "prickly": "prickle", "scratchy": "prickle", "itchy": "prickle",
	"coarse":   "prickle",
	"perished": "perished", "perishes": "perished", "perishing": "perished", "brittle": "perished",
}

// flagOdours are what sheets write for a smell, and what it is of.
var flagOdours = map[string]string{
	"smoke": "smoke", "smoky": "smoke", "smells of smoke": "smoke", "mothball smell": "mothballs",
	"mothballs": "mothballs",
	"musty":     "musty", "perfume": "perfume", "perfumed": "perfume", "smells": "smells",
	"smell": "smells",
}

// flagBleeds are what sheets write for dye that runs.
var flagBleeds = map[string]stash.Answered{
	"bleeds": stash.Yes, "dye runs": stash.Yes, "runs": stash.Yes, "may bleed": stash.May,
	"might bleed": stash.May, "colourfast": stash.No, "does not bleed": stash.No,
}

// builtWords are words in a description and what they say of how a yarn is
// built. A word that others begin or end ("unmercerised") is another word.
var builtWords = map[string]string{
	"plied": "plied", "ply": "plied", "singles": "singles", "cabled": "cabled",
	"woollen": "woollen", "woolen": "woollen", "worsted": "worsted",
	"boucle": "boucle", "bouclé": "boucle", "loop": "loop", "looped": "loop",
	"chenille": "chenille", "brushed": "brushed", "slub": "slub", "slubby": "slub",
	"covered": "covered", "tape": "tape", "ribbon": "tape", "cord": "cord", "eyelash": "eyelash",
	"metallised": "metallised", "metallized": "metallised",
	"mercerised": "mercerised", "mercerized": "mercerised", "paper": "paper", "strips": "strips",
	"handspun": "handspun", "gradient": "gradient",
}

// partWords are those that mean something only where they stand alone between
// commas: a linen is "line" or "tow".
var partWords = map[string]string{"tow": "tow", "line": "line", "core-spun": "core-spun",
	"core spun": "core-spun"}

// built reads the words for how a yarn is built out of a description, and the
// plies of a count, in the order of stash.Constructions.
func built(r *importers.Record) []string {
	seen := map[string]bool{}
	for part := range strings.SplitSeq(strings.ToLower(r.Construction), ",") {
		seen[partWords[strings.TrimSpace(part)]] = true
		for _, word := range strings.FieldsFunc(part,
			func(c rune) bool { return c == ' ' || c == ';' || c == '/' || c == '(' || c == ')' }) {
			seen[builtWord(word)] = true
		}
	}
	if seen["worsted"] && strings.Contains(strings.ToLower(r.Construction), "woollen") {
		seen["worsted"] = false
	}
	switch plies := writtenCount(r).Plies; {
	case plies == 1:
		seen["singles"] = true
	case plies > 1:
		seen["plied"] = true
	}
	if seen["plied"] {
		seen["singles"] = false
	}
	var out []string
	for _, c := range stash.Constructions {
		if seen[c.Word] {
			out = append(out, c.Word)
		}
	}
	return out
}

// builtWord reads one word: also "2-ply" and "woollen-spun".
func builtWord(word string) string {
	if first, last, two := strings.Cut(word, "-"); two {
		switch {
		case last == "ply" && first == "1":
			return "singles"
		case last == "ply" && first != "" && strings.Trim(first, "0123456789") == "":
			return "plied"
		case last == "spun":
			return builtWords[first]
		}
	}
	return builtWords[word]
}

// guessWords in a remark say that a tare was not weighed, beside those of doubt.
var guessWords = []string{"never weighed", "not weighed", "assumed", "unknown"}

// tareGuessed says whether a row calls its tare a guess.
func tareGuessed(r *importers.Record) bool {
	for _, text := range remarks(r) {
		lower := strings.ToLower(text)
		says := func(word string) bool { return strings.Contains(lower, word) }
		if says("tare") && (written.Doubts(text) || slices.ContainsFunc(guessWords, says)) {
			return true
		}
	}
	return false
}

// headedRemarks are the texts of a row that speak of anything, behind the headings under
// which they stand.
func headedRemarks(r *importers.Record) []string {
	out := slices.Clone(r.Flags)
	for _, n := range r.Notes {
		if !importers.SaysNo(n.Text) {
			out = append(out, strings.TrimSpace(n.Heading+" "+n.Text))
		}
	}
	return out
}

// remarks are the texts of a row that speak of anything.
func remarks(r *importers.Record) []string {
	out := append([]string(nil), r.Flags...)
	for _, n := range r.Notes {
		out = append(out, n.Text)
	}
	return out
}
