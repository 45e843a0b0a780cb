package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// hashForm is that of lanes and of event ids, which are names of objects and
// tell nothing.
var hashForm = regexp.MustCompile(`^[a-z2-7]{24}([a-z2-7]{2})?$`)

// words collects every text of six letters or more in a JSON value; shorter
// ones could stand in sealed bytes by chance.
func words(value any, into map[string]bool) {
	switch v := value.(type) {
	case string:
		var within map[string]any // the line of an event stands as text in what is exported
		if json.Unmarshal([]byte(v), &within) == nil {
			words(within, into)
			return
		}
		if len(v) >= 6 && !hashForm.MatchString(v) {
			into[v] = true
		}
	case []any:
		for _, one := range v {
			words(one, into)
		}
	case map[string]any:
		for key, one := range v {
			words(key, into)
			words(one, into)
		}
	}
}

// secretsOf is every text that a stash holds: names, kinds and fields of all
// events, and what the machine and its keys are called.
func secretsOf(d *desk) map[string]bool {
	d.t.Helper()
	secrets := map[string]bool{}
	d.run("export", "--events", d.path("events.jsonl"), "--with-private")
	raw, err := os.ReadFile(d.path("events.jsonl"))
	if err != nil {
		d.t.Fatal(err)
	}
	for line := range bytes.Lines(raw) {
		var event any
		if err := json.Unmarshal(line, &event); err != nil {
			d.t.Fatal(err)
		}
		words(event, secrets)
	}
	return secrets
}

func TestNoWordOfTheStashLiesInTheSharedPlace(t *testing.T) {
	t.Parallel()
	const phrase = "four looms stood idle"
	d := newDesk(t)
	d.env.work = 4
	d.env.getenv = func(name string) string {
		if name == phraseVariable {
			return phrase
		}
		return ""
	}
	d.run("import", fortyYarns)
	d.run("person", "add", "Mirte Ossewaard", "--rule", "against wool")
	d.run("person", "add", "Joris Wielemaker", "--rule", "against nylon")
	d.run("config", "people.sync=yes")
	shared := d.path("shared")
	if err := os.Mkdir(shared, 0o700); err != nil {
		t.Fatal(err)
	}
	d.run("sync", "setup", shared)
	d.run("sync", "devices", "name", "Kitchentable")
	d.run("sync")
	secrets := secretsOf(d)
	for _, also := range []string{phrase, "Kitchentable", d.path(d.stash)} {
		secrets[also] = true
	}
	if len(secrets) < 150 || !secrets["Mirte Ossewaard"] {
		t.Fatalf("only %d words to look for", len(secrets))
	}
	read, files := readable(t, shared, secrets)
	if len(read) > 0 || files < 8 {
		t.Errorf("of %d files: %q", files, read)
	}
	// The same search finds them where they are not sealed.
	if read, _ := readable(t, d.dir, secrets); len(read) < len(secrets)/2 {
		t.Errorf("the search finds only %d of %d words in the stash itself", len(read),
			len(secrets))
	}
}

// readable searches a folder, names and contents, for secrets.
func readable(t *testing.T, folder string, secrets map[string]bool) (read []string, files int) {
	t.Helper()
	err := filepath.WalkDir(folder, func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		files++
		data, err := os.ReadFile(path)
		for secret := range secrets {
			if bytes.Contains(data, []byte(secret)) ||
				strings.Contains(path[len(folder):], secret) {
				read = append(read, secret)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return read, files
}

func TestTheBarOfAnExchangeIsShownOnATerminalAndOnlyAfterAWhile(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		rule                  string
		terminal, late, shown bool
	}{
		{"a long step on a terminal", true, true, true},
		{"a short one", true, false, false},
		{"a long one in a pipe", false, true, false},
	} {
		t.Run(tt.rule, func(t *testing.T) {
			var out bytes.Buffer
			at := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
			step := show.SyncBar(&out, func() time.Time { return at })
			if !tt.terminal {
				k := &call{env: &environment{stderr: &out}}
				if k.syncBar() != nil {
					t.Fatal("a bar is drawn where nobody looks")
				}
				return
			}
			for done := range int64(40) {
				if tt.late {
					at = at.Add(show.Patience / 10)
				}
				step("receiving", done, 100)
			}
			if shown := strings.Contains(out.String(), "receiving"); shown != tt.shown {
				t.Errorf("%q", out.String())
			}
			step("", 0, 0) // broken off: the line is free for the error
			if tt.shown && !strings.HasSuffix(out.String(), "\r") {
				t.Errorf("the bar is left standing: %q",
					fmt.Sprint(out.String()[max(0, out.Len()-80):]))
			}
		})
	}
}

func TestAnExchangeThatIsBrokenOffSaysSo(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.env.work = 4
	d.env.getenv = func(string) string { return "four looms stood idle" }
	shared := d.path("shared")
	if err := os.Mkdir(shared, 0o700); err != nil {
		t.Fatal(err)
	}
	d.run("receive", "First", "--net", "10g")
	d.run("sync", "setup", shared)
	d.run("use", "First", "1g")
	ctx, stop := context.WithCancel(context.Background())
	d.env.fault = func(sqlite.Point) { stop() } // Ctrl-C while something is written
	if code := d.try(ctx, "sync"); code == 0 ||
		!strings.Contains(d.err.String(), "broken off (run it again") {
		t.Errorf("exit %d, %s", code, d.err.String())
	}
	d.env.fault = nil
	if answer := d.run("sync"); !strings.Contains(answer, "sent 1 event") &&
		!strings.Contains(answer, "nothing new") {
		t.Error(answer)
	}
	if answer := d.run("sync", "check", "--read"); !strings.Contains(answer, "is whole") {
		t.Error(answer)
	}
}

// A machine of which nothing was heard for half a year is named, with the command that
// removes it; neither one that was heard of lately nor the machine itself is.
func TestAMachineLongUnheardIsSuggestedForRemoval(t *testing.T) {
	t.Parallel()
	here, there := newDesk(t), newDesk(t)
	there.env.ids, there.env.machine = stashtest.CountingIDs(1_000_000), "there"
	shared := here.path("shared")
	if err := os.Mkdir(shared, 0o700); err != nil {
		t.Fatal(err)
	}
	now, secret := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC), "four looms stood idle"
	for _, d := range []*desk{here, there} {
		d.env.now, d.env.work = func() time.Time { return now }, 4
		d.env.getenv = func(name string) string { return map[string]string{phraseVariable: secret}[name] }
	}
	here.run("receive", "Ossentarn cotton", "--net", "400g", "--tag", "O")
	here.run("sync", "setup", shared, "--name", "studio")
	there.run("sync", "join", shared, "--name", "kitchen")
	there.run("use", "O", "5g")
	there.run("sync")
	for days, suggested := range map[int]bool{0: false, 100: false, 200: true} {
		now = time.Date(2026, 3, 1+days, 9, 0, 0, 0, time.UTC)
		here.run("sync")
		status := here.run("sync", "status")
		if got := strings.Contains(status,
			"kitchen was last heard of 2026-03-01: `endsmeet sync devices remove kitchen` if it is gone"); got != suggested {
			t.Errorf("after %d days, suggested: %v\n%s", days, got, status)
		}
		if strings.Contains(status, "remove studio") {
			t.Errorf("after %d days its own removal is suggested\n%s", days, status)
		}
	}
	secret = "five looms stood idle"
	here.run("sync", "devices", "remove", "kitchen")
	if status := here.run("sync", "status"); strings.Contains(status, "if it is gone") {
		t.Errorf("one that was removed is suggested for removal\n%s", status)
	}
}
