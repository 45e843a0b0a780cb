//go:build linux

package main

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// disk is what lies on a disk, and what was asked of it and may not be there yet:
// a file's writes until it is synced, and what was done to names until their
// folder is. Files go by numbers: a name may be given again.
type disk struct {
	content map[int][]byte
	writes  map[int][]deed
	live    map[string]int // names as the processes see them
	names   map[string]int // names that are durable
	pending []renaming
}

// renaming is a change of names that is not durable: to is empty where a name
// was taken away, from where a file was made.
type renaming struct {
	from, to string
	file     int
}

func newDisk() *disk {
	return &disk{content: map[int][]byte{}, writes: map[int][]deed{}, live: map[string]int{},
		names: map[string]int{}}
}

// writesOf lays a write over content.
func writesOf(content []byte, a deed) []byte {
	if a.kind == "truncate" {
		return append(slices.Clone(content[:min(int64(len(content)), a.at)]),
			make([]byte, max(0, a.at-int64(len(content))))...)
	}
	out := slices.Clone(content)
	if short := a.at + int64(len(a.data)) - int64(len(out)); short > 0 {
		out = append(out, make([]byte, short)...)
	}
	copy(out[a.at:], a.data)
	return out
}

// do takes one deed in.
func (d *disk) do(a deed) {
	file := d.live[a.path]
	switch a.kind {
	case "write", "truncate":
		d.writes[file] = append(d.writes[file], a)
	case "create":
		if file == 0 {
			file = len(d.content) + 1
			d.content[file], d.live[a.path] = []byte{}, file
			d.pending = append(d.pending, renaming{to: a.path, file: file})
		}
	case "unlink":
		delete(d.live, a.path)
		d.pending = append(d.pending, renaming{from: a.path, file: file})
	case "rename":
		delete(d.live, a.path)
		d.live[a.to] = file
		d.pending = append(d.pending, renaming{a.path, a.to, file})
	case "sync":
		d.sync(file)
	}
}

// sync makes a file durable, with the name under which it can be found; where
// it is none of the files it is their folder.
func (d *disk) sync(file int) {
	n := len(d.pending)
	for ; file > 0 && n > 0; n-- {
		if last := d.pending[n-1]; last.file == file && last.to != "" {
			break
		}
	}
	renamed(d.names, d.pending[:n])
	d.pending = slices.Clone(d.pending[n:])
	for _, w := range d.writes[file] {
		d.content[file] = writesOf(d.content[file], w)
	}
	delete(d.writes, file)
}

func renamed(names map[string]int, changes []renaming) {
	for _, c := range changes {
		if c.from != "" {
			delete(names, c.from)
		}
		if c.to != "" {
			names[c.to] = c.file
		}
	}
}

// cut gives what lies there after the power was cut: of what was not synced some
// is there and some is not, whatever came first, and a write may be torn.
func (d *disk) cut(chance *rand.Rand, keep func() bool) map[string][]byte {
	n := 0
	for n < len(d.pending) && keep() {
		n++
	}
	names := maps.Clone(d.names)
	renamed(names, d.pending[:n])
	left := map[string][]byte{}
	for _, path := range slices.Sorted(maps.Keys(names)) {
		content := d.content[names[path]]
		for _, w := range d.writes[names[path]] {
			if !keep() {
				continue
			}
			if w.kind == "write" && len(w.data) > 512 && chance.IntN(4) == 0 {
				w.data = w.data[:512*(1+chance.IntN(len(w.data)/512))]
			}
			content = writesOf(content, w)
		}
		left[path] = content
	}
	return left
}

// The writes of every command that records are taken down by strace and played
// on to a disk that loses its power after each, with what was not synced lost,
// kept, or kept in part and out of order. The stash opens after each, its check
// passes, and nothing is missing of what a command had answered for.
func TestNothingAnsweredForIsLostByAPowerCut(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	var tape []deed
	counts := map[int]int64{} // how many events there are once the n-th deed is done
	for _, args := range recordingRuns {
		tape = append(tape, b.traced(args...)...)
		n, err := eventsIn(b.stash())
		b.must(err)
		counts[len(tape)] = n
	}
	points := 60
	if os.Getenv("ENDSMEET_LONG") != "" {
		points = len(tape) * 4
	}
	chance := rand.New(rand.NewPCG(1, 2))
	d := newDisk()
	answered, before, cuts := int64(0), int64(0), 0
	for i, a := range tape {
		if a.kind == "said" {
			answered = nextCount(counts, i)
		} else {
			d.do(a)
		}
		for range 4 {
			if chance.IntN(len(tape)*4) >= points {
				continue
			}
			cuts++
			b.survives(d.cut(chance, keeping(chance)), answered, nextCount(counts, i),
				fmt.Sprintf("after deed %d, %s %s", i, a.kind, filepath.Base(a.path)))
		}
		before = answered
	}
	if cuts < points/2 || before == 0 {
		t.Fatalf("only %d cuts in %d calls, %d answered for", cuts, len(tape), before)
	}
	t.Logf("%d power cuts in %d calls of %d commands, %d events", cuts, len(tape),
		len(recordingRuns), answered)
}

// keeping keeps nothing, all, or every other by chance.
func keeping(chance *rand.Rand) func() bool {
	odds := []int{0, 1, 2, 3, 4}[chance.IntN(5)]
	return func() bool { return chance.IntN(4) < odds }
}

// nextCount is how many events there are when the command of an deed is done.
func nextCount(counts map[int]int64, i int) int64 {
	for ; ; i++ {
		if n, ok := counts[i+1]; ok {
			return n
		}
	}
}

// survives opens what a power cut left and compares.
func (b *bench) survives(left map[string][]byte, least, most int64, when string) {
	b.t.Helper()
	b.putBack(left)
	if _, there := left[b.stash()]; !there {
		if least > 0 {
			b.t.Errorf("%s: there is no stash, and %d events were answered for", when, least)
		}
		return
	}
	n, err := eventsIn(b.stash())
	if err != nil || n < least || n > most {
		b.t.Errorf("%s: %d events, of which %d were answered for and %d recorded: %v", when, n,
			least, most, err)
	}
}
