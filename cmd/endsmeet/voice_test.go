package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// out are words that a weaver is not to read, with those to write instead. What
// looks like one and is not is taken out first.
var out = []struct {
	word, instead string
	not           *regexp.Regexp
}{
	{`briefs?`, "project", regexp.MustCompile(`brief cool rinse|"brief"`)},
	{`crimps?`, "take-up", regexp.MustCompile(`equal crimp`)}, // the term of the formula's author
	{`allot(s|ted|ments?)?`, "share", regexp.MustCompile(`json:"allotments"`)},
	{`spoil(s|ed|t)?`, "discard", regexp.MustCompile(`heat spoils`)},
	{`given up|gives? up`, "abandon", nil},
	{`vaults?`, "shared place", nil},
	{`hem[- ]edges?`, "hemstitched edges", nil},
	{`(what|that) binds`, "runs out first", nil},
	{`of it free|free again`, "available", nil},
	{`packages?`, "item, ball, cone", regexp.MustCompile(
		`^(chance|share|fit): .*|^package $|^the pool .*|packages\.csv|what = .package.|` +
			`package (type|weight|mass|length)|vnd\.openxmlformats-package`)},
	{`(the|this|your) ledger`, "the stash", nil},
	{`posted`, "kept", nil},
	{`grists?`, "count", regexp.MustCompile(`grist source|source of grist|grist from`)}, // headings
	{`mass(es)?`, "weight", regexp.MustCompile(`(label|put up|package|gross|net|yarn|total|tare|cone) mass|` +
		`mass (left|per ball|each)`)}, // headings of other people's sheets
	{`behind|anew`, "after, again", nil},
	{`scores?`, "points", nil},
}

// TestNoWordThatIsOutReachesAPerson looks at every text in the code that has a
// space in it, as what a person reads has.
func TestNoWordThatIsOutReachesAPerson(t *testing.T) {
	t.Parallel()
	seen := 0
	for _, root := range []string{"..", "../../stash", "../../planner", "../../importers"} {
		err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") ||
				strings.HasSuffix(path, "_test.go") || strings.Contains(path, "stashtest") ||
				strings.Contains(path, "remotetest") {
				return err
			}
			return textsOf(path, func(at token.Position, text string) {
				if seen++; !strings.Contains(text, " ") || strings.Contains(text, "SELECT ") ||
					strings.Contains(text, "INSERT ") || strings.Contains(text, "UPDATE ") {
					return
				}
				for _, o := range out {
					rest := text
					if o.not != nil {
						rest = o.not.ReplaceAllString(rest, "")
					}
					if found := regexp.MustCompile(`(?i)\b(` + o.word +
						`)\b`).FindString(rest); found != "" {
						t.Errorf("%s: %q in %q; the word is %s", at, found, text, o.instead)
					}
				}
			})
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if seen < 1000 {
		t.Fatalf("only %d texts were looked at", seen)
	}
}

// textsOf visits the texts of a file of Go.
func textsOf(path string, visit func(token.Position, string)) error {
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution)
	if err != nil {
		return err
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if _, isImport := n.(*ast.ImportSpec); isImport {
			return false
		}
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			if text, err := strconv.Unquote(lit.Value); err == nil {
				visit(set.Position(lit.Pos()), text)
			}
		}
		return true
	})
	return nil
}
