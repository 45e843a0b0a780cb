package main

import (
	"context"
	_ "embed"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// demoStash is an invented stash of forty yarns.
//
//go:embed demo/stash40.csv
var demoStash []byte

func demoCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "demo", Category: groupHouse,
		Usage: "See what endsmeet does, on an invented stash.",
		Description: "Makes a stash of forty invented yarns in a new folder, never yours, and runs plan, start,\n" +
			"finish and another. On a terminal it waits after each step and can be left with q.\n" +
			"The folder stays, so that you can try things.",
		Flags: []cli.Flag{&cli.StringFlag{Name: "in",
			Usage: "use this `FOLDER`, new or without a stash"}},
		Action: action(e, 0, 0, demo),
	}
}

// demoStep is one command of the demo and why it is shown.
type demoStep struct {
	why  string
	args []string
	// refused says that the command is there to be refused.
	refused bool
}

var demoSteps = []demoStep{
	{"Forty yarns from a spreadsheet, each ball and cone with a tag of its own.",
		[]string{"import", "stash40.csv"}, false},
	{"What is there of wool, and how sure is its length?",
		[]string{"list", "--fibre", "wool", "--sort", "bin"}, false},
	{"Somebody with bad lungs: a preset of rules, which are then theirs.",
		[]string{"person", "add", "Tamsel Orrow", "--preset", "respiratory"}, false},
	{"Which of these yarns have anything recorded against them?",
		[]string{"suits", "Tamsel", "Y05", "Y13", "Y18", "Y19", "Y31"}, false},
	{"A scarf: worsted warp, cotton weft, twisted fringe.", []string{
		"project", "add", "moss scarf", "--kind", "scarf", "--width", "28cm", "--length", "165cm",
		"--sett", "8/cm", "--picks", "7/cm",
		"--structure", "2/2 twill", "--warp", "Y13", "--weft", "Y05", "--twisted", "12cm",
		"--bunch", "4", "--hemstitched-edges", "2",
		"--washing", "hand, cool", "--for", "Tamsel",
	}, false},
	{"The superwash as its weft? The two part company in the first wash.",
		[]string{"start", "moss scarf", "--weft", "Y15"}, true},
	{"The mohair? Not for this person.", []string{"start", "moss scarf", "--weft", "Y19"}, true},
	{"Sixty grams of the moss are promised: said once, and kept out of every plan.",
		[]string{"set", "Y13", "reserve=60 g for a commission"}, false},
	{"What the scarf needs, whether it fits, from which balls and cones.", []string{"plan", "moss scarf"},
		false},
	{"On the loom it goes; its yarn is spoken for.", []string{"start", "moss scarf"}, false},
	{"Off the loom: both cones on the kitchen scale, and the tape.", []string{
		"finish", "moss scarf", "--weighed", "Y13=182g", "--weighed", "Y05=190g", "--tape", "196cm",
		"--off-loom", "184cm",
		"--length", "166cm", "--width", "27.5cm", "--off-width", "31cm", "--waste", "30cm",
		"--thrums", "11g",
	}, false},
	{"Is there enough for another, and how big?", []string{"another", "moss scarf"}, false},
	{"Every gram accounted for.", []string{"check"}, false},
}

// demoNext are commands to try on the demo's stash.
var demoNext = []string{
	"", "list --bin A1", "show Y03", "set Y03 \"tare=28g assumed 12g\"", "show Y03",
	"fits scarf --for Tamsel", "history Y13", "undo", "help",
}

func demo(k *call) error {
	folder, err := demoFolder(k.String("in"))
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(folder, "stash40.csv"), demoStash, 0o600); err != nil {
		return err
	}
	file := filepath.Join(folder, "stash.db")
	for i, step := range demoSteps {
		if i > 0 && k.leaves(len(demoSteps)-i) {
			break
		}
		if err := k.demoStep(folder, file, step); err != nil {
			return err
		}
	}
	fmt.Fprintf(k.env.stdout, "\nThe stash of this demo is %s\n\nTry on it:\n\n", file)
	set, unset := k.env.inYourShell("ENDSMEET_STASH", file)
	fmt.Fprintln(k.env.stdout, "  "+set)
	for _, line := range demoNext {
		fmt.Fprintln(k.env.stdout, strings.TrimRight("  endsmeet "+line, " "))
	}
	fmt.Fprintf(k.env.stdout, "\nTo be back at your own stash:\n\n  %s\n", unset)
	return nil
}

// leaves waits on a terminal before the next step, and says whether the person
// leaves the demo there.
func (k *call) leaves(more int) bool {
	if !k.mayAsk() {
		return false
	}
	fmt.Fprintf(k.env.stderr, "\n[Enter goes on, q leaves: %s to go] ",
		measure.Counted(more, "step"))
	word, err := nextLine(k.env.stdin)
	return err != nil || strings.HasPrefix(strings.ToLower(word), "q")
}

// nextLine reads a line and nothing after it, so that whoever reads on misses
// nothing.
func nextLine(r io.Reader) (string, error) {
	var line []byte
	for one := make([]byte, 1); ; {
		n, err := r.Read(one)
		if n > 0 && one[0] == '\n' || err != nil {
			return strings.TrimSpace(string(line)), err
		}
		line = append(line, one[:n]...)
	}
}

// demoFolder makes a new folder, or takes the one given if it has no stash.
func demoFolder(named string) (string, error) {
	if named == "" {
		return os.MkdirTemp("", "endsmeet-demo-")
	}
	if _, err := os.Stat(filepath.Join(named, "stash.db")); err == nil {
		return "", stash.Refuse(stash.CodeRefused, "name another folder",
			"%s holds a stash already", named)
	}
	if err := os.MkdirAll(named, 0o700); err != nil {
		return "", show.Unwritable(named, err)
	}
	return filepath.Abs(named)
}

// demoStep shows a command and runs it.
func (k *call) demoStep(folder, file string, step demoStep) error {
	fmt.Fprintf(k.env.stdout, "\n# %s\n$ %s\n", step.why, asTyped(step.args))
	e := *k.env
	e.stderr, e.stdinTTY = k.env.stdout, false
	args := append([]string{"endsmeet", "--stash", file}, inFolder(step.args, folder)...)
	code := run(context.WithoutCancel(k.ctx), &e, args)
	if (code != 0) != step.refused {
		return stash.Refuse(stash.CodeRefused, "its output is above", "the demo stopped at `%s`",
			strings.Join(step.args, " "))
	}
	return k.ctx.Err()
}

// inFolder gives files of the demo their folder.
func inFolder(args []string, folder string) []string {
	out := append([]string(nil), args...)
	for i, a := range out {
		if strings.HasSuffix(a, ".csv") {
			out[i] = filepath.Join(folder, a)
		}
	}
	return out
}

// asTyped is a command as it is typed.
func asTyped(args []string) string {
	words := []string{"endsmeet"}
	for _, a := range args {
		words = append(words, stash.Quote(a))
	}
	return strings.Join(words, " ")
}
