package main

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers/scale"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// counting is a stocktake at a terminal.
type counting struct {
	*call
	*show.Stockroom
	kept  *keptCount
	scale *scale.Line
	typed <-chan string
	step  measure.Mass
	// ended says that nothing more is typed: Ctrl-D, Ctrl-C, a terminal that went.
	ended bool
	// next is a tag that was scanned where a weight was asked for.
	next string
}

// stocktakeAsked asks for one tag and one weight after the other.
func (k *call) stocktakeAsked() error {
	if _, err := k.open(); err != nil {
		return err
	}
	kept, err := k.openKept(k.Args().First())
	if err != nil {
		return err
	}
	defer kept.close()
	c := &counting{call: k, kept: kept}
	if err := c.prepare(); err != nil {
		if len(kept.reads) == 0 {
			kept.forget()
		}
		return err
	}
	defer c.scale.Close()
	c.begin()
	for !c.ended {
		text, ok := c.ask(fmt.Sprintf("tag (%d read, %d to go)", len(kept.stand()),
			len(c.Missing(c.seen()))))
		if !ok {
			break
		}
		switch strings.ToLower(text) {
		case "done":
			return c.done()
		case "later":
			c.ended = true
		default:
			c.told(c.obey(text))
		}
	}
	return c.later()
}

// prepare reads the shelf, opens the line to the scale, and begins to read what is
// typed.
func (c *counting) prepare() (err error) {
	if c.step, err = c.scaleStep(); err != nil {
		return err
	}
	if port := c.String("port"); port != "" {
		c.scale, err = scale.Open(port, c.String("line"), c.String("command"), c.env.scaleWait)
	}
	if err != nil {
		return err
	}
	s, err := c.open()
	if err != nil {
		return err
	}
	err = s.View(c.ctx, func(tx *sqlite.Tx) error {
		return c.withSettings(tx, func(tx *sqlite.Tx) (err error) {
			c.Stockroom, err = c.stockRoom(tx, c.kept.Bin)
			return err
		})
	})
	c.typed = typedLines(c.env.stdin)
	return err
}

// typedLines reads lines until there are no more.
func typedLines(in io.Reader) <-chan string {
	out := make(chan string)
	go func() {
		defer close(out)
		for scan := bufio.NewScanner(in); scan.Scan(); {
			out <- strings.TrimSpace(scan.Text())
		}
	}()
	return out
}

// begin says what is going on.
func (c *counting) begin() {
	if n := len(c.kept.stand()); n > 0 {
		c.note("Going on with the stocktake of %s, begun on %s: %d read.", c.kept.place(),
			minute(c.kept.Begun), n)
	} else {
		c.note("Stocktake of %s.", c.kept.place())
	}
	weight := "then type its weight"
	if c.scale != nil {
		weight = "then press Enter to take the weight from the scale"
	}
	c.note("Scan or type a tag, Enter, %s, Enter. Weights without a unit are in %s.", weight,
		c.stockUnit())
	c.note("done records everything, later keeps it for another time, drop takes the last out, left lists what is missing.")
}

// ask gives what is typed next; false where nothing more is.
func (c *counting) ask(what string) (string, bool) {
	if c.next != "" {
		text := c.next
		c.next = ""
		return text, true
	}
	fmt.Fprintf(c.env.stderr, "%s> ", show.Harmless(what))
	select {
	case text, ok := <-c.typed:
		c.ended = !ok
		return text, ok
	case <-c.ctx.Done():
		c.ended = true
		return "", false
	}
}

// told shows what is wrong and lets the stocktake go on.
func (c *counting) told(err error) {
	if err != nil {
		c.note("%v", err)
	}
}

// obey does what a line says: a word of the stocktake, a tag, or a tag with its
// weight.
func (c *counting) obey(text string) error {
	tag, weight, _ := strings.Cut(text, " ")
	switch strings.ToLower(tag) {
	case "":
		return nil
	case "left":
		c.tellLeft()
		return nil
	case "drop":
		return c.drop(strings.TrimSpace(weight))
	}
	it, err := c.Find(tag)
	if err != nil {
		return err
	}
	if c.Elsewhere(it) {
		c.note("%s is in %s on record, not in %s.", it.Tag, binWords(it.Pack.Bin), c.Bin)
	}
	if old, seen := c.last(it); seen {
		c.note("%s was read already: %s. A new weight takes its place.", it.Tag,
			old.Mass.Format(c.units))
	}
	return c.weigh(it, strings.TrimSpace(weight))
}

func binWords(bin string) string {
	if bin == "" {
		return "no bin"
	}
	return stash.Clean(bin)
}

// weigh takes the weight of an item, as typed or from the scale, and asks once
// about one that looks like a slip: the same again keeps it.
func (c *counting) weigh(it show.Item, text string) error {
	c.scale.Forget()
	asked := measure.Mass(-1)
	for {
		if text == "" {
			var ok bool
			if text, ok = c.ask(fmt.Sprintf("  %s %s", it.Tag,
				stash.Clean(strings.TrimSpace(it.Yarn+" "+it.Pack.Colour)))); !ok {
				return nil
			}
		}
		one, err := c.readingOf(it, text)
		if c.next != "" {
			c.note("%s is left out.", it.Tag)
			return nil
		}
		slip := ""
		if err == nil && asked != one.Mass {
			slip = it.Pack.Suspect(stash.Move{At: one.At, Reading: one.reading()}, c.units)
		}
		switch {
		case err != nil:
			c.note("%v", err)
			if text == "" && c.scale == nil {
				return nil
			}
		case slip != "":
			c.note("%s", slip)
			c.note("Weigh again, or give the same weight again to keep it.")
			asked = one.Mass
		default:
			return c.keep(it, one)
		}
		text = ""
	}
}

// readingOf makes a reading of what was typed; nothing typed takes what the scale
// says. A tag typed in its place goes on with that item.
func (c *counting) readingOf(it show.Item, text string) (stockReading, error) {
	one := stockReading{ID: it.ID, At: c.env.now(), Net: c.Bool("net"), Step: c.step}
	if c.IsSet("on") {
		at, err := c.when()
		if err != nil {
			return one, err
		}
		one.At = at
	}
	var err error
	switch {
	case text == "" && c.scale == nil:
		return one, stash.Refuse(stash.CodeInput, "Type what the scale shows.",
			"%s needs a weight.", it.Tag)
	case text == "":
		var w scale.Weight
		w, err = c.scale.Read(c.ctx, one.Net)
		one.Mass, one.Raw, one.Step = w.Mass, w.Raw, cmp.Or(one.Step, w.Step)
	default:
		one.Mass, err = c.stockMass(text)
	}
	if err == nil {
		return one, one.checked(it)
	}
	if _, found := c.Find(text); found == nil && text != "" {
		c.next = text
	}
	return one, err
}

// keep keeps a reading and says what it changes.
func (c *counting) keep(it show.Item, one stockReading) error {
	if err := c.kept.keepReading(one); err != nil {
		return err
	}
	var d *measure.Mass
	if it.Pack.Known {
		change := it.Pack.NetOf(one.reading()) - it.Pack.Held
		d = &change
	}
	words := show.Differs(d, max(one.Step, measure.Gram), c.units)
	if one.Raw != "" {
		words = "the scale says " + one.Mass.Format(c.units) + ", " + words
	}
	if len(it.Pack.Feeds) > 0 && d != nil && *d < 0 {
		words += "; it counts to the piece on the loom"
	}
	c.note("  %s: %s", it.Tag, words)
	return nil
}

func (c *counting) last(it show.Item) (stockReading, bool) {
	for _, one := range c.kept.stand() {
		if one.ID == it.ID {
			return one, true
		}
	}
	return stockReading{}, false
}

func (c *counting) seen() map[stash.PackageID]bool {
	seen := map[stash.PackageID]bool{}
	for _, one := range c.kept.stand() {
		seen[one.ID] = true
	}
	return seen
}

// drop takes a reading out: of a tag, or the last.
func (c *counting) drop(tag string) error {
	stand := c.kept.stand()
	if len(stand) == 0 {
		return stash.Refuse(stash.CodeInput, "", "Nothing was read yet.")
	}
	of := c.Items[stand[len(stand)-1].ID]
	if tag != "" {
		it, err := c.Find(tag)
		if err != nil {
			return err
		}
		if _, seen := c.last(it); !seen {
			return stash.Refuse(stash.CodeInput, "", "%s was not read.", it.Tag)
		}
		of = it
	}
	c.note("%s is taken out.", of.Tag)
	return c.kept.keepReading(stockReading{ID: of.ID, Dropped: true})
}

// tellLeft lists what is still to be read.
func (c *counting) tellLeft() {
	var tags []string
	for _, it := range c.Missing(c.seen()) {
		tags = append(tags, it.Tag)
	}
	if len(tags) == 0 {
		c.note("Everything is read.")
		return
	}
	c.note("To go: %s", strings.Join(tags, ", "))
}

// done records what was read, and forgets it once that is done.
func (c *counting) done() error {
	reads := c.kept.stand()
	if len(reads) == 0 {
		c.kept.forget()
		return stash.Refuse(stash.CodeInput, "", "Nothing was read, and nothing is recorded.")
	}
	c.key = c.kept.ID
	if err := c.recordCount(c.kept.Bin, func(*sqlite.Tx, *show.Stockroom) ([]stockReading,
		error) {
		return reads, nil
	}); err != nil {
		c.note("The readings are kept: `endsmeet stocktake` goes on, drop TAG takes one out.")
		return err
	}
	if !c.Bool("dry-run") {
		c.kept.forget()
	}
	return nil
}

// later keeps what was read for another time.
func (c *counting) later() error {
	n := len(c.kept.stand())
	if n == 0 {
		c.kept.forget()
		c.note("\nNothing was read.")
		return nil
	}
	c.note("\n%d read and kept, nothing recorded yet. To go on: endsmeet stocktake", n)
	return nil
}
