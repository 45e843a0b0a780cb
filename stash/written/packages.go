package written

import "strings"

// Package is what people call a package: the trade's word for it, and the form that
// the stash keeps it as.
type Package struct{ Word, Form string }

// packages maps words for packages to what they are.
var packages = map[string]Package{
	"ball": {"ball", "ball"}, "bag": {"bag", "ball"},
	"cone":  {"cone", "cone"},
	"skein": {"skein", "skein"}, "skn": {"skein", "skein"}, "bundle": {"bundle", "skein"},
	"chain": {"chain", "skein"}, "hank": {"hank", "hank"}, "cake": {"cake", "cake"},
	"bobbin": {"bobbin", "bobbin"}, "tube": {"tube", "tube"},
	"pirn": {"pirn", "pirn"}, "quill": {"pirn", "pirn"}, "cop": {"cop", "pirn"},
	"spool": {"spool", "spool"}, "reel": {"spool", "spool"},
	"thrum": {"thrums", "thrums"}, "thrums": {"thrums", "thrums"},
}

// PackageOf is what a word for a package means, in the singular or the plural.
func PackageOf(word string) (Package, bool) {
	word = strings.ToLower(word)
	p, ok := packages[word]
	if !ok {
		p, ok = packages[strings.TrimSuffix(word, "s")]
	}
	return p, ok
}
