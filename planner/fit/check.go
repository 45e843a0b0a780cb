package fit

import (
	"fmt"
	"strings"
)

// UnknownLengthError reports packages that a request relies on and whose length
// nobody knows. No size can be given before they are measured or left out.
type UnknownLengthError struct {
	// Packages are their IDs, in the order of the request.
	Packages []string
	// Measure says for each how to find out.
	Measure []string
}

// Error names each package and how to measure it.
func (e *UnknownLengthError) Error() string {
	lines := make([]string, len(e.Packages))
	for i, id := range e.Packages {
		lines[i] = fmt.Sprintf("length of %s is unknown: %s", id, e.Measure[i])
	}
	return "fit: " + strings.Join(lines, "; ")
}

// defaultMeasure is the advice where a package brings none.
const defaultMeasure = "weigh it, and cut and weigh 10 m for its count, or leave it out"

// check refuses a request that has no answer.
func (r *Request) check() error {
	if r.Geometry == nil {
		return fmt.Errorf("fit: no geometry: say what a size needs")
	}
	if err := r.checkPackages(); err != nil {
		return err
	}
	e := r.Ends
	if e.Modulus < 0 || e.Floats < 0 || e.Strands < 0 || e.Min < 0 || e.Max < 0 || r.Join < 0 ||
		r.Pieces < 0 {
		return fmt.Errorf("fit: modulus, floats, strands, ends, pieces and join must not be below zero")
	}
	return r.Plan.check(r.colours())
}

// checkPackages refuses unusable packages and names those of unknown length.
func (r *Request) checkPackages() error {
	seen := map[string]bool{}
	unknown := &UnknownLengthError{}
	warp := 0
	for i := range r.Packages {
		k := &r.Packages[i]
		switch {
		case k.ID == "" || seen[k.ID]:
			return fmt.Errorf("fit: package %d: ID %q is empty or stands twice", i+1, k.ID)
		case k.Unknown && (k.ForWarp || k.ForWeft):
			unknown.Packages = append(unknown.Packages, k.ID)
			unknown.Measure = append(unknown.Measure, k.how())
		case k.Length < 0 || k.PlusMinus < 0 || k.Knots < 0 || k.Longest < 0 || !(k.Own >= 0):
			return fmt.Errorf("fit: item %s: a length, doubt or count of knots is below zero: weigh it again", k.ID)
		}
		for _, v := range k.Strands {
			if v < 0 {
				return fmt.Errorf("fit: item %s: a strand of %d mm: measure its lengths again",
					k.ID, v)
			}
		}
		seen[k.ID] = true
		if k.ForWarp {
			warp++
		}
	}
	if len(unknown.Packages) > 0 {
		return unknown
	}
	if warp == 0 {
		return fmt.Errorf("fit: no yarn for the warp: name one")
	}
	return nil
}

// how is the package's own advice or the default.
func (k *Package) how() string {
	if k.Measure != "" {
		return k.Measure
	}
	return defaultMeasure
}
