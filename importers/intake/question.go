package intake

import (
	"regexp"
	"strconv"
	"strings"
	"sync"

	"endsmeet/importers"
	"endsmeet/stash"
)

// Question is something that a person should settle. How is the command for it,
// in which %s stands for the package's tag; empty where there is none.
type Question struct{ Text, How string }

// Command is the command that settles a question about a package, empty where
// there is none, or no tag to name the package by.
func (q Question) Command(tag string) string {
	if q.How == "" || tag == "" {
		return ""
	}
	return "endsmeet " + strings.Replace(q.How, "%s", stash.Quote(tag), 1)
}

// remarkWords in a remark are something that the ledger keeps, and the command
// for it, made of what stands behind the word.
var remarkWords = []struct {
	word, what string
	how        func(rest string, r *importers.Record) string
}{
	{"quarantine", "quarantine", quarantineCommand},
	{"on loan", "a loan", loanCommand},
	{"lent", "a loan", loanCommand},
	{"reserved", "a reserve", reserveCommand},
}

var day = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\b[12][0-9]{3}-[01][0-9]-[0-3][0-9]\b`) })

// quarantineCommand takes the day and the reason from "webbing found 2025-01-30".
func quarantineCommand(rest string, _ *importers.Record) string {
	since := day().FindString(rest)
	if since == "" {
		since = "DAY"
	}
	reason := plain(day().ReplaceAllString(rest, ""))
	if after, ends := strings.CutPrefix(reason, "until"); ends {
		since, reason = "DAY.."+since, after
	}
	return "set %s " + stash.Quote(strings.TrimSpace("quarantine="+since+" "+reason))
}

// loanCommand takes the borrower from "to guild since 2025-02-11, out at 430 g", and the
// day where the row says that the yarn was there by then: nobody can lend what is not.
func loanCommand(rest string, r *importers.Record) string {
	on := ""
	if since := day().FindString(rest); since != "" && r.Acquired != nil &&
		r.Acquired.String() <= since {
		on = " --on " + since
	}
	who, ok := strings.CutPrefix(strings.TrimSpace(rest), "to ")
	if !ok {
		return "lend %s --to WHO" + on
	}
	for _, end := range []string{" since ", ",", ";", " until ", " on "} {
		who, _, _ = strings.Cut(who, end)
	}
	return "lend %s --to " + stash.Quote(plain(who)) + on
}

// reserveCommand takes "60 g for a commission".
func reserveCommand(rest string, _ *importers.Record) string {
	rest = plain(rest)
	if _, err := stash.ParseReserve(rest); err != nil {
		rest = "WEIGHT for PURPOSE"
	}
	return "set %s " + stash.Quote("reserve="+rest)
}

// plain is a text without the marks at its ends.
func plain(text string) string { return strings.Trim(stash.Clean(text), " .,:;!\"'") }

// eachCommand takes one of several that came in together apart from them; again for
// the next.
const eachCommand = "wind %s WEIGHT --tag TAG"

// ask gathers what is open.
func (e *Entry) ask(r *importers.Record) {
	for _, q := range r.Questions {
		how := ""
		if importers.AsksForEach(q) {
			how = eachCommand
		}
		e.Questions = append(e.Questions, Question{q, how})
	}
	if untested(r) {
		e.Questions = append(e.Questions, Question{Text: "as warp it is " + strconv.Quote(stash.Clean(r.WarpText)) +
			", which is kept as a note; once it has passed", How: "set %s fit=warp"})
	}
	e.askCount(r)
	for _, text := range headedRemarks(r) {
		for _, w := range remarkWords {
			if rest, ok := after(text, w.word); ok {
				e.Questions = append(e.Questions, Question{Text: "a remark speaks of " + w.what +
					", and is kept as a note: " + strconv.Quote(stash.Clean(text)),
					How: w.how(rest, r)})
				break
			}
		}
	}
}

// after gives what stands behind a word, or words, that are not part of others.
func after(text, word string) (string, bool) {
	lower := strings.ToLower(text)
	i := strings.Index(lower, word)
	if i < 0 || len(lower) != len(text) || i > 0 && letter(text[i-1]) {
		return "", false
	}
	rest := text[i+len(word):]
	return rest, rest == "" || !letter(rest[0])
}

func letter(b byte) bool { return b >= 'a' && b <= 'z' || b >= 'A' && b <= 'Z' || b >= 0x80 }
