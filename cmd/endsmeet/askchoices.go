package main

import (
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// choice is what an argument of a command may be, where that is not all that its
// placeholder stands for.
type choice struct {
	// of are the likely ones.
	of func(*completer) []candidate
	// none says what to do where there is none; empty where any other will do too.
	none, hint string
	// unless is the option with which the others are meant too.
	unless string
	// open says that what is not there yet may be typed as well, and about how.
	open  bool
	about string
}

// choices are the arguments of which only some are likely; those of all others are
// in valueKinds, or are typed (asking).
var choices = map[string]choice{
	"receive YARN": {of: func(c *completer) []candidate { return c.names(stash.WhatYarn) },
		open: true, about: "The name of a new yarn, or of one that you have."},
	"start PROJECT": {of: (*completer).notStarted},
	"finish PIECE": {of: onLoom, unless: "learn", none: "No piece is on the loom.",
		hint: "Put one on: endsmeet start PROJECT"},
	"loom PIECE": {of: onLoom, none: "No piece is on the loom.",
		hint: "Put one on: endsmeet start PROJECT"},
	"another PIECE": {of: woven, none: "No piece is finished or on the loom.",
		hint: "Put one on: endsmeet start PROJECT"},
	"card PIECE": {of: func(c *completer) []candidate { return c.pieces(isFinished) },
		none: "No piece is finished.", hint: "When one comes off the loom: endsmeet finish PIECE"},
	"give ITEM|PIECE": {of: func(c *completer) []candidate {
		return append(c.packages(isHere), c.pieces(isInHand)...)
	}, none: "There is nothing to give.", hint: "List what you have: endsmeet list"},
	"lend ITEM": {of: func(c *completer) []candidate { return c.packages(isHere) },
		none: "There is nothing to lend.", hint: "List what you have: endsmeet list"},
	"return ITEM": {of: func(c *completer) []candidate { return c.packages(isLent) },
		none: "Nothing is lent.", hint: "List what you have: endsmeet list"},
	"use ITEM":     {of: func(c *completer) []candidate { return c.packages(isHere) }},
	"discard ITEM": {of: func(c *completer) []candidate { return c.packages(isHere) }},
	"wind ITEM":    {of: func(c *completer) []candidate { return c.packages(isHere) }},
}

// likely are the values of the next argument: those that are likely for the command
// where one of them begins like the word typed, else all that the placeholder stands for.
func (c *completer) likely(placeholder, now string) []candidate {
	if special, ok := choices[c.command.Name+" "+placeholder]; ok {
		if some := special.of(c); len(beginning(some, now)) > 0 {
			return some
		}
	}
	return c.values(placeholder, now)
}

func onLoom(c *completer) []candidate {
	return c.pieces(func(p stash.Piece) bool { return p.State == stash.OnLoom })
}

func woven(c *completer) []candidate {
	return c.pieces(func(p stash.Piece) bool { return p.State == stash.OnLoom || isFinished(p) })
}

func isFinished(p stash.Piece) bool { return p.State == stash.Finished }
func isInHand(p stash.Piece) bool   { return isFinished(p) && p.InHand() > 0 }
func isLent(p stash.Package) bool   { return p.LentTo != "" }
func isHere(p stash.Package) bool   { return !isLent(p) && (!p.Known || p.Held > 0) }

// pieces are the names of some pieces, the newest first.
func (c *completer) pieces(which func(stash.Piece) bool) []candidate {
	var out []candidate
	c.peek(func(tx *sqlite.Tx) error {
		all, err := tx.Pieces(false)
		for _, p := range all {
			if which(p) {
				out = append(out, candidate{p.Name, string(p.State)})
			}
		}
		return err
	})
	slices.Reverse(out)
	return out
}

// packages are the tags of some packages.
func (c *completer) packages(which func(stash.Package) bool) []candidate {
	is := map[string]bool{}
	c.peek(func(tx *sqlite.Tx) error {
		all, err := tx.Packages(true)
		for _, p := range all {
			is[p.Label()] = which(p)
		}
		return err
	})
	return slices.DeleteFunc(c.items(""), func(one candidate) bool { return !is[one.value] })
}

// notStarted are the projects of which no piece is on the loom or finished.
func (c *completer) notStarted() []candidate {
	started := map[stash.ProjectID]bool{}
	var out []candidate
	c.peek(func(tx *sqlite.Tx) error {
		pieces, err := tx.Pieces(false)
		for _, p := range pieces {
			started[p.Project] = started[p.Project] || p.State != stash.Planned
		}
		if err != nil {
			return err
		}
		projects, err := tx.Projects()
		for _, p := range projects {
			if !started[p.ID] {
				out = append(out, candidate{p.Name, ""})
			}
		}
		return err
	})
	return out
}
