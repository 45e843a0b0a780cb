package main

import (
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/kinds"
	"endsmeet/planner/sticker"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

// valueKinds are the placeholders of arguments and options of which the
// program knows what could stand there.
var valueKinds = map[string]func(*completer, string) []candidate{
	"ITEM":    (*completer).items,
	"YARN":    func(c *completer, _ string) []candidate { return c.names(stash.WhatYarn) },
	"PROJECT": func(c *completer, _ string) []candidate { return c.names(stash.WhatProject) },
	"PIECE":   func(c *completer, _ string) []candidate { return c.names(stash.WhatPiece) },
	"PERSON":  func(c *completer, _ string) []candidate { return c.names(stash.WhatPerson) },
	"WHO":     func(c *completer, _ string) []candidate { return c.names(stash.WhatPerson) },
	"BIN":     (*completer).bins,
	"FIBRE":   func(*completer, string) []candidate { return fibreIDs() },
	"KIND": func(*completer,
		string) []candidate {
		return plainWords(kindNames(kinds.Usual())...)
	},
	"PRESET": presetNames,
	"DATE":   (*completer).dates,
	"YES/NO": func(*completer, string) []candidate { return plainWords("yes", "no") },
	"END":    func(*completer, string) []candidate { return plainWords(stash.EdgeFinishes()...) },
	"FORM":   func(*completer, string) []candidate { return formNames() },
	"SHEET":  func(*completer, string) []candidate { return sheetNames() },
	"FILE":   func(*completer, string) []candidate { return []candidate{{"", "files"}} },
	"DEVICE": func(*completer, string) []candidate { return []candidate{{"", "files"}} },
	"BACKUP": func(*completer, string) []candidate { return []candidate{{"", "files"}} },
	"FOLDER": func(*completer, string) []candidate { return []candidate{{"", "folders"}} },
	"WHERE":  func(*completer, string) []candidate { return []candidate{{"", "folders"}} },
	"FIELD":  (*completer).fields,
	"ITEM=":  func(c *completer, now string) []candidate { return endingInEquals(c.items(now)) },
	"PROJECT=": func(c *completer,
		_ string) []candidate {
		return endingInEquals(c.names(stash.WhatProject))
	},
}

// arguments are the values that the next argument of the command could have.
func (c *completer) arguments(now string) []candidate {
	words := placeholders(c.command.ArgsUsage)
	if len(words) == 0 {
		return nil
	}
	return c.likely(words[min(len(c.given), len(words)-1)], now)
}

// placeholders are the words for a command's arguments; the last holds for all
// that come after it.
func placeholders(usage string) []string {
	usage = strings.NewReplacer("[=", "=", "[", " ", "]", " ", "...", " ").Replace(usage)
	return strings.Fields(usage)
}

// values are those of a placeholder, of which several may be joined by bars;
// small words stand for themselves.
func (c *completer) values(placeholder, now string) []candidate {
	var out []candidate
	for word := range strings.SplitSeq(placeholder, "|") {
		name, value, assigns := strings.Cut(word, "=")
		switch known, ok := valueKinds[word]; {
		case ok:
			out = append(out, known(c, now)...)
		case assigns && value == "VALUE":
			out = append(out, c.assignments(name, now)...)
		case assigns && valueKinds[name+"="] != nil:
			out = append(out, valueKinds[name+"="](c, now)...)
		case word == strings.ToLower(word):
			out = append(out, candidate{word, ""})
		}
	}
	return out
}

// valuesOf are the values of an option: of the field of that name, those that
// its usage lists, or those of its placeholder.
func (c *completer) valuesOf(f cli.Flag, now string) []candidate {
	name := strings.ReplaceAll(f.Names()[0], "-", "_")
	for _, what := range []stash.What{stash.WhatYarn, stash.WhatPackage, stash.WhatProject} {
		if field, err := stash.FieldOf(what, name); err == nil && len(field.Words) > 0 {
			return plainWords(field.Words...)
		}
	}
	doc, ok := f.(cli.DocGenerationFlag)
	if !ok {
		return nil
	}
	if listed := listedWords(doc.GetUsage()); len(listed) > 0 {
		return plainWords(listed...)
	}
	return c.values(placeholderOf(f), now)
}

// placeholderOf is the word for the value of an option.
func placeholderOf(f cli.Flag) string {
	written, _, _ := optionWords(f)
	_, placeholder, _ := strings.Cut(written, " ")
	return placeholder
}

// listed matches the list of words at the end of an option's usage.
var listed = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile("`[A-Z]+`[^:;`]*: ([a-z0-9,-]+(?:, [a-z0-9,-]+)*),? (?:or|and) ([a-z0-9,-]+)")
})

// listedWords are the words that the usage of an option says it takes.
func listedWords(usage string) []string {
	m := listed().FindStringSubmatch(usage)
	if m == nil {
		return nil
	}
	words := append(strings.Split(m[1], ", "), m[2])
	return slices.DeleteFunc(words, func(w string) bool { return w == "another" })
}

func plainWords(words ...string) []candidate {
	out := make([]candidate, len(words))
	for i, w := range words {
		out[i] = candidate{w, ""}
	}
	return out
}

// peek reads the stash without changing a byte of it.
func (c *completer) peek(read func(*sqlite.Tx) error) { _ = sqlite.Peek(c.ctx, c.stash, read) }

func (c *completer) names(what stash.What) []candidate {
	var out []candidate
	c.peek(func(tx *sqlite.Tx) error {
		all, err := tx.Names(what)
		for _, n := range all {
			if n.Name != "" && (n.Live || what == stash.WhatPiece) {
				out = append(out, candidate{n.Name, ""})
			}
		}
		return err
	})
	return out
}

// items are the tags; where none begins like the word typed, the yarns.
func (c *completer) items(now string) []candidate {
	var out []candidate
	c.peek(func(tx *sqlite.Tx) error {
		all, err := tx.Names(stash.WhatPackage)
		for _, n := range all {
			if n.Live {
				out = append(out,
					candidate{n.Label(), strings.TrimSuffix(n.Name+", "+n.Colour, ", ")})
			}
		}
		return err
	})
	if len(beginning(out, now)) > 0 {
		return out
	}
	return c.names(stash.WhatYarn)
}

func (c *completer) bins(string) []candidate {
	var out []candidate
	c.peek(func(tx *sqlite.Tx) error {
		bins, err := tx.Bins()
		out = plainWords(bins...)
		return err
	})
	return out
}

func (c *completer) dates(string) []candidate {
	day := c.env.now()
	return []candidate{{day.Format(time.DateOnly), "today"},
		{day.AddDate(0, 0, -1).Format(time.DateOnly), "yesterday"}}
}

func fibreIDs() []candidate {
	var out []candidate
	for _, f := range fibre.All() {
		out = append(out, candidate{string(f.ID), ""})
	}
	return out
}

func presetNames(*completer, string) []candidate {
	var out []candidate
	for _, p := range people.Presets() {
		out = append(out, candidate{p.Name, p.About})
	}
	return out
}

func sheetNames() []candidate {
	var out []candidate
	for _, s := range sticker.Sheets {
		out = append(out, candidate{s.Name, s.Words()})
	}
	return out
}

func formNames() []candidate {
	var out []candidate
	for _, f := range stash.Forms {
		out = append(out, candidate{string(f.Form), ""})
	}
	return out
}

// whatOf are the kinds of record whose fields a command sets.
func (c *completer) whatOf(placeholder string) []stash.What {
	switch {
	case placeholder == "SETTING":
		return []stash.What{stash.WhatSettings}
	case strings.HasPrefix(c.command.ArgsUsage, "PROJECT"):
		return []stash.What{stash.WhatProject}
	case strings.HasPrefix(c.command.ArgsUsage, "PERSON"):
		return []stash.What{stash.WhatPerson}
	}
	return []stash.What{stash.WhatPackage, stash.WhatYarn}
}

func (c *completer) fields(string) []candidate {
	var out []candidate
	for _, what := range c.whatOf("FIELD") {
		for _, f := range stash.FieldsOf(what) {
			out = append(out, candidate{f.Name, f.About()})
		}
	}
	return out
}

// assignments are NAME= of every field, and after it the values of one.
func (c *completer) assignments(placeholder, now string) []candidate {
	name, _, given := strings.Cut(now, "=")
	var out []candidate
	for _, what := range c.whatOf(placeholder) {
		for _, f := range stash.FieldsOf(what) {
			if !given {
				out = append(out, candidate{f.Name + "=", f.About()})
			} else if f.Name == name {
				return prefixed(name+"=", c.valuesOfField(f))
			}
		}
	}
	return out
}

// anyValue says whether a field that is being assigned takes other values than those
// that are offered.
func (c *completer) anyValue(placeholder, now string) bool {
	name, _, _ := strings.Cut(now, "=")
	for _, what := range c.whatOf(placeholder) {
		if f, err := stash.FieldOf(what, name); err == nil {
			return len(f.Words) == 0 && f.Refers == ""
		}
	}
	return true
}

func (c *completer) valuesOfField(f stash.Field) []candidate {
	switch {
	case len(f.Words) > 0:
		return plainWords(f.Words...)
	case f.Refers == stash.WhatPackage:
		return c.items("")
	case f.Refers != "":
		return c.names(f.Refers)
	}
	return c.values(valueWord(f), "")
}

func endingInEquals(all []candidate) []candidate {
	for i := range all {
		all[i].value += "="
	}
	return all
}
