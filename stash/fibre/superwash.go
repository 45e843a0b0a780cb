package fibre

import (
	"regexp"
	"strings"
	"sync"

	"endsmeet/stash/written"
)

// Treatment is what a text says of wool being superwash: treated not to felt.
type Treatment int

// What it may say.
const (
	TreatmentUnsaid Treatment = iota
	Treated
	// NotTreated is denied, or said and doubted.
	NotTreated
)

// untreated finds a superwash that is denied.
var untreated = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`\b(?:not|non|no|nicht|kein|without|un)[\s-]*superwash|superwash-free`)
})

// TreatmentOf reads what a text says of it.
func TreatmentOf(text string) Treatment {
	text = strings.ToLower(text)
	switch {
	case !strings.Contains(text, "superwash"):
		return TreatmentUnsaid
	case untreated().MatchString(text), written.DoubtsAbout(text, "superwash"):
		return NotTreated
	}
	return Treated
}
