package main

import (
	"encoding/json"
	"errors"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/jsonschema-go/jsonschema"
	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
)

// answersSchema is the contract of --json: of each command the schema of its
// answer, made from the types in the code.
const answersSchema = "../../testdata/answers.schema.json"

// recordingAnswers are runs of commands that record, in an order in which each
// finds what it needs.
var recordingAnswers = [][]string{
	{"receive", "New wool", "--fibre", "wool", "--count", "8/2 NeW", "--net", "200g", "--tag", "W"},
	{"weigh", "W", "190g"}, {"use", "W", "5g"},
	{"discard", "W", "1g"}, {"give", "W", "1g", "--to", "the guild"},
	{"lend", "W", "--to", "the guild"}, {"return", "W"}, {"wind", "W", "20g"},
	{"weigh", "--from", "-", "160g"}, {"use", "--from", "-", "5g"}, {"discard", "--from", "-", "1g"},
	{"give", "--from", "-", "1g", "--to", "the guild"}, {"lend", "--from", "-", "--to", "the guild"},
	{"return", "--from", "-"}, {"set", "--from", "-", "bin=A2"},
	{"retire", "--from", "-", "--leftover", "lost"}, {"undo"},
	{"set", "W", "bin=A1"}, {"retire", "W", "--leftover", "lost"}, {"undo"},
	{"project", "add", "mat", "--width", "20cm", "--length", "30cm", "--sett", "6/cm",
		"--picks", "6/cm", "--structure", "plain", "--warp", "O", "--weft", "O"},
	{"project", "set", "mat", "length=32cm"}, {"start", "mat"}, {"loom", "mat 1"},
	{"finish", "mat 1", "--length", "30cm", "--width", "19cm"},
	{"person", "add", "Ida", "--rule", "no mohair"}, {"person", "set", "Ida", "note=asked"},
	{"worth"}, {"worth", "O"}, {"worth", "mat 1"}, {"year"}, {"due"}, {"next"},
	{"redate", "today", "yesterday", "--machine", "this"}, {"unmarked"}, {"like", "O"}, {"trend"}, {"photo", "list"}, {"plan", "mat", "--reserve"},
}

// schemaOf makes the schema of an answer from its type. Of keys that the code may
// leave out, or that are maps, nothing is said but their type.
func schemaOf(t *testing.T, value any) *jsonschema.Schema {
	t.Helper()
	any := func() *jsonschema.Schema { return &jsonschema.Schema{} }
	s, err := jsonschema.ForType(reflect.TypeOf(value),
		&jsonschema.ForOptions{TypeSchemas: map[reflect.Type]*jsonschema.Schema{
			reflect.TypeFor[json.RawMessage](): any(), reflect.TypeFor[show.OtherFacts](): any(),
			reflect.TypeFor[time.Time]():     {Type: "string"},
			reflect.TypeFor[stash.EventID](): {Type: "string"},
		}})
	if err != nil {
		t.Fatalf("%T: %v", value, err)
	}
	return s
}

func TestEveryAnswerIsAsTheSchemaSays(t *testing.T) {
	t.Parallel()
	d := wideDesk(t)
	schemas := map[string][]*jsonschema.Schema{}
	types := map[string][]reflect.Type{}
	var now *jsonschema.Schema
	d.env.answered = func(command string, value any) {
		now = schemaOf(t, value)
		if kind := reflect.TypeOf(value); !slices.Contains(types[command], kind) {
			types[command], schemas[command] = append(types[command], kind),
				append(schemas[command], now)
		}
	}
	for _, args := range slices.Concat(walked, recordingAnswers) {
		if len(args) > 0 && args[0] == "help" {
			continue
		}
		now, d.env.stdin = nil, strings.NewReader("W\n")
		answer := d.run(append(slices.Clone(args), "--json")...)
		if now == nil && len(args) > 0 && args[0] == "list" { // written an item at a time
			d.env.answered("list", []show.Item{})
		}
		if now == nil {
			t.Errorf("%q answers with nothing that was seen", args)
			continue
		}
		mustFit(t, args, now, answer)
	}
	if len(schemas) < 40 {
		t.Fatalf("only %d commands answered", len(schemas))
	}
	holdAgainst(t, schemas)
	everyCommandAnswered(t, schemas)
}

// mustFit holds an answer against a schema.
func mustFit(t *testing.T, args []string, s *jsonschema.Schema, answer string) {
	t.Helper()
	resolved, err := s.Resolve(nil)
	if err != nil {
		t.Fatalf("%q: %v", args, err)
	}
	var value any
	if err := json.Unmarshal([]byte(answer), &value); err != nil {
		t.Fatalf("%q: %v", args, err)
	}
	if err := resolved.Validate(value); err != nil {
		t.Errorf("%q: %v", args, err)
	}
}

// holdAgainst holds the schemas against the file that other people rely on.
func holdAgainst(t *testing.T, schemas map[string][]*jsonschema.Schema) {
	t.Helper()
	whole := &jsonschema.Schema{Schema: "https://json-schema.org/draft/2020-12/schema",
		Title: "Answers of endsmeet --json, version 1", Defs: map[string]*jsonschema.Schema{}}
	for command, of := range schemas {
		for _, one := range of {
			leftOpen(one)
		}
		whole.Defs[command] = of[0]
		if len(of) > 1 {
			whole.Defs[command] = &jsonschema.Schema{AnyOf: of}
		}
	}
	raw, err := json.MarshalIndent(whole, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	raw = append(raw, '\n')
	if *update {
		if err := os.WriteFile(answersSchema, raw, 0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	kept, err := os.ReadFile(answersSchema)
	if err != nil {
		t.Fatal(err)
	}
	var promised, given any
	if err := errors.Join(json.Unmarshal(kept, &promised),
		json.Unmarshal(raw, &given)); err != nil {
		t.Fatal(err)
	}
	for _, lost := range lacks(given, promised, "") {
		t.Errorf("%s promises %s, which answers no longer keep: keys may be added (-update), never renamed or taken away", answersSchema, lost)
	}
}

// lacks lists the places of what was promised that are not given.
func lacks(given, promised any, at string) []string {
	switch p := promised.(type) {
	case map[string]any:
		g, ok := given.(map[string]any)
		if !ok {
			return []string{at}
		}
		var out []string
		for key := range p {
			out = append(out, lacks(g[key], p[key], at+"/"+key)...)
		}
		return out
	case []any:
		g, _ := given.([]any)
		for _, one := range p {
			if !slices.ContainsFunc(g,
				func(other any) bool { return len(lacks(other, one, "")) == 0 }) {
				return []string{at}
			}
		}
		return nil
	}
	if given != promised {
		return []string{at}
	}
	return nil
}

func TestAKeyThatIsTakenAwayIsMissed(t *testing.T) {
	t.Parallel()
	var before, after any
	_ = json.Unmarshal([]byte(`{"properties":{"tag":{"type":"string"},"bin":{"type":["null","string"]}},"required":["tag"]}`), &before)
	_ = json.Unmarshal([]byte(`{"properties":{"label":{"type":"string"},"bin":{"type":["null","string"]}},"required":["label"]}`), &after)
	if got := lacks(after, before, ""); len(got) != 2 {
		t.Errorf("missed only %q", got)
	}
	if got := lacks(before, before, ""); len(got) != 0 {
		t.Errorf("missed %q of itself", got)
	}
}

// leftOpen allows keys beside those that are named, as the contract does.
func leftOpen(s *jsonschema.Schema) *jsonschema.Schema {
	if s == nil {
		return nil
	}
	if s.AdditionalProperties != nil && s.AdditionalProperties.Not != nil {
		s.AdditionalProperties = nil
	}
	for _, p := range s.Properties {
		leftOpen(p)
	}
	leftOpen(s.Items)
	leftOpen(s.AdditionalProperties)
	return s
}

// everyCommandAnswered names the commands of which no answer was seen.
// oneAtATime need something of each item that no list has: a new tag, a file.
var oneAtATime = []string{"wind", "photo add"}

func everyCommandAnswered(t *testing.T, schemas map[string][]*jsonschema.Schema) {
	// files, lines
	elsewhere := []string{"stocktake", "book", "stickers", "photo add", "photo save", "import",
		"export", "backup", "restore", "demo", "completion"}
	_, told, _ := strings.Cut(helpFile("json"), "With --from FILE")
	told, _, _ = strings.Cut(told, "record the same")
	e := newDesk(t).env
	leaves(commands(&e), "", func(name string, c *cli.Command) {
		if takesList(c) && !slices.ContainsFunc(schemas[name],
			func(s *jsonschema.Schema) bool { return s.Items != nil }) {
			t.Errorf("no answer of %s to a list of items was seen: add a run with --from -", name)
		}
		if takesList(c) && !strings.Contains(told, name) {
			t.Errorf("help does not say that %s takes a list", name)
		}
		if moves := strings.HasPrefix(c.ArgsUsage, "ITEM"); moves && !takesList(c) &&
			slices.Contains(optionsOf(c), "once") && !slices.Contains(oneAtATime, name) {
			t.Errorf("%s records something of an item, and takes no list of them", name)
		}
		if !c.Hidden && !strings.HasPrefix(name, "sync") && schemas[name] == nil &&
			!slices.Contains(elsewhere, name) {
			t.Errorf("no answer of %s was seen: add a run of it to recordingAnswers", name)
		}
	})
}

// takesList says whether a command records the same of each item of a list.
func takesList(c *cli.Command) bool {
	return slices.ContainsFunc(c.Flags, func(f cli.Flag) bool {
		from, ok := f.(*cli.StringFlag)
		return ok && from.Usage == fromUsage
	})
}
