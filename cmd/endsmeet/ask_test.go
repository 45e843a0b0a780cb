package main

import (
	"bytes"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/urfave/cli/v2"

	"endsmeet/stash/outside"
)

// typing is what a terminal shows, and what is typed as soon as it does and waits for it.
type typing struct{ seen, keys string }

// awaits says whether a screen shows it and then, where prompts are drawn, a whole prompt:
// its keys, or what can be chosen. What is typed between two prompts is lost with the first;
// and as a prompt may be drawn twice, one that is asked again is known by what it says first.
func (t typing) awaits(all []byte, from int) bool {
	_, below, shown := bytes.Cut(all[from:], []byte(t.seen))
	return shown && (!bytes.Contains(all, []byte("┃")) ||
		bytes.Contains(below, []byte("leaves.")) || bytes.Contains(below, []byte("No")))
}

// atTerminal runs a command in a terminal of 80 columns, types what it is told
// to, and gives all that was shown, without what steers a terminal.
func atTerminal(t *testing.T, dir, command string, typed ...typing) string {
	t.Helper()
	cmd := exec.Command("sh", "-c", command)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "HOME="+dir, "XDG_DATA_HOME="+filepath.Join(dir, "data"),
		"ENDSMEET_STASH=", "TZ=UTC", "COLUMNS=80", "TERM=xterm",
		"ENDSMEET_SCRIPT_COUNT="+filepath.Join(dir, ".count"), "ENDSMEET_SCRIPT_MACHINE=script")
	screen, err := pty.StartWithSize(cmd, &pty.Winsize{Rows: 30, Cols: 80})
	if err != nil {
		outside.GoWithout(t, "a pseudo-terminal is not here")
	}
	defer screen.Close()
	late := time.AfterFunc(2*time.Minute, func() { _ = cmd.Process.Kill(); _ = screen.Close() })
	defer late.Stop()
	var all []byte
	from, part := 0, make([]byte, 4096)
	for {
		n, err := screen.Read(part)
		all = append(all, part[:n]...)
		if len(typed) > 0 && typed[0].awaits(all, from) {
			from = len(all)
			_, _ = screen.WriteString(typed[0].keys)
			typed = typed[1:]
		}
		if err != nil { // the program has ended
			break
		}
	}
	_ = cmd.Wait()
	if len(typed) > 0 {
		t.Fatalf("%q was never seen in %q", typed[0].seen, all)
	}
	return regexp.MustCompile("\x1b\\[[0-9;?<>=$]*[a-zA-Z]|\r").ReplaceAllString(string(all), "")
}

const enter, back, leave, endOfFile = "\r", "\x1b[Z", "\x03", "\x04"

func TestOnATerminalAnEmptyStashSaysHowToBegin(t *testing.T) {
	dir := t.TempDir()
	for command, want := range map[string]string{"weigh": "endsmeet receive",
		"together": "endsmeet receive", "plan": "endsmeet project add",
		"suits": "endsmeet person add", "photo save": "endsmeet receive"} {
		said := atTerminal(t, dir, "endsmeet "+command)
		if !strings.Contains(said, "here yet.") || !strings.Contains(said, want) {
			t.Errorf("%s: %s", command, said)
		}
	}
}

func TestOnATerminalWhatIsMissingIsAskedFor(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for _, c := range []string{
		"receive 'Ossentarn cotton' --fibre cotton --count '8/2 Ne' --net 412g --tag Y01",
		"receive 'Marrow wool' --fibre wool --count '8/2 NeW' --net 300g --tag Y02",
	} {
		inShell(t, dir, "endsmeet "+c)
	}
	t.Run("one at a time, and the whole command is shown at the end", func(t *testing.T) {
		said := atTerminal(t, dir, "endsmeet weigh", typing{"Which item?", enter},
			typing{"What does the scale show?", "398g" + enter})
		for _, want := range []string{"Y02  Marrow wool", "Y01 Ossentarn cotton: 398\u00a0g",
			"In one line: endsmeet weigh Y01 398g"} {
			if !strings.Contains(said, want) {
				t.Errorf("no %q in %s", want, said)
			}
		}
	})
	t.Run("again, where an answer cannot be read", func(t *testing.T) {
		said := atTerminal(t, dir, "endsmeet weigh Y01", typing{"What does the scale show?",
			"396" + enter}, typing{"has no unit", "396g" + enter})
		if !strings.Contains(said, "has no unit") ||
			!strings.Contains(said, "In one line: endsmeet weigh Y01 396g") {
			t.Error(said)
		}
	})
	t.Run("at once, before the next is asked", func(t *testing.T) {
		said := atTerminal(t, dir, "endsmeet receive", typing{"Which yarn?", "Fell wool" + enter},
			typing{"made of", "wool" + enter}, typing{"its count", "thin" + enter},
			typing{"has no number", "8/2 NeW" + enter}, typing{"colour", leave})
		if strings.Index(said, "has no number") > strings.Index(said, "colour") ||
			!strings.Contains(said, "nothing was recorded") {
			t.Error(said)
		}
	})
	t.Run("whether a name nearly that of another is right, and all else then", func(t *testing.T) {
		said := atTerminal(t, dir, "endsmeet receive --dry-run", typing{"Which yarn?",
			"Marrow wol" + enter}, typing{"Record it all the same?", enter},
			typing{"Which yarn?", "Marrow wul" + enter}, typing{"Record it all the same?", "y"},
			typing{"made of", enter}, typing{"its count", enter}, typing{"colour", enter},
			typing{"what form", enter}, typing{"scale show", enter}, typing{"yarn weigh", enter},
			typing{"you keep it", enter}, typing{"What tag", enter})
		if !strings.Contains(said, "endsmeet receive --dry-run --new 'Marrow wul'") {
			t.Error(said)
		}
	})
	t.Run("with a way back", func(t *testing.T) {
		said := atTerminal(t, dir, "endsmeet weigh", typing{"Which item?", enter},
			typing{"What does the scale show?", back},
			typing{"Which item?", "\x1b[B" + enter}, typing{"What does the scale show?", "290g" +
				enter})
		if !strings.Contains(said, "In one line: endsmeet weigh Y02 290g") {
			t.Error(said)
		}
	})
	t.Run("and left, whereupon nothing is recorded", func(t *testing.T) {
		before := inShell(t, dir, "endsmeet list")
		for _, key := range []string{leave, endOfFile} {
			said := atTerminal(t, dir, "endsmeet weigh Y01",
				typing{"What does the scale show?", "12g" + key})
			if !strings.Contains(said, "nothing was recorded") ||
				inShell(t, dir, "endsmeet list") != before {
				t.Error(said)
			}
		}
	})
	t.Run("a field, then its value", func(t *testing.T) {
		said := atTerminal(t, dir, "endsmeet set 'Marrow wool'",
			typing{"What is to be set?", "bleeds" + enter + enter}, typing{"To what?", enter})
		if !strings.Contains(said, "In one line: endsmeet set 'Marrow wool' bleeds=yes") {
			t.Error(said)
		}
	})
	t.Run("a first yarn, with what there is to say of it", func(t *testing.T) {
		said := atTerminal(t, dir, "endsmeet receive", typing{"Which yarn?", "Fen wool" + enter},
			typing{"made of", "wool" + enter}, typing{"its count", "8/2 NeW" + enter},
			typing{"colour", enter}, typing{"what form", enter}, typing{"scale show", "212g" + enter},
			typing{"empty cone", "12g" + enter}, typing{"you keep it", "B1" + enter},
			typing{"What tag", "Y07" + enter})
		if !strings.Contains(said, "In one line: endsmeet receive --fibre wool --count '8/2 NeW' "+
			"--gross 212g --tare 12g --bin B1 --tag Y07 'Fen wool'") {
			t.Error(said)
		}
	})
	t.Run("who has what is given away; nobody may be the answer", func(t *testing.T) {
		said := atTerminal(t, dir, "endsmeet give Y02", typing{"Who has it now?", enter},
			typing{"How much?", "20g" + enter})
		if !strings.Contains(said, "nobody is named") ||
			!strings.Contains(said, "In one line: endsmeet give Y02 20g") {
			t.Error(said)
		}
		said = atTerminal(t, dir, "endsmeet give Y02 10g", typing{"Who has it now?", "Wenna" + enter})
		if !strings.Contains(said, "In one line: endsmeet give Y02 10g --to Wenna") {
			t.Error(said)
		}
	})
	t.Run("only what the command can be done with", func(t *testing.T) {
		inShell(t, dir, "endsmeet project add towel --width 20cm --length 30cm --sett 6/cm "+
			"--picks 6/cm --structure plain --warp Y01 --weft Y01")
		for command, want := range map[string]string{"finish": "No piece is on the loom.",
			"loom": "No piece is on the loom.", "return": "Nothing is lent.",
			"card": "No piece is finished.", "another": "No piece is finished or on the loom."} {
			if said := atTerminal(t, dir, "endsmeet "+command); !strings.Contains(said, want) {
				t.Errorf("%s: %s", command, said)
			}
		}
		said := atTerminal(t, dir, "endsmeet start", typing{"Which project?", enter})
		said += atTerminal(t, dir, "endsmeet loom", typing{"Which piece?", enter})
		if !strings.Contains(said, "In one line: endsmeet loom 'towel 1'") {
			t.Error(said)
		}
	})
	t.Run("line by line where the terminal draws nothing", func(t *testing.T) {
		said := atTerminal(t, dir, "TERM=dumb endsmeet show", typing{"1. Y01", "2\n"})
		if !strings.Contains(said, "In one line: endsmeet show Y02") {
			t.Error(said)
		}
		for command, asks := range map[string]string{"endsmeet show": "1. Y01",
			"endsmeet weigh Y01": "What does the scale show?"} {
			said := atTerminal(t, dir, "TERM=dumb "+command, typing{asks, "\x04"})
			if !strings.Contains(said, "You left; nothing was recorded.") || strings.Contains(said, "In one line") {
				t.Errorf("the end of the input does not leave %s: %s", command, said)
			}
		}
	})
	t.Run("not where it is asked not to, nor where there is nothing to choose", func(t *testing.T) {
		for command, want := range map[string]string{"endsmeet weigh --no-input": "Name the item.",
			"endsmeet weigh --json": `"code":"usage"`, "endsmeet suits": "Nobody is recorded here yet.",
			"endsmeet weigh 2>&1 | cat": "Name the item."} {
			if said := atTerminal(t, dir, command); !strings.Contains(said, want) ||
				strings.Contains(said, "In one line") {
				t.Errorf("%s: %s", command, said)
			}
		}
	})
}

func TestTheDemoWaitsOnATerminalAndCanBeLeft(t *testing.T) {
	t.Parallel()
	said := atTerminal(t, t.TempDir(), "endsmeet demo --in here", typing{"Enter goes on", "\n"},
		typing{"Enter goes on", "q\n"})
	if strings.Count(said, "\n# ") != 2 || !strings.Contains(said, "Try on it") {
		t.Error(said)
	}
}

// typedFreely are the arguments for which there is nothing to choose from.
var typedFreely = map[string]bool{"NAME": true, "AMOUNT": true, "WEIGHT": true, "WORDS": true,
	"ID": true, "YEAR": true, "MACHINE": true}

// hasChoices says whether an argument has choices: of its placeholder, of a field, or
// itself, where it is a word to type.
func hasChoices(word string) bool {
	name, _, assigns := strings.Cut(word, "=")
	return valueKinds[word] != nil || word == strings.ToLower(word) ||
		assigns && (name == "FIELD" || name == "SETTING") || valueKinds[name+"="] != nil
}

// TestEveryArgumentCanBeAskedFor: each placeholder of every command has a question
// in words, and what is asked for beyond the arguments is an option.
func TestEveryArgumentCanBeAskedFor(t *testing.T) {
	t.Parallel()
	e := newDesk(t).env
	seen := 0
	special := maps.Clone(choices)
	leaves(commands(&e), "", func(name string, c *cli.Command) {
		for _, word := range placeholders(c.ArgsUsage) {
			delete(special, name+" "+word)
			for _, one := range strings.Split(word, "|") {
				if !hasChoices(one) && !typedFreely[one] {
					t.Errorf("%s: where do the choices of %s come from?", name, one)
				}
			}
		}
		for _, word := range needed(c.ArgsUsage) {
			seen++
			if q := askFor(word); strings.ContainsAny(q, "=[|.") || q != strings.TrimSpace(q) {
				t.Errorf("%s asks %q", name, q)
			}
		}
		for _, a := range asksToo[name] {
			if flagNamed(c.Flags, a.option) == nil {
				t.Errorf("%s has no --%s to ask for", name, a.option)
			}
		}
	})
	if len(special) > 0 {
		t.Errorf("choices for arguments that no command has: %v", slices.Collect(maps.Keys(special)))
	}
	if seen < 20 {
		t.Fatalf("only %d arguments seen", seen)
	}
	if got := needed("ITEM|YARN FIELD=VALUE ... [MORE ...] LAST"); !slices.Equal(got,
		[]string{"ITEM|YARN", "FIELD=VALUE", "LAST"}) {
		t.Errorf("got %q", got)
	}
}
