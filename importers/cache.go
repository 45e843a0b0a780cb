package importers

import (
	"strings"

	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// cacheSize is how many different texts of a kind are remembered. A sheet uses
// the same few counts and masses again and again, and measure's parsers work
// in exact fractions.
const cacheSize = 8192

// outcome is what a parser said to one text.
type outcome[T any] struct {
	value T
	err   error
}

// putUp is the mass and length of a package as sold.
type putUp struct {
	mass   measure.Mass
	length measure.Length
}

// cache remembers what measure and fibre read.
type cache struct {
	writes  func() written.Style
	masses  map[string]outcome[measure.Mass]
	lengths map[string]outcome[measure.Length]
	counts  map[string]outcome[measure.Reading]
	putUps  map[string]outcome[putUp]
	fibres  map[string]outcome[fibre.Content]
}

func newCache(writes func() written.Style) cache {
	return cache{
		writes:  writes,
		masses:  map[string]outcome[measure.Mass]{},
		lengths: map[string]outcome[measure.Length]{},
		counts:  map[string]outcome[measure.Reading]{},
		putUps:  map[string]outcome[putUp]{},
		fibres:  map[string]outcome[fibre.Content]{},
	}
}

// remembered returns what parse says to text, from known if it was asked before.
func remembered[T any](c cache, known map[string]outcome[T], text string,
	parse func(string) (T, error)) (T, error) {
	if o, ok := known[text]; ok {
		return o.value, o.err
	}
	v, err := written.InHabit(text, c.writes, parse)
	if len(known) < cacheSize {
		known[strings.Clone(text)] = outcome[T]{v, err}
	}
	return v, err
}

func (c cache) mass(text string) (measure.Mass, error) {
	return remembered(c, c.masses, text, measure.ParseMass)
}

func (c cache) length(text string) (measure.Length, error) {
	return remembered(c, c.lengths, text, measure.ParseLength)
}

func (c cache) count(text string) (measure.Reading, error) {
	return remembered(c, c.counts, text, measure.ParseCount)
}

// content returns a list that records share: nobody may change it.
func (c cache) content(text string) (fibre.Content, error) {
	return remembered(c, c.fibres, text, fibre.ParseContent)
}

func (c cache) putUp(text string) (measure.Mass, measure.Length, error) {
	p, err := remembered(c, c.putUps, text, func(s string) (putUp, error) {
		mass, length, err := ParsePutUp(s)
		return putUp{mass, length}, err
	})
	return p.mass, p.length, err
}
