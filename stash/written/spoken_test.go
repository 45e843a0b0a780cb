package written_test

import (
	"testing"
	"time"

	"endsmeet/stash/written"
)

func TestDaysToldFromToday(t *testing.T) {
	today := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	for text, want := range map[string]string{
		"today": "2026-03-01", "Yesterday": "2026-02-28", "3 days ago": "2026-02-26",
		"1 day ago":   "2026-02-28",
		"-3 days ago": "-3 days ago", "3 weeks ago": "3 weeks ago", "March 2024": "March 2024",
		"": "",
	} {
		if got := written.Absolute(text, today); got != want {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
	}
}
