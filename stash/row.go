package stash

import (
	"fmt"

	"endsmeet/stash/measure"
)

// Row is a row of an import as it was when a package was made of it, or last
// corrected by it.
type Row struct {
	// Key knows the row again, Content says whether anything in it changed;
	// both are what the importers make of it.
	Key     string `json:"key"`
	Content string `json:"content"`
	// Net is the mass that the row gave for this package, nil for none.
	Net *measure.Mass `json:"net_mg,omitempty"`
}

// Nth is the key of the n-th package that a row gave, counted from 1.
func (r Row) Nth(n int) string {
	if n < 2 {
		return r.Key
	}
	return fmt.Sprintf("%s-%d", r.Key, n)
}
