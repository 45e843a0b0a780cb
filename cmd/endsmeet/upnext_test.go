package main

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"endsmeet/planner"
	"endsmeet/stash"
)

func TestOnlyWhatIsWrongWithAProjectSaysWhyItCannotBePlanned(t *testing.T) {
	t.Parallel()
	for want, err := range map[string]error{
		"":                    nil,
		"no yarn (name it)":   stash.Refuse(stash.CodeRefused, "name it", "no yarn"),
		"sett: is not given":  planner.InputErrors{{Field: "sett", Problem: "is not given"}},
		"no yarn in the warp": errors.New("fit: no yarn in the warp"),
	} {
		if why, other := whyNot(err); why != want || other != nil {
			t.Errorf("%v: %q, %v", err, why, other)
		}
	}
	for _, err := range []error{context.Canceled, fmt.Errorf("chance: %w", context.DeadlineExceeded),
		errors.New("no such table")} {
		if why, other := whyNot(err); why != "" || !errors.Is(other, err) {
			t.Errorf("%v: %q, %v", err, why, other)
		}
	}
}
