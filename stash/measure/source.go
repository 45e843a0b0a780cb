package measure

import "strings"

// Source says where a yarn's count comes from, which is what its doubt hangs
// on. The zero value is SourceUnknown.
type Source int

// The sources of a count.
const (
	SourceUnknown Source = iota
	KnownCount           // a count that the spinner states
	Label                // length and mass on a ball band
	WeighedSample        // a metre or two, cut and weighed
	Balance              // a yarn balance, trimmed until level
	Wraps                // wraps on a ruler
	Handspun             // a handspun skein, measured
	Guess                // by eye
)

// sources holds each source's word and its suggested starting doubt.
//
// Doubts: common practice, no source (the middle where practice gives a
// range), but for the guess, which is from memory. An unknown source is taken for a guess.
var sources = [...]struct {
	word  string
	doubt Ratio
}{
	SourceUnknown: {"", 40 * Percent},
	KnownCount:    {"count", 3 * Percent},
	Label:         {"label", 5 * Percent},
	WeighedSample: {"weighed sample", 5 * Percent},
	Balance:       {"yarn balance", 8 * Percent},
	Wraps:         {"wraps", 30 * Percent},
	Handspun:      {"handspun", 12 * Percent},
	Guess:         {"guess", 40 * Percent},
}

// shortWords are what sources are called for short.
var shortWords = map[string]string{"sample": "weighed sample", "samples": "weighed sample", "weighed samples": "weighed sample", "weighed": "weighed sample",
	"balance": "yarn balance", "band": "label", "ball band": "label", "wpi": "wraps",
	"wrapped": "wraps", "guessed": "guess"}

// Sources lists every known source, surest first.
func Sources() []Source {
	return []Source{KnownCount, Label, WeighedSample, Balance, Handspun, Wraps, Guess}
}

// String gives the source's word, "label" or "yarn balance"; for
// SourceUnknown it is "unknown".
func (s Source) String() string {
	if !s.valid() || s == SourceUnknown {
		return "unknown"
	}
	return sources[s].word
}

func (s Source) valid() bool { return s >= 0 && int(s) < len(sources) }

// StartingDoubt gives the suggested relative standard uncertainty of a count
// from this source, until the weaver's own figures replace it.
func (s Source) StartingDoubt() Ratio {
	if !s.valid() {
		return sources[SourceUnknown].doubt
	}
	return sources[s].doubt
}

// MarshalText writes the source's word; SourceUnknown is empty.
func (s Source) MarshalText() ([]byte, error) {
	if !s.valid() {
		return nil, nil
	}
	return []byte(sources[s].word), nil
}

// UnmarshalText reads a source's word, in any letter case. An unknown word is
// an *Error that lists the words.
func (s *Source) UnmarshalText(text []byte) error {
	word := strings.ToLower(strings.TrimSpace(string(text)))
	if word == "unknown" {
		word = ""
	}
	if full := shortWords[word]; full != "" {
		word = full
	}
	for i, row := range sources {
		if row.word == word {
			*s = Source(i)
			return nil
		}
	}
	return &Error{Input: string(text), Problem: "no such source of a count", Hint: "one of: " +
		sourceWords()}
}

func sourceWords() string {
	var words []string
	for _, s := range Sources() {
		words = append(words, s.String())
	}
	return strings.Join(words, ", ")
}

// Doubts is a weaver's own starting doubt for some sources.
type Doubts map[Source]Ratio

// Of gives the doubt for a source: the weaver's own figure where there is
// one, the suggested one otherwise.
func (d Doubts) Of(s Source) Ratio {
	if own, ok := d[s]; ok {
		return own
	}
	return s.StartingDoubt()
}
