package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	tea "charm.land/bubbletea/v2"
	"charm.land/huh/v2"
	"github.com/urfave/cli/v2"

	"endsmeet/stash"
)

// alsoAsked is an option that is asked for beside the arguments, and how.
type alsoAsked struct {
	option, title string
	// unless is an option whose answer makes this one superfluous, after one without
	// which it has no use.
	unless, after string
}

// asksToo are the options that a person who is asked for arguments is asked for
// as well: without them the record is of little use. Each may be left empty.
var asksToo = map[string][]alsoAsked{
	"receive": {
		{option: "fibre", title: "What is it made of?"},
		{option: "count", title: "What is its count, with the base?"},
		{option: "colour", title: "What colour is it?"},
		{option: "form", title: "In what form?"},
		{option: "gross", title: "What does the scale show, with its cone, tube or bag?"},
		{option: "tare", title: "What does the empty cone, tube or bag weigh?", after: "gross"},
		{option: "net", title: "What does the yarn weigh alone?", unless: "gross"},
		{option: "bin", title: "Where do you keep it?"},
		{option: "tag", title: "What tag does it get?"},
	},
	"project add": {
		{option: "kind", title: "What kind of cloth?"},
		{option: "width", title: "How wide, when finished?"},
		{option: "length", title: "How long, when finished?"},
		{option: "sett", title: "What sett?"},
		{option: "picks", title: "How many picks?"},
		{option: "warp", title: "Which yarn for the warp?"},
		{option: "weft", title: "Which yarn for the weft?"},
		{option: "for", title: "Who is it for?"},
	},
	"person add": {{option: "preset", title: "Which set of rules to begin with?"},
		{option: "rule", title: "What must not reach them?"}},
	"lend": {{option: "to", title: "Who has it now?"}},
	"give": {{option: "to", title: "Who has it now?"}},
}

// question is one thing to ask for.
type question struct {
	title, about string
	// alsoAsked is the option that it is the value of, empty for an argument.
	alsoAsked
	choices []candidate
	value   string
	// joined says that the value goes on that of the question before.
	joined bool
	// valuesFor are the choices that the answer before leaves, and whether anything else
	// may be typed as well.
	valuesFor func(before string) (choices []candidate, open bool)
	// open says that the choices are no more than suggestions.
	open bool
}

// completed asks on a terminal for what a command lacks, and whether what looks like a
// slip is right, runs it, and shows at the end what could have been typed. Other errors
// stay as they are.
func (e *environment) completed(ctx context.Context, typed []string, err error) error {
	var l *lacking
	if !errors.As(err, &l) || !e.mayAsk(typed) {
		return e.insisted(ctx, typed, err)
	}
	questions, missing := e.questionsFor(ctx, newApp(e), l, typed)
	if missing != nil || len(questions) == 0 {
		return cmp.Or(missing, err)
	}
	readable := func(answered []*question) bool {
		err := e.tried(ctx, l.command, withAnswers(typed, answered))
		if wrongAnswer(answered, err) != len(answered)-1 {
			return true
		}
		option, refused := insistedOn(err)
		if refused == nil {
			report(e, err, false)
			return false
		}
		sure := e.confirmed(ctx, refused) == nil
		if sure {
			typed = append(typed, "--"+string(option))
		}
		return sure
	}
	for from, to := 0, len(questions); from >= 0; to = from + 1 {
		if err = e.ask(ctx, questions[:to], from, readable); err != nil {
			return err
		}
		e.asked = true
		err = e.again(ctx, withAnswers(typed, questions))
		if from = wrongAnswer(questions, err); from >= 0 {
			report(e, err, false)
			questions[from].value = ""
		}
	}
	return err
}

// tried runs a command that records with the answers so far, without a word and without
// recording anything, to learn whether they can be read.
func (e *environment) tried(ctx context.Context, command *cli.Command, typed []string) error {
	if flagNamed(command.Flags, "once") == nil || wants(typed, "scale") {
		return nil
	}
	silent := *e
	silent.stdin, silent.stdout, silent.stderr = strings.NewReader(""), io.Discard, io.Discard
	silent.stdinTTY, silent.asked, silent.answered = false, true, nil
	app := newApp(&silent)
	args, err := inOrder(app, slices.Insert(slices.Clone(typed), 1, "--dry-run"))
	if err != nil {
		return nil
	}
	return app.RunContext(ctx, args)
}

// wrongAnswer is the first of some questions whose answer an error quotes as one that
// cannot be read, -1 where it does not: it is asked again.
func wrongAnswer(questions []*question, err error) int {
	if code := stash.CodeOf(err); err == nil ||
		code != stash.CodeInput && code != stash.CodeAmbiguous {
		return -1
	}
	return slices.IndexFunc(questions, func(q *question) bool {
		return strings.TrimSpace(q.value) != "" &&
			strings.Contains(err.Error(), strconv.Quote(strings.TrimSpace(q.value)))
	})
}

// mayAsk says whether somebody is there to be asked, by the options of the command.
func (k *call) mayAsk() bool {
	return !k.asJSON() && !k.Bool("no-input") && k.env.mayAsk(nil)
}

// mayAsk says whether somebody is there to be asked.
func (e *environment) mayAsk(args []string) bool {
	return e.stdinTTY && e.stdoutTTY && e.stderrTTY && !slices.Contains(args, "--") &&
		!wants(args, "json") && !wants(args, "no-input")
}

// questionsFor are the questions for what a command lacks. Where one of them has no
// answer yet, as there is no project to choose, it is an error that says how to begin.
func (e *environment) questionsFor(ctx context.Context, app *cli.App, l *lacking,
	typed []string) ([]*question, error) {
	c := &completer{env: e, ctx: ctx, app: app, stash: e.stashPath(l.stash), command: l.command}
	var out []*question
	for _, word := range l.words {
		q := &question{title: askFor(word), about: asking[word].about}
		name, _, assigns := strings.Cut(word, "=")
		if assigns {
			q.choices = c.assignments(name, "")
			out = append(out, q, &question{title: "To what?", joined: true,
				valuesFor: func(before string) ([]candidate, bool) {
					return withoutPrefix(before, c.assignments(name, before)), c.anyValue(name, before)
				}})
			continue
		}
		if err := c.chooseFrom(q, word, typed); err != nil {
			return nil, err
		}
		first, _, _ := strings.Cut(word, "|")
		if none, ok := nothingYet[first]; ok && len(q.choices) == 0 && !q.open {
			return nil, stash.Refuse(stash.CodeRefused, none.hint, "%s", none.say)
		}
		out = append(out, q)
	}
	return append(out, c.optionsToo(strings.TrimPrefix(l.path, "endsmeet "), typed)...), nil
}

// chooseFrom gives a question its choices: what is likely for the command, else what
// the placeholder stands for.
func (c *completer) chooseFrom(q *question, word string, typed []string) error {
	special := choices[c.command.Name+" "+word]
	q.open, q.about = special.open, cmp.Or(q.about, special.about)
	if special.none != "" && !wants(typed, special.unless) && len(special.of(c)) == 0 {
		return stash.Refuse(stash.CodeRefused, special.hint, "%s", special.none)
	}
	find := c.likely
	if wants(typed, special.unless) {
		find = c.values
	}
	q.choices = slices.DeleteFunc(find(word, ""),
		func(one candidate) bool { return one.value == "" })
	return nil
}

// optionsToo are the questions for options, which are asked once.
func (c *completer) optionsToo(name string, typed []string) []*question {
	var out []*question
	for _, a := range asksToo[name] {
		if c.env.asked || wants(typed, a.option) {
			continue
		}
		f := flagNamed(c.command.Flags, a.option)
		_, usage, _ := optionWords(f)
		_, example, _ := strings.Cut(usage, "such as ")
		about := "Leave it empty if it is not known."
		if example != "" {
			about = "Such as " + strings.TrimSuffix(example, ".") + ". " + about
		}
		q := &question{title: a.title, about: about, alsoAsked: a}
		if slices.Contains([]string{"KIND", "PERSON", "PRESET", "FORM", "YARN"}, placeholderOf(f)) {
			known := c.valuesOf(f, "")
			if len(known) == 0 {
				continue
			}
			q.choices = append([]candidate{{"", "leave it open"}}, known...)
		}
		out = append(out, q)
	}
	return out
}

// superfluous says whether the answers so far leave nothing to ask.
func (q *question) superfluous(before []*question) bool {
	answered := func(option string) bool {
		return slices.ContainsFunc(before, func(b *question) bool {
			return b.option == option && strings.TrimSpace(b.value) != ""
		})
	}
	return q.unless != "" && answered(q.unless) || q.after != "" && !answered(q.after)
}

// nothingYet is said where there is nothing recorded of what a placeholder stands for.
var nothingYet = map[string]struct{ say, hint string }{
	"ITEM":    {"There is no yarn here yet.", "Record your first: endsmeet receive"},
	"YARN":    {"There is no yarn here yet.", "Record your first: endsmeet receive"},
	"PROJECT": {"There is no project here yet.", "Describe your first: endsmeet project add"},
	"PIECE":   {"There is no piece here yet.", "Put one on the loom: endsmeet start"},
	"PERSON":  {"Nobody is recorded here yet.", "Record whom you weave for: endsmeet person add"},
}

// ask asks one question after the other until all are answered, beginning with one of
// them; each may be gone back from, and is asked again where the answer is not readable.
func (e *environment) ask(ctx context.Context, questions []*question, from int,
	readable func([]*question) bool) error {
	for i, back := from, false; i < len(questions); {
		q := questions[i]
		if q.superfluous(questions[:i]) {
			if q.value = ""; back {
				i--
			} else {
				i++
			}
			continue
		}
		if q.joined {
			q.about = questions[i-1].value
			q.choices, q.open = q.valuesFor(q.about)
		}
		var err error
		switch back, err = e.askOne(ctx, q); {
		case errors.Is(err, huh.ErrUserAborted):
			return stash.Refuse(stash.CodeStopped, "", "You left; nothing was recorded.")
		case err != nil:
			return err
		case back:
			i = max(0, i-1)
			continue
		}
		fmt.Fprintf(e.stderr, "%s %s\n", q.title, cmp.Or(stash.Clean(q.value), "-"))
		if i++; i < len(questions) && !readable(questions[:i]) {
			i--
			q.value = ""
		}
	}
	return nil
}

// askOne asks a question, and says whether the person went back from it.
func (e *environment) askOne(ctx context.Context, q *question) (back bool, err error) {
	form := q.form()
	leaves := func(_ tea.Model, msg tea.Msg) tea.Msg {
		key, ok := msg.(tea.KeyPressMsg)
		if !ok {
			return msg
		}
		switch key.String() {
		case "shift+tab":
			back = true
		case "ctrl+j": // Enter, typed before the question was there
			return tea.KeyPressMsg{Code: tea.KeyEnter}
		case "ctrl+c", "ctrl+d":
		default:
			return msg
		}
		form.CancelCmd = tea.Quit // not at once: the question is taken off the screen first
		return tea.KeyPressMsg{Code: 'c', Mod: tea.ModCtrl}
	}
	err = e.fill(ctx, form.WithProgramOptions(tea.WithFilter(leaves)))
	if back {
		return true, nil
	}
	return false, err
}

// fill has a person fill in a form. On a terminal that draws nothing the library takes the end
// of the input for an answer; here it leaves.
func (e *environment) fill(ctx context.Context, form *huh.Form) (err error) {
	in, linear := e.stdin, e.getenv("TERM") == "dumb"
	if linear {
		in = endLeaves{in}
		defer func() {
			switch left := recover(); left {
			case nil:
			case huh.ErrUserAborted:
				err = huh.ErrUserAborted
			default:
				panic(left)
			}
		}()
	}
	return form.WithShowHelp(false).WithTheme(huh.ThemeFunc(huh.ThemeBase)).WithInput(in).
		WithOutput(e.stderr).WithAccessible(linear).RunWithContext(ctx)
}

// endLeaves is an input of which the end panics with huh.ErrUserAborted.
type endLeaves struct{ io.Reader }

// Read implements io.Reader.
func (in endLeaves) Read(p []byte) (int, error) {
	n, err := in.Reader.Read(p)
	if n == 0 && errors.Is(err, io.EOF) {
		panic(huh.ErrUserAborted)
	}
	return n, err
}

// mostChoices is how many choices are seen at a time; of more than fewChoices one
// is looked for by typing.
const (
	mostChoices = 10
	fewChoices  = 7
)

// form is the question as something that a person fills in.
func (q *question) form() *huh.Form {
	const keys = "Enter takes it, Shift-Tab goes back, Ctrl-C leaves."
	if len(q.choices) == 0 || q.open {
		in := huh.NewInput().Title(q.title).Description(strings.TrimSpace(q.about + "\n" +
			q.suggested() + keys)).Value(&q.value)
		if q.option == "" {
			in.Validate(notEmpty)
		}
		return huh.NewForm(huh.NewGroup(in))
	}
	var options []huh.Option[string]
	for _, c := range q.choices {
		options = append(options,
			huh.NewOption(strings.TrimSpace(stash.Clean(c.value)+"  "+stash.Clean(c.about)),
				c.value))
	}
	about := strings.TrimSpace(q.about + "\nThe arrows choose. " + keys)
	if len(options) > fewChoices {
		about = q.title + " Type a part of the name, or use the arrows. " + keys
	}
	field := huh.NewSelect[string]().Title(q.title).Description(about).Options(options...).Height(min(len(options), mostChoices) + 4).
		Filtering(len(options) > fewChoices).Value(&q.value)
	return huh.NewForm(huh.NewGroup(field))
}

// suggested names the first of what could be typed, in the words of the question.
func (q *question) suggested() string {
	var words []string
	for _, c := range q.choices[:min(len(q.choices), fewSuggested)] {
		words = append(words, stash.Clean(c.value))
	}
	if len(words) == 0 {
		return ""
	}
	return "Such as " + strings.Join(words, ", ") + ". "
}

const fewSuggested = 4

func notEmpty(text string) error {
	if strings.TrimSpace(text) == "" {
		return stash.Refuse(stash.CodeInput, "", "Type something, or leave with Ctrl-C.")
	}
	return nil
}

// withoutPrefix takes the beginning off all candidates.
func withoutPrefix(front string, all []candidate) []candidate {
	for i := range all {
		all[i].value = strings.TrimPrefix(all[i].value, front)
	}
	return all
}

// withAnswers is the command line with what was answered.
func withAnswers(typed []string, questions []*question) []string {
	out := slices.Clone(typed)
	var given []string
	for _, q := range questions {
		switch {
		case q.joined:
			given[len(given)-1] += q.value
		case q.option == "":
			given = append(given, q.value)
		case strings.TrimSpace(q.value) != "":
			out = append(out, "--"+q.option, q.value)
		}
	}
	if slices.ContainsFunc(given, func(word string) bool { return strings.HasPrefix(word, "-") }) {
		out = append(out, "--")
	}
	return append(out, given...)
}
