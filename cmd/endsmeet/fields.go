package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/written"
)

// factFlags are options for the named facts of a kind of subject.
func factFlags(what stash.What, names ...string) []cli.Flag {
	var flags []cli.Flag
	for _, f := range stash.FieldsOf(what) {
		if f.Refers == "" && slices.Contains(names, f.Name) {
			word := valueWord(f)
			flags = append(flags, &cli.StringFlag{Name: flagName(f.Name), Usage: f.About() +
				suchAs(f, word) + ": `" + word + "`"})
		}
	}
	return flags
}

// suchAs is the example that help gives of a field, where a placeholder does
// not say as much.
func suchAs(f stash.Field, word string) string {
	if f.Help == "" || word == "N" || word == "YES/NO" {
		return ""
	}
	return ", such as " + f.Help
}

// valueWord is what help calls the value of a field: the word for its kind, or for what
// its example is.
func valueWord(f stash.Field) string {
	switch _, err := strconv.Atoi(f.Help); {
	case f.Word != "":
		return f.Word
	case err == nil:
		return "N"
	case f.Help == "yes" || f.Help == "no":
		return "YES/NO"
	case strings.HasSuffix(f.Help, "%"):
		return "PERCENT"
	case f.Dated:
		return "DATE"
	}
	words := strings.Split(f.Name, "_")
	return strings.ToUpper(words[len(words)-1])
}

// flagName is how a field is written as an option.
func flagName(field string) string { return strings.ReplaceAll(field, "_", "-") }

// facts reads the options given for the named fields.
func (k *call) facts(what stash.What, names ...string) (stash.Fields, error) {
	fields, given := stash.Fields{}, k.LocalFlagNames()
	for _, name := range names {
		flag := flagName(name)
		if !slices.Contains(given, flag) {
			continue
		}
		value, err := k.fact(what, name, k.absolute(what, name, k.String(flag)))
		if err != nil {
			return nil, explainCount(err, k.String("fibre"), nil, nil)
		}
		fields[name] = value
	}
	return fields, k.asRead(fields.Ahead(what, k.env.now()))
}

// absolute writes the days that are told from today as dates, where a field
// begins with a date.
func (k *call) absolute(what stash.What, name, text string) string {
	if f, err := stash.FieldOf(what, name); err == nil && f.Dated {
		return written.Absolute(text, k.env.now())
	}
	return text
}

// explainCount adds to a count without its base what the fibre's customary
// base would give, and the others, and which agrees with the count that is recorded.
// Other errors pass unchanged.
func explainCount(err error, fibreText string, recorded *stash.CountFact,
	doubts measure.Doubts) error {
	needed, ok := stash.NeedsBase(err)
	if !ok {
		return err
	}
	base, known := customaryBase(fibreText)
	if !known && recorded == nil {
		return stash.Refuse(stash.CodeInput, "", "%s", needed.Error())
	}
	if !known {
		base = -1
	}
	var agree []string
	agrees := func(r measure.Reading) bool {
		return recorded != nil && stash.CountFact{Count: r.Count, Source: r.Source}.Agrees(*recorded,
			doubts)
	}
	for _, r := range needed.Alternatives {
		if agrees(r) {
			agree = append(agree, r.Written)
		}
	}
	said := ""
	if recorded != nil {
		said = fmt.Sprintf(". Recorded is %s (%s), and with that %s", recorded.Count.Format(measure.Metric),
			recorded.Source, cmp.Or(strings.Join(agree, " or "), "none of them")+
				map[bool]string{true: " agrees", false: " agree"}[len(agree) < 2])
	}
	return stash.Refuse(stash.CodeInput, "",
		"the count %q does not say its base, which is never guessed%s; write one of:\n%s",
		stash.Clean(needed.Written), said,
		strings.TrimRight(needed.WithFibreBase(base, agrees), "\n"))
}

// explainCountOf is explainCount for a yarn that is recorded.
func (k *call) explainCountOf(tx *sqlite.Tx, err error, of stash.YarnFacts) error {
	if _, ok := stash.NeedsBase(err); !ok {
		return err
	}
	settings, failed := tx.Settings()
	return cmp.Or(failed, explainCount(err, of.Fibre.String(), of.Count, settings.Doubts))
}

// assign reads FIELD=VALUE words.
func (k *call) assign(tx *sqlite.Tx, what stash.What, words []string,
	of stash.YarnFacts) (stash.Fields, error) {
	if err := paired(words, what); err != nil {
		return nil, err
	}
	fields := stash.Fields{}
	for _, word := range words {
		name, value, _ := strings.Cut(word, "=")
		name = fieldName(name)
		raw, err := k.fieldValue(tx, what, name, k.absolute(what, name, value))
		if err != nil {
			return nil, k.explainCountOf(tx, err, of)
		}
		if fields[name] != nil {
			return nil, stash.Refuse(stash.CodeUsage, "give it once", "%s is set twice", name)
		}
		fields[name] = raw
	}
	return fields, k.asRead(fields.Ahead(what, k.env.now()))
}

// paired refuses words that are not all FIELD=VALUE of some kinds of record. Where a field's
// name and its value stand apart, it says how they are written.
func paired(words []string, whats ...stash.What) error {
	for i, word := range words {
		if strings.Contains(word, "=") {
			continue
		}
		name := fieldName(strings.TrimSuffix(word, ":"))
		is := slices.ContainsFunc(whats, func(what stash.What) bool {
			_, err := stash.FieldOf(what, name)
			return err == nil
		})
		if is && i+1 < len(words) && !strings.Contains(words[i+1], "=") {
			return stash.Refuse(stash.CodeUsage, "write "+stash.Quote(name+"="+words[i+1]),
				"%q and its value stand apart", stash.Clean(word))
		}
		fields := stash.FieldsOf(whats[0])
		field := fields[slices.IndexFunc(fields, func(f stash.Field) bool { return f.Help != "" })]
		return stash.Refuse(stash.CodeUsage, "write FIELD=VALUE, such as "+
			stash.Quote(field.Name+"="+field.Help), "%q sets nothing", stash.Clean(word))
	}
	return nil
}

// fieldName is the name of a field, however it was typed.
func fieldName(typed string) string {
	return stash.British(strings.ReplaceAll(strings.TrimSpace(typed), "-", "_"))
}

// fieldValue reads one value, finding the records that it names.
func (k *call) fieldValue(tx *sqlite.Tx, what stash.What, name, value string) (json.RawMessage, error) {
	f, err := stash.FieldOf(what, name)
	if err != nil || f.Refers == "" || value == "unknown" || value == "-" {
		return either(err, func() (json.RawMessage,
			error) {
			return k.fact(what, name, orDash(f, value))
		})
	}
	switch {
	case f.Many:
		words, err := namesIn(tx, value)
		if err != nil {
			return nil, err
		}
		refs, err := findRefs(tx, words)
		return either(err, func() (json.RawMessage, error) { return json.Marshal(refs) })
	case f.Refers == stash.WhatYarn:
		y, err := tx.FindYarn(value)
		return either(err, func() (json.RawMessage, error) { return json.Marshal(y.ID) })
	}
	p, err := findPerson(tx, value)
	return either(err, func() (json.RawMessage, error) { return json.Marshal(p.ID) })
}

// namesIn are the names of yarns and items in a list; a yarn may have a comma in its
// name, and one before its colour.
func namesIn(tx *sqlite.Tx, list string) (names []string, err error) {
	parts := strings.Split(list, ",")
	for len(parts) > 0 {
		n := len(parts)
		for ; n > 1; n-- {
			is, err := tx.AsPrinted(strings.Join(parts[:n], ","))
			if err != nil {
				return nil, err
			}
			if is {
				break
			}
		}
		names, parts = append(names, strings.Join(parts[:n], ",")), parts[n:]
	}
	return names, nil
}

// orDash makes the words that clear a reference the one that all fields know.
func orDash(f stash.Field, value string) string {
	if f.Refers != "" {
		return "-"
	}
	return value
}

// yarnMeant says whether a word that fits a yarn and some packages means the
// yarn: it does unless it is the tag or the id of the only package.
func yarnMeant(tx *sqlite.Tx, y stash.Yarn, word string, ids []stash.PackageID) (bool, error) {
	if len(ids) != 1 {
		return true, nil
	}
	p, _, err := tx.Package(ids[0])
	word = strings.ToLower(strings.TrimSpace(word))
	byTag := strings.HasPrefix(strings.ToLower(p.Label()), word) ||
		strings.HasPrefix(string(p.ID), word)
	return !byTag && p.Yarn == y.ID, err
}

func either[T any](err error, then func() (T, error)) (T, error) {
	if err != nil {
		var none T
		return none, err
	}
	return then()
}

// findRefs finds what each word names: a yarn with all its packages, or one
// package.
func findRefs(tx *sqlite.Tx, words []string) ([]stash.Ref, error) {
	var refs []stash.Ref
	for _, word := range words {
		ids, err := tx.FindPackages(strings.TrimSpace(word))
		if err != nil {
			return nil, err
		}
		more, err := refsOf(tx, word, ids)
		if err != nil {
			return nil, err
		}
		refs = append(refs, more...)
	}
	return refs, nil
}

// refsOf makes the name of a yarn a reference to it, which holds for packages
// that come in later too, and a tag or id one to each package.
func refsOf(tx *sqlite.Tx, word string, ids []stash.PackageID) ([]stash.Ref, error) {
	y, err := tx.FindYarn(word)
	if err == nil {
		named, err := yarnMeant(tx, y, word, ids)
		if err != nil || named {
			return []stash.Ref{{Yarn: y.ID}}, err
		}
	}
	var refs []stash.Ref
	var yarns []stash.YarnID
	for _, id := range ids {
		p, _, err := tx.Package(id)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(yarns, p.Yarn) {
			yarns = append(yarns, p.Yarn)
		}
		refs = append(refs, stash.Ref{Package: id})
	}
	if len(yarns) > 1 {
		_, err := tx.FindPackage(word)
		return nil, err
	}
	return refs, nil
}
