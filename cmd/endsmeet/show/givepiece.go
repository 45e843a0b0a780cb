package show

import (
	"fmt"
	"strings"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
)

// PassedWords say how a piece went: "sold for 48.00 EUR to the fair".
func PassedWords(x stash.Passing, woven int, who string) string {
	words := "given"
	if x.Price != nil {
		words = "sold for " + strings.TrimSpace(x.Price.Amount()+" "+x.Price.Currency)
	}
	if woven > 1 {
		words = fmt.Sprintf("(%d of %d) %s", x.Number, woven, words)
	}
	if who == "" {
		return words
	}
	return words + " to " + stash.Clean(who)
}

// InHandWords says how many pieces are still here.
func InHandWords(left int) string {
	if left > 0 {
		return fmt.Sprintf("; %d still here", left)
	}
	return ""
}

// Passed is the JSON shape of a piece that was given away or sold.
type Passed struct {
	Piece  string `json:"piece"`
	Number int    `json:"number"`
	// Left is how many of the set are still here.
	Left     int             `json:"left"`
	Price    *stash.Price    `json:"price"`
	Act      stash.Act       `json:"act"`
	Verdicts verdict.Verdict `json:"verdicts"`
}
