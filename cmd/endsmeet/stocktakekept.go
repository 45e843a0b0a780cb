package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"time"

	"github.com/gofrs/flock"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/lasting"
)

// keptCount is a stocktake that has not ended: a file beside the stash to which
// every reading is added at once, so that breaking off loses none.
type keptCount struct {
	path  string
	lock  *flock.Flock
	Bin   string    `json:"bin"`
	Begun time.Time `json:"begun"`
	// ID is under what the stocktake is recorded, so that it cannot be twice.
	ID    string `json:"id"`
	reads []stockReading
}

// keptPath is the file of a stocktake that has not ended.
func (k *call) keptPath() string { return k.env.stashPath(k.String("stash")) + ".stocktake" }

// openKept takes up the stocktake that was broken off, or begins one.
func (k *call) openKept(bin string) (*keptCount, error) {
	c := &keptCount{path: k.keptPath(), Bin: bin, Begun: k.env.now(), ID: "stocktake " +
		string(k.env.ids.Subject())}
	c.lock = flock.New(c.path + ".lock")
	if held, err := c.lock.TryLock(); err != nil || !held {
		return nil, stash.Refuse(stash.CodeRefused, "End that one first.",
			"A stocktake is going on in another window.")
	}
	if k.Bool("new") {
		_ = os.Remove(c.path)
	}
	err := c.load()
	if err == nil && bin != "" && bin != c.Bin {
		err = stash.Refuse(stash.CodeRefused,
			"Go on with it: "+stash.Command("stocktake", c.Bin)+". To forget it add --new.",
			"A stocktake of %s was begun on %s and has not ended.", c.place(), minute(c.Begun))
	}
	if err != nil {
		c.close()
		return nil, err
	}
	return c, nil
}

func (c *keptCount) place() string {
	if c.Bin == "" {
		return "the whole shelf"
	}
	return stash.Clean(c.Bin)
}

// load reads what was kept; where there is nothing it begins. A last line that
// was not written to its end is none.
func (c *keptCount) load() error {
	raw, err := os.ReadFile(c.path)
	if err != nil && !os.IsNotExist(err) {
		return unreadable(c.path, err)
	}
	whole := raw[:bytes.LastIndexByte(raw, '\n')+1]
	if len(whole) < len(raw) {
		if err := os.Truncate(c.path, int64(len(whole))); err != nil {
			return show.Unwritable(c.path, err)
		}
	}
	if len(whole) == 0 {
		return c.add(c)
	}
	lines := bytes.Split(bytes.TrimSpace(whole), []byte("\n"))
	if json.Unmarshal(lines[0], c) != nil {
		return stash.Refuse(stash.CodeInput, "Begin again with --new.", "%s cannot be read.",
			stash.Clean(c.path))
	}
	for _, line := range lines[1:] {
		var one stockReading
		if json.Unmarshal(line, &one) == nil {
			c.reads = append(c.reads, one)
		}
	}
	return nil
}

// add writes one more line and brings it to the disk.
func (c *keptCount) add(line any) error {
	raw, err := json.Marshal(line)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(c.path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return show.Unwritable(c.path, err)
	}
	defer f.Close()
	if _, err = f.Write(append(raw, '\n')); err == nil {
		err = f.Sync()
	}
	if err != nil {
		return show.Unwritable(c.path, err)
	}
	return lasting.Folder(filepath.Dir(c.path))
}

// keepReading keeps a reading, or that one is dropped.
func (c *keptCount) keepReading(one stockReading) error {
	c.reads = append(c.reads, one)
	return c.add(one)
}

// stand are the readings that stand: the last of each item, in the order in which
// the items were first read.
func (c *keptCount) stand() []stockReading {
	at := map[stash.PackageID]int{}
	var out []stockReading
	for _, one := range c.reads {
		i, seen := at[one.ID]
		if !seen {
			i = len(out)
			at[one.ID] = i
			out = append(out, one)
		}
		out[i] = one
	}
	kept := out[:0]
	for _, one := range out {
		if !one.Dropped {
			kept = append(kept, one)
		}
	}
	return kept
}

// forget removes what was kept, once it is recorded.
func (c *keptCount) forget() { _ = os.Remove(c.path) }

func (c *keptCount) close() {
	_ = c.lock.Unlock()
	_ = os.Remove(c.lock.Path())
}
