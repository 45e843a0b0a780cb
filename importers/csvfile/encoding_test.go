package csvfile

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"endsmeet/importers"
)

const sample = "name,colour\nÜbermoor “wool”,grün\nplain,ecru\n"

func encoded(t *testing.T, e encoding.Encoding) string {
	t.Helper()
	s, err := e.NewEncoder().String(sample)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestEncodingsAreDetectedAndShown(t *testing.T) {
	want := []string{"name|colour", "Übermoor “wool”|grün", "plain|ecru"}
	for _, c := range []struct{ name, in, shown string }{
		{"UTF-8", sample, UTF8},
		{"UTF-8 with a mark", "\uFEFF" + sample, UTF8BOM},
		{"Windows-1252", encoded(t, charmap.Windows1252), Windows1252},
		{"UTF-16 LE with a mark", encoded(t, unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)),
			UTF16LE},
		{"UTF-16 BE with a mark", encoded(t, unicode.UTF16(unicode.BigEndian, unicode.UseBOM)),
			UTF16BE},
		{"UTF-16 LE without", encoded(t, unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)),
			UTF16LE},
		{"UTF-16 BE without", encoded(t, unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)),
			UTF16BE},
	} {
		t.Run(c.name, func(t *testing.T) {
			g, err := text(c.in, Options{})
			if err != nil || g.Encoding != c.shown {
				t.Fatalf("got %v, %v; want %s", g, err, c.shown)
			}
			if got, problems := cellsOf(t, c.in, Options{}); !slices.Equal(got, want) ||
				problems != nil {
				t.Errorf("got %q, %v", got, problems)
			}
		})
	}
}

func TestEncodingGiven(t *testing.T) {
	if got, _ := cellsOf(t, "a,\xC3\xA9\n", Options{Encoding: Windows1252}); got[0] != "a|Ã©" {
		t.Errorf("got %q", got)
	}
	for name, in := range map[string]string{UTF8: "a,\xE9\n", "EBCDIC": "a,b\n"} {
		if _, err := text(in, Options{Encoding: name}); err == nil {
			t.Errorf("%s: no refusal", name)
		}
	}
}

func TestDelimitersAreDetectedAndShown(t *testing.T) {
	for in, want := range map[string]string{
		"a,b,c\n1,2,3\n":                         "comma",
		"a;b;c\n1,5;2,5;3\n":                     "semicolon",
		"a\tb\tc\n1,5\t2\t3\n":                   "tab",
		"title, with a comma\na;b;c\n1;2;3\n":    "semicolon",
		"alone\nmore\n":                          "comma",
		"sep=;\nname;lot\nx;1\n":                 "semicolon",
		"name,notes\nx,\"a;b;c\"\ny,\"d;e;f\"\n": "comma",
	} {
		g, err := text(in, Options{})
		if err != nil || g.Delimiter != want {
			t.Errorf("%q: got %v, %v; want %s", in, g, err, want)
		}
	}
	if rows, _ := cellsOf(t, "sep=;\nname;lot\n", Options{}); !slices.Equal(rows,
		[]string{"name|lot"}) {
		t.Errorf("sep=: got %q", rows)
	}
	if rows, _ := cellsOf(t, "a|b,c\n", Options{Delimiter: '|'}); !slices.Equal(rows,
		[]string{"a|b,c"}) {
		t.Errorf("given: got %q", rows)
	}
}

func TestBadFilesAreRefused(t *testing.T) {
	for _, c := range []struct {
		name, in, why string
		line, column  int
	}{
		{"empty", "", "empty", 0, 0},
		{"a PDF named .csv", "%PDF-1.7\n1 0 obj", "PDF", 0, 0},
		{"a workbook named .csv", "PK\x03\x04rest", "zip archive", 0, 0},
		{"an old workbook named .csv", "\xD0\xCF\x11\xE0\xA1\xB1", "old binary", 0, 0},
		{"a database named .csv", "SQLite format 3\x00xx", "SQLite", 0, 0},
		{"a web page", "<!doctype html><table>", "web page", 0, 0},
		{"a NUL byte", "name,lot\na,b\nc\x00,d\n", "NUL", 3, 2},
		{"two encodings", "name,lot\nÜber,1\n\xDCber,2\n", "two encodings", 3, 1},
		{"a byte of no encoding", "name,lot\na\x81,1\n", "no encoding", 2, 2},
		{"UTF-16 cut off inside a character", "\xFF\xFEa\x00,\x00b\x00\n\x00c\x00\x00\xD8",
			"half a character", 2, 2},
		{"NUL in UTF-16", "\xFF\xFEa\x00\n\x00\x00\x00", "NUL", 2, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := problemOf(t, c.in)
			if !strings.Contains(p.Reason, c.why) || p.Line != c.line || p.Column != c.column ||
				p.Hint == "" || p.File != "t.csv" {
				t.Errorf("got %+v", p)
			}
		})
	}
	t.Run("a directory", func(t *testing.T) {
		_, err := Open(t.TempDir(), Options{})
		var p *importers.Problem
		if !errors.As(err, &p) || !strings.Contains(p.Reason, "folder") {
			t.Error(err)
		}
	})
	t.Run("a file that is not there", func(t *testing.T) {
		if _, err := Open(filepath.Join(t.TempDir(), "x.csv"), Options{}); !errors.Is(err,
			os.ErrNotExist) {
			t.Error(err)
		}
	})
	t.Run("a device", func(t *testing.T) {
		if _, err := Open(os.DevNull, Options{}); err == nil ||
			!strings.Contains(err.Error(), "no ordinary file") {
			t.Error(err)
		}
	})
}

func TestAFileLargerThanAnyStashIsRefusedUnread(t *testing.T) {
	path := filepath.Join(t.TempDir(), "large.csv")
	f, err := os.Create(path)
	if err == nil {
		err = errors.Join(f.Truncate(maxFile+1), f.Close())
	}
	if err != nil {
		t.Fatal(err)
	}
	_, err = Open(path, Options{})
	if err == nil || !strings.Contains(err.Error(), "larger than 256 MB") {
		t.Errorf("refused as %v", err)
	}
}
