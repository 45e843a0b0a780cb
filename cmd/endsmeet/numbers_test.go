package main

import (
	"html"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"endsmeet/cmd/endsmeet/show"
)

// demoDesk is a desk at the stash that the demo makes, with a piece that is finished.
func demoDesk(t *testing.T) *desk {
	d := newDesk(t)
	d.run("demo", "--in", d.path("demo"))
	d.stash = filepath.Join("demo", "stash.db")
	return d
}

// ofDemo are the screens of the demo's stash, with the most lines that they may have at
// 80 columns; 0 is as many as it takes.
var ofDemo = []struct {
	most int
	args []string
}{
	{24, nil}, {0, []string{"list"}}, {0, []string{"list", "--lots"}}, {0, []string{"show", "Y13"}},
	{0, []string{"show", "moss scarf 1"}}, {0, []string{"show", "--sums", "moss scarf 1"}},
	{0, []string{"history"}}, {0, []string{"worth"}}, {0, []string{"worth", "--by", "bin"}},
	{0, []string{"worth", "moss scarf 1"}}, {0, []string{"year"}}, {0, []string{"trend"}},
	{24, []string{"check"}}, {24, []string{"due"}}, {24, []string{"unmarked"}},
	{24, []string{"like", "Y13"}}, {0, []string{"project", "show", "moss scarf"}},
	{26, []string{"plan", "moss scarf"}}, {0, []string{"plan", "--sums", "moss scarf"}},
	{20, []string{"another", "moss scarf"}}, {0, []string{"another", "--sums", "moss scarf"}},
	{0, []string{"share", "moss scarf"}}, {24, []string{"next"}}, {0, []string{"config"}},
	{0, []string{"person", "show", "Tamsel"}}, {0, []string{"person", "presets"}},
	{24, []string{"suits", "Tamsel", "Y13"}}, {24, []string{"together", "Y13", "Y05"}},
	{0, []string{"card", "moss scarf 1"}}, {0, []string{"help", "counts"}},
	{0, []string{"help", "losses"}}, {0, []string{"help", "chance"}},
}

// badNumbers are numbers as no screen has them.
var badNumbers = map[string]*regexp.Regexp{
	"more than three decimals":   regexp.MustCompile(`\d\.\d{4,}`),
	"a space before per cent":    regexp.MustCompile(`\d[ \x{a0}]%`),
	"degrees without their sign": regexp.MustCompile(`\d[ \x{a0}]C\b`),
	"x for ×":                    regexp.MustCompile(`\d x \d`),
	"an uncertainty of nothing":  regexp.MustCompile(`± ?0(\.0+)?([ %]|$)`),
	"a machine's number":         regexp.MustCompile(`\d[eE][-+]\d|\bNaN\b|[-+]?\bInf\b`),
	"a unit alone":               regexp.MustCompile(`(?m)^ *(cm|mm|kg|°C)\b`),
}

func TestNumbersOnEveryScreenAreAsAPersonHasThem(t *testing.T) {
	t.Parallel()
	d := demoDesk(t)
	seen := 0
	for _, units := range []string{"metric", "imperial"} {
		d.run("config", "units="+units)
		for _, screen := range ofDemo {
			d.env.columns, d.env.stdoutTTY = 80, true
			said := d.run(screen.args...)
			seen += strings.Count(said, show.NoBreak)
			plain := strings.ReplaceAll(said, show.NoBreak, " ")
			for wrong, pattern := range badNumbers {
				if found := pattern.FindString(said); found != "" {
					t.Errorf("%q, %s: %s: %q in\n%s", screen.args, units, wrong, found, around(said, found))
				}
			}
			for _, m := range uncertain.FindAllStringSubmatch(plain, -1) {
				if wrong := tooExact(m[1], m[2]); wrong != "" {
					t.Errorf("%q, %s: %q: %s", screen.args, units, m[0], wrong)
				}
			}
			if wrong := uneven(plain); wrong != "" {
				t.Errorf("%q, %s: a column has uneven decimals:\n%s", screen.args, units, wrong)
			}
			for _, m := range evenTenth.FindAllStringSubmatch(plain, -1) {
				if !regexp.MustCompile(`\.[1-9] ?` + m[2]).MatchString(plain) {
					t.Errorf("%q, %s: %q: its tenth says nothing", screen.args, units, m[0])
				}
			}
			d.env.columns, d.env.stdoutTTY = 0, false
			if piped := d.run(screen.args...); strings.Contains(piped, show.NoBreak) {
				t.Errorf("%q: a pipe has spaces that grep does not know", screen.args)
			}
		}
	}
	if seen < 500 {
		t.Fatalf("only %d numbers with their units were seen", seen)
	}
}

// around is the line that something stands in.
func around(text, what string) string {
	at := strings.Index(text, what)
	from := strings.LastIndex(text[:at], "\n") + 1
	line, _, _ := strings.Cut(text[from:], "\n")
	return line
}

// uneven are two rows of a table that have a number of the same unit with more and with
// fewer decimals at the right of the same column; empty where there are none.
func uneven(text string) string {
	lines := strings.Split(text, "\n")
	for i := 1; i < len(lines); i++ {
		for _, at := range quantity.FindAllStringSubmatchIndex(lines[i], -1) {
			for _, above := range quantity.FindAllStringSubmatchIndex(lines[i-1], -1) {
				if at[1] != above[1] || at[0] == 0 || above[0] == 0 {
					continue
				}
				here, there := lines[i][at[2]:at[3]], lines[i-1][above[2]:above[3]]
				_, a, _ := strings.Cut(here, ".")
				_, b, _ := strings.Cut(there, ".")
				if len(a) != len(b) && lines[i][at[4]:at[5]] == lines[i-1][above[4]:above[5]] {
					return lines[i-1] + "\n" + lines[i]
				}
			}
		}
	}
	return ""
}

// quantity matches a number with its unit in a column.
var quantity = regexp.MustCompile(`  (\d+(?:\.\d+)?) ?(%|cm|mm|m|g|kg|oz|yd)(?:  |$)`)

// evenTenth matches a number whose one decimal is nought, with its unit.
var evenTenth = regexp.MustCompile(`(\d+\.0) ?(%|cm|mm|m|g|kg)(?:[^\w]|$)`)

// uncertain matches a number with its uncertainty, or the uncertainty alone.
var uncertain = regexp.MustCompile(`(?:(\d+(?:\.\d+)?)[ a-z%]*)?± (\d+(?:\.\d+)?)`)

// tooExact is what is wrong with a number and its uncertainty: that has two figures at
// most, and the number no more decimals (JCGM 100:2008, 7.2.6).
func tooExact(number, u string) string {
	figures := strings.TrimLeft(strings.ReplaceAll(u, ".", ""), "0")
	if len(figures) > 2 && strings.Trim(figures[2:], "0") != "" {
		return "the uncertainty has more than two figures"
	}
	_, part, _ := strings.Cut(u, ".")
	if _, of, found := strings.Cut(number, "."); found && len(of) > len(part) {
		return "the number is more exact than its uncertainty"
	}
	return ""
}

func TestScreensOfTheDemoKeepToTheirLines(t *testing.T) {
	t.Parallel()
	d := demoDesk(t)
	d.env.columns = 80
	for _, screen := range ofDemo {
		if n := strings.Count(d.run(screen.args...), "\n"); screen.most > 0 && n > screen.most {
			t.Errorf("%q has %d lines, may have %d:\n%s", screen.args, n, screen.most, d.out.String())
		}
	}
}

// TestWhatIsPaidAddsUpAsPrinted: the lines of a table of money add up to its head, to the
// cent.
func TestWhatIsPaidAddsUpAsPrinted(t *testing.T) {
	t.Parallel()
	d := demoDesk(t)
	cents := func(text string) int {
		n, err := strconv.Atoi(strings.ReplaceAll(text, ".", ""))
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	money := regexp.MustCompile(`(?m)(\d+\.\d\d)$`)
	for _, by := range []string{"yarn", "bin", "fibre"} {
		said := d.run("worth", "--by", by)
		head, table, _ := strings.Cut(said, "\n\n")
		total := cents(regexp.MustCompile(`for (\d+\.\d\d)`).FindStringSubmatch(head)[1])
		sum := 0
		for _, m := range money.FindAllStringSubmatch(table, -1) {
			sum += cents(m[1])
		}
		if sum != total || sum == 0 {
			t.Errorf("by %s: %d, its lines %d in\n%s", by, total, sum, said)
		}
	}
	said := d.run("worth", "moss scarf 1")
	total := cents(regexp.MustCompile(`cost (\d+\.\d\d)`).FindStringSubmatch(said)[1])
	sum := 0
	for _, m := range regexp.MustCompile(`(?m) g  +(\d+\.\d\d)  `).FindAllStringSubmatch(said, -1) {
		sum += cents(m[1])
	}
	if sum != total {
		t.Errorf("%d, its lines %d in\n%s", total, sum, said)
	}
}

// pagesOfDemo are the pages and drawings of the demo's stash.
var pagesOfDemo = [][]string{
	{"book", "-"}, {"card", "moss scarf 1", "--html", "-"}, {"card", "moss scarf 1", "--svg", "-"},
	{"stickers", "-"}, {"plan", "moss scarf", "--svg", "-"}, {"another", "moss scarf 1", "--svg", "-"},
}

// TestNumbersOnEveryPageAreAsAPersonHasThem: what is read of a page or a drawing has its numbers
// as a screen has, with the sign that the weaver uses for decimals; its markup has them as ever.
func TestNumbersOnEveryPageAreAsAPersonHasThem(t *testing.T) {
	t.Parallel()
	d := demoDesk(t)
	markup := regexp.MustCompile(`(?s)<style.*?</style>|<script.*?</script>|<[^>]*>`)
	point := regexp.MustCompile(`(?:^|[\s(])\d+\.\d+(?:[\s);,]|$)`)
	decimals := 0
	for _, page := range pagesOfDemo {
		d.run("config", "decimal=point")
		with := d.run(page...)
		d.run("config", "decimal=comma")
		without := d.run(page...)
		if strings.Join(markup.FindAllString(with, -1), "") != strings.Join(markup.FindAllString(without, -1), "") {
			t.Errorf("%q: the markup changes with the sign of decimals", page)
		}
		read := html.UnescapeString(markup.ReplaceAllString(without, "\n"))
		if found := point.FindString(read); found != "" {
			t.Errorf("%q has %q for a weaver who writes a comma", page, found)
		}
		decimals += len(point.FindAllString(markup.ReplaceAllString(with, "\n"), -1))
		for what, bad := range badNumbers {
			if found := bad.FindString(read); found != "" {
				t.Errorf("%q has %s: %q", page, what, found)
			}
		}
	}
	if decimals < 20 {
		t.Fatalf("only %d decimals were seen", decimals)
	}
}
