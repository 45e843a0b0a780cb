package show

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/schollz/progressbar/v3"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/replica/exchange"
)

// SyncBar shows a bar for a step that takes longer than patience, until that
// step is done.
func SyncBar(to io.Writer, clock func() time.Time) func(step string, done, total int64) {
	var bar *progressbar.ProgressBar
	var begun time.Time
	step := ""
	return func(now string, done, total int64) {
		if now != step {
			if bar != nil {
				_ = bar.Clear()
			}
			step, begun, bar = now, clock(), nil
		}
		if now == "" || clock().Sub(begun) < Patience {
			return
		}
		if bar == nil {
			bar = progressbar.NewOptions64(total, progressbar.OptionSetWriter(to),
				progressbar.OptionSetDescription(now),
				progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish(),
				progressbar.OptionSetWidth(30))
		}
		bar.ChangeMax64(total)
		_ = bar.Set64(done)
	}
}

// lastWords says when a machine was last heard of.
func lastWords(at, now time.Time) string {
	if at.IsZero() {
		return ""
	}
	text := at.In(now.Location()).Format("2006-01-02 15:04")
	if at.After(now.Add(10 * time.Minute)) {
		return text + " (its clock)"
	}
	return text
}

// HolderWords names who has seen a thing.
func HolderWords(names []string) string {
	if len(names) == 0 {
		return ""
	}
	return "; seen by " + stash.Clean(strings.Join(names, ", "))
}

// PrintCode prints the code to put away.
func PrintCode(w io.Writer, code string) {
	fmt.Fprintf(w, "\nWrite this code down and put it away. It opens the shared place if the\npass-phrase is forgotten and no machine is left; it is not shown again:\n\n    %s\n\n", code)
}

// Patience is how long nothing is shown.
const Patience = 500 * time.Millisecond

// Synced is the JSON shape of an exchange.
type Synced struct {
	exchange.Report
	Bad       []BadObject      `json:"bad"`
	Ahead     map[string]int64 `json:"clock_ahead_s"`
	Disagrees int              `json:"open_questions"`
}

// BadObject is an object of the shared place that is not believed, and what is wrong with it.
type BadObject struct {
	Object  string `json:"object"`
	Check   string `json:"check"`
	Problem string `json:"problem"`
}

// ExchangedWords says how much came and went in an exchange.
func ExchangedWords(r exchange.Report) string {
	pictures := ""
	if r.PicturesReceived+r.PicturesSent > 0 {
		pictures = fmt.Sprintf("; pictures received %d, sent %d", r.PicturesReceived,
			r.PicturesSent)
	}
	if r.PicturesWaiting > 0 {
		pictures += fmt.Sprintf("; %s wait for the next time",
			measure.Counted(r.PicturesWaiting, "picture"))
	}
	if r.Received == 0 && r.Sent == 0 {
		return "nothing new on either side" + pictures
	}
	return fmt.Sprintf("received %s, sent %s", measure.Counted(r.Received, "event"),
		measure.Counted(r.Sent, "event")) + pictures
}

// eventsWords names a run of events by their numbers.
func eventsWords(g exchange.Gap) string {
	if g.From >= g.To {
		return fmt.Sprintf("event %d", g.To)
	}
	return fmt.Sprintf("events %d to %d", g.From, g.To)
}

// LostWords says what of a lane the shared place had lost.
func LostWords(g exchange.Gap) string {
	if g.From > g.To {
		return "the note of how far " + stash.Clean(g.Name) + " is"
	}
	return fmt.Sprintf("%s of %s", measure.Counted(int(g.To-g.From+1), "event"),
		stash.Clean(g.Name))
}
