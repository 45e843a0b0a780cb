package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// answered says of what weavers do, and of what they ask, which script shows it and by
// what command.
var answered = []struct{ what, script, command string }{
	// what they do
	{"know what is there, and what was not weighed for long", "due", `endsmeet due`},
	{"give each dye lot its own identity", "job-16", `list --lots`},
	{"weigh a part cone", "weigh", `endsmeet weigh Y01 400g`},
	{"turn grams into length", "receive", `endsmeet receive .*--count`},
	{"find the count of unmarked yarn", "question-10", `per 10m, weighed sample`},
	{"name the fibre of unmarked yarn", "unmarked", `endsmeet unmarked G`},
	{"decide whether it is fit for warp", "question-21", `endsmeet unmarked M`},
	{"debit after a piece", "finish", `endsmeet finish .*--weighed`},
	{"work out the warp", "plan", `endsmeet plan`},
	{"work out the weft", "plan", `endsmeet plan`},
	{"is it enough", "plan", `endsmeet plan`},
	{"how big could it be", "largest", `endsmeet plan`},
	{"use up small balls in stripes", "job-13", `plan bright --ends 158`},
	{"mix counts in one warp", "question-14", `endsmeet together R H`},
	{"mix fibres", "together", `endsmeet together`},
	{"use two dye lots", "job-16", `endsmeet plan runner`},
	{"another piece on the same warp", "sharedwarp", `endsmeet loom`},
	{"a new warp from leftovers", "another", `endsmeet another`},
	{"learn from what came out", "finish", `endsmeet finish .*--length`},
	{"plan edges", "fringes", `endsmeet plan`},
	{"make for a sensitive person", "suits", `endsmeet suits`},
	{"label for sale or gift", "card", `endsmeet card`},
	{"cost a piece", "worth", `endsmeet worth 'towels 1'`},
	{"value the stash", "worth", `endsmeet worth --by bin`},
	{"keep pests out", "question-21", `endsmeet show M`},
	{"clear out", "idle", `endsmeet idle`},
	{"share yarn", "lend", `endsmeet lend`},
	{"agree two records", "syncquestions", `sync settle`},
	// what they ask
	{"how much of this is left", "show", `endsmeet show`},
	{"is it enough for this piece", "plan", `endsmeet plan`},
	{"what can I make with this", "fits", `endsmeet fits`},
	{"can I use A with B", "together", `endsmeet together`},
	{"how long and wide must I warp", "plan", `plan .*--sums`},
	{"how much weft", "plan", `plan .*--sums`},
	{"what is this unmarked yarn", "unmarked", `endsmeet unmarked`},
	{"what loss should I allow", "question-08", `plan cloth --sums`},
	{"why did I run out", "question-09", `finish cloth .*--sums`},
	{"what is this count in metres per kilo", "question-10", `--count 8/2`},
	{"how big can it be", "largest", `plan`},
	{"can I get a second one", "another", `endsmeet another`},
	{"how many ends does each little ball give", "job-13", `plan bright`},
	{"what sett for this mix", "question-14", `plan mixed --sums`},
	{"have I got something like it already", "like", `endsmeet like`},
	{"may I give it to them", "suits", `endsmeet suits`},
	{"which lots have I, and will a change show", "job-16", `endsmeet plan`},
	{"will it come out even at the edges", "fringes", `endsmeet plan`},
	{"what did this piece cost in yarn", "worth", `endsmeet worth`},
	{"what goes on the fibre label", "card", `endsmeet card`},
	{"is it still sound, clean and free of insects", "question-21", `endsmeet show`},
	{"what must I buy", "share", `share --open`},
	{"what can go", "idle", `endsmeet idle`},
	{"who has the other cone, and is any of it promised", "question-24", `endsmeet show O-2`},
	{"the two lists differ: which is right", "syncquestions", `sync settle`},
}

func TestWhatWeaversDoAndAskIsShown(t *testing.T) {
	t.Parallel()
	for _, a := range answered {
		raw, err := os.ReadFile(filepath.Join("../../testdata/scripts", a.script+".txtar"))
		if err != nil {
			t.Errorf("%s: %v", a.what, err)
			continue
		}
		if !regexp.MustCompile(`(?m)^(?:! )?endsmeet (?:.* )?(?:` +
			strings.TrimPrefix(a.command, "endsmeet ") + `)`).Match(raw) {
			t.Errorf("%s: no run of %q in %s", a.what, a.command, a.script)
		}
	}
}
