package main

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"

	"endsmeet/stash/outside"
)

// typist sits at a terminal.
type typist struct {
	t    *testing.T
	keys *os.File
	// beside are the keys that are neither of a tag nor of a weight.
	beside, items int
}

// terminal puts a desk at a pseudo-terminal.
func terminal(t *testing.T, d *desk) *typist {
	t.Helper()
	master, slave, err := pty.Open()
	if err != nil {
		outside.GoWithout(t, "a pseudo-terminal is not here")
	}
	t.Cleanup(func() { master.Close(); slave.Close() })
	d.env.stdin, d.env.stdinTTY = slave, true
	go io.Copy(io.Discard, master) // what the terminal echoes
	return &typist{t: t, keys: master}
}

func (p *typist) types(keys string) {
	p.t.Helper()
	if _, err := io.WriteString(p.keys, keys); err != nil {
		p.t.Fatal(err)
	}
	p.beside += len(keys)
}

// weighs types a tag and a weight.
func (p *typist) weighs(tag, weight string) {
	p.t.Helper()
	p.types(tag + "\n" + weight + "\n")
	p.beside -= len(tag) + len(weight)
	p.items++
}

// held is what every item holds, by its tag.
func (d *desk) held() map[string]int64 {
	d.t.Helper()
	var items []struct {
		Tag string `json:"tag"`
		Net *int64 `json:"net_mg"`
	}
	if err := json.Unmarshal([]byte(d.run("--json", "list")), &items); err != nil {
		d.t.Fatal(err)
	}
	held := map[string]int64{}
	for _, it := range items {
		if it.Net != nil {
			held[it.Tag] = *it.Net
		}
	}
	return held
}

func TestAStocktakeOfTheShelfIsBrokenOffAndTakenUp(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("import", fortyYarns)
	before := d.held()
	var tags []string
	for tag := range before {
		tags = append(tags, tag)
	}
	p := terminal(t, d)
	weight := func(tag string) string { return fmt.Sprintf("%.1f", float64(before[tag]-1000)/1000) }
	half := len(tags) / 2
	go func() {
		for _, tag := range tags[:half] {
			p.weighs(tag, weight(tag))
		}
		p.types("\x04") // Ctrl-D
	}()
	if answer := d.run("stocktake", "--net"); answer != "" ||
		!strings.Contains(d.err.String(), fmt.Sprintf("%d read and kept, nothing recorded yet",
			half)) {
		t.Fatalf("broken off: %s%s", answer, d.err.String())
	}
	if after := d.held(); fmt.Sprint(after) != fmt.Sprint(before) {
		t.Error("what was broken off is recorded")
	}
	p2 := terminal(t, d)
	go func() {
		for _, tag := range tags[half:] {
			p2.weighs(tag, weight(tag))
		}
		p2.types("done\n")
	}()
	d.run("stocktake", "--net")
	for tag, now := range d.held() {
		if now != before[tag]-1000 {
			t.Errorf("%s holds %d mg, %d before", tag, now, before[tag])
		}
	}
	items, beside := p.items+p2.items, p.beside+p2.beside
	t.Logf("%d items, %d keys beside tag and weight: %.1f each", items, beside,
		float64(beside)/float64(items))
	if items < 40 || beside > 6*items {
		t.Errorf("%d items took %d keys beside tag and weight", items, beside)
	}
	if _, err := os.Stat(d.path(d.stash + ".stocktake")); err == nil {
		t.Error("the readings are kept although they are recorded")
	}
	d.run("undo")
	if after := d.held(); fmt.Sprint(after) != fmt.Sprint(before) {
		t.Error("one undo does not take all of it back")
	}
	d.checked()
}

// asked runs a stocktake with what is typed at it, and gives what it says.
func (d *desk) asked(typed string, args ...string) (string, string) {
	d.t.Helper()
	d.env.stdin, d.env.stdinTTY = strings.NewReader(typed), true
	out := d.run(append([]string{"stocktake"}, args...)...)
	return out, d.err.String()
}

func stockDesk(t *testing.T) *desk {
	d := newDesk(t)
	d.run("receive", "Ossentarn cotton", "--fibre", "cotton", "--count", "8/2 Ne", "--form", "cone",
		"--gross", "412g", "--tare", "25g", "--tag", "Y01", "--bin", "A1")
	d.run("receive", "Marrow wool", "--fibre", "wool", "--net", "100g", "--tag", "Y02", "--bin",
		"A1")
	d.run("receive", "Marrow wool", "--net", "90g", "--tag", "Y03", "--bin", "A1")
	d.run("receive", "Oldenlea linen", "--fibre", "linen", "--net", "50g", "--tag", "Y04", "--bin",
		"B2")
	d.run("receive", "Skyling", "--fibre", "wool", "--net", "50g", "--tag", "Y05", "--bin", "A1")
	d.run("lend", "Y05", "--to", "the guild")
	d.run("receive", "Gone wool", "--fibre", "wool", "--net", "50g", "--tag", "Y06", "--bin", "A1")
	d.run("retire", "Y06", "--leftover", "lost")
	return d
}

func TestAStocktakeAsksAboutWhatCannotBe(t *testing.T) {
	t.Parallel()
	d := stockDesk(t)
	out, told := d.asked(strings.Join([]string{
		"Y01", "4100", "410", // ten times off, and weighed again
		"Y02", "10", "10", // a tenth, and kept
		"Y03 95",                      // in one line
		"Y03", "9O", "91", "drop Y03", // read again, mistyped, dropped
		"Y04", "49", // elsewhere on record
		"Y05", "Y06", "Y77", "Y0", // lent, retired, unknown, half a tag
		"Y03", "Y01", "411", // scanned on without a weight
		"left", "done"}, "\n")+"\n", "A1")
	for _, want := range []string{
		"Y01 should show about 412 g, not 4100 g", "Y02 should show about 100 g, not 10 g",
		"2 g less than expected", "90 g less than expected",
		"5 g more than expected", "Y03 was read already: 95 g", "Y03 is taken out",
		"Y04 is in B2 on record, not in A1",
		"Y05 is on loan to the guild", "endsmeet return Y05", "Y06 is retired",
		"No item has the tag Y77", "No item has the tag Y0.", "Y03 is left out", "To go: Y03",
	} {
		if !strings.Contains(strings.Join(strings.Fields(told), " "), want) {
			t.Errorf("%q is not said:\n%s", want, told)
		}
	}
	for _, want := range []string{"Stocktake of A1: 3 read, 1 not found.",
		"Y04 is in B2 on record. If it stays here: endsmeet set Y04 bin=A1",
		"Y05 was not expected: it is on loan to the guild."} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is not in the answer:\n%s", want, out)
		}
	}
	if held := d.held(); held["Y01"] != 386_000 || held["Y02"] != 10_000 || held["Y03"] != 90_000 ||
		held["Y04"] != 49_000 {
		t.Errorf("%v", held)
	}
	d.checked()
}

func TestWhatWasReadSurvivesATornLine(t *testing.T) {
	t.Parallel()
	d := stockDesk(t)
	d.asked("Y01\n410\nY02\n99\n", "A1")
	kept := d.path(d.stash + ".stocktake")
	raw, err := os.ReadFile(kept)
	if err != nil {
		t.Fatal(err)
	}
	os.WriteFile(kept, raw[:len(raw)-9], 0o600) // the power went while Y02 was written
	if code := d.try(context.Background(), "stocktake", "B2"); code != 1 ||
		!strings.Contains(d.err.String(), "A stocktake of A1 was begun") {
		t.Errorf("another begins beside it: %s", d.err.String())
	}
	_, told := d.asked("Y02\n98\ndone\n")
	if held := d.held(); !strings.Contains(told, "Going on with the stocktake of A1") ||
		held["Y01"] != 385_000 || held["Y02"] != 98_000 {
		t.Errorf("%v\n%s", held, told)
	}
	d.asked("Y01\n1\n", "A1")
	d.asked("Y04\n49\ndone\n", "B2", "--new")
	if held := d.held(); held["Y04"] != 49_000 || held["Y01"] != 385_000 {
		t.Errorf("%v", held)
	}
}

func TestAStocktakeThatWasRecordedIsNotRecordedAgain(t *testing.T) {
	t.Parallel()
	d := stockDesk(t)
	d.asked("Y01\n410\n", "A1")
	kept := d.path(d.stash + ".stocktake")
	raw, _ := os.ReadFile(kept)
	d.asked("done\n", "A1")
	d.run("use", "Y01", "100g")
	os.WriteFile(kept, raw, 0o600) // killed after it was recorded, before it was forgotten
	_, told := d.asked("done\n", "A1")
	if held := d.held(); held["Y01"] != 285_000 || !strings.Contains(told, "recorded before") {
		t.Errorf("%v\n%s", held, told)
	}
}

// scaleAt is a scale on a pseudo-terminal: what it does stands in a function that
// is told each line that it is sent.
func scaleAt(t *testing.T, speak func(send func(string), asked *bufio.Scanner)) string {
	t.Helper()
	master, slave, err := pty.Open()
	if err != nil {
		outside.GoWithout(t, "a pseudo-terminal is not here")
	}
	t.Cleanup(func() { master.Close(); slave.Close() })
	go speak(func(line string) { _, _ = io.WriteString(master, line+"\r\n") },
		bufio.NewScanner(master))
	return slave.Name()
}

func TestAScaleOnALineIsReadWhereItIsSteady(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		before, lines []string
		raw           string
	}{
		"command set": {nil, []string{"S D      398.70 g", "S +", "S S      398.00",
			"S S      398.60 g"}, "S S      398.60 g"},
		"with a header": {[]string{"ST,+00999.00  g"},
			[]string{"US,+00398.20  g", "OL,+9999999.9  g", "ST,+00398.60", "ST,GS,+ 398.60 g"},
			"ST,GS,+ 398.60 g"},
		"plain": {nil, []string{"   398.60 g ?", "   398.60 g", "   398.60 g",
			"   398.60 g"}, "398.60 g"},
	} {
		t.Run(name, func(t *testing.T) {
			d := stockDesk(t)
			port := scaleAt(t, func(send func(string), asked *bufio.Scanner) {
				for _, line := range c.before {
					send(line)
				}
				for asked.Scan() {
					for _, line := range c.lines {
						send(line)
					}
				}
			})
			_, told := d.asked("Y01\n\ndone\n", "A1", "--port", port, "--command", "S")
			if held := d.held(); held["Y01"] != 373_600 {
				t.Errorf("%v\n%s", held, told)
			}
			if history := d.run("history", "Y01"); !strings.Contains(history,
				strings.Join(strings.Fields("the scale sent "+c.raw), " ")) {
				t.Errorf("the line is not kept: %s", history)
			}
		})
	}
}

func TestAScaleThatIsNeverSteadyGivesNoWeight(t *testing.T) {
	t.Parallel()
	d := stockDesk(t)
	port := scaleAt(t, func(send func(string), asked *bufio.Scanner) {
		for asked.Scan() {
			send("US,+00398.20  g")
		}
	})
	d.env.scaleWait = 300 * time.Millisecond
	_, told := d.asked("Y01\n\n397\ndone\n", "A1", "--port", port, "--command", "S")
	if held := d.held(); held["Y01"] != 372_000 ||
		!strings.Contains(told, "the scale is not steady yet") {
		t.Errorf("%v\n%s", held, told)
	}
}
