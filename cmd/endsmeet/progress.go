package main

import (
	"fmt"
	"time"

	"github.com/schollz/progressbar/v3"

	"endsmeet/cmd/endsmeet/show"
)

// progress shows how far something has come, on standard error, if that is a
// terminal and it takes longer than half a second.
type progress struct {
	env   *environment
	what  string
	total int
	n     int
	begun time.Time
	bar   *progressbar.ProgressBar
}

// counting begins something of total steps, -1 where nobody knows.
func (k *call) counting(what string, total int) *progress {
	return &progress{env: k.env, what: what, total: total, begun: time.Now()}
}

// Step counts one step.
func (p *progress) Step() {
	if p.n++; !p.env.stderrTTY || p.n%64 != 0 {
		return
	}
	if p.bar == nil && time.Since(p.begun) < show.Patience {
		return
	}
	if p.bar == nil {
		p.bar = progressbar.NewOptions(p.total, progressbar.OptionSetWriter(p.env.stderr),
			progressbar.OptionSetDescription(p.what),
			progressbar.OptionSetWidth(30), progressbar.OptionShowCount(),
			progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish(),
			// The library's own clock would go on drawing when the work is done.
			progressbar.OptionSetSpinnerChangeInterval(0))
	}
	_ = p.bar.Set(p.n)
}

// Done takes the bar away, with what the terminal wrote behind it.
func (p *progress) Done() {
	if p.bar != nil {
		_ = p.bar.Clear()
		fmt.Fprint(p.env.stderr, "\r\x1b[K")
		p.bar = nil
	}
}
