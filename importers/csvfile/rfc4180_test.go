package csvfile

import (
	"slices"
	"strings"
	"testing"
)

// The definitions of RFC 4180 section 2, each with the section's own example
// where it has one.
func TestRFC4180(t *testing.T) {
	for _, c := range []struct {
		section, in string
		want        []string
	}{
		{"2.1 records end in CRLF", "aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n",
			[]string{"aaa|bbb|ccc", "zzz|yyy|xxx"}},
		{"2.2 the last record may lack its line break", "aaa,bbb,ccc\r\nzzz,yyy,xxx",
			[]string{"aaa|bbb|ccc", "zzz|yyy|xxx"}},
		{"2.3 a header line looks like any other",
			"field_name,field_name2,field_name3\r\naaa,bbb,ccc\r\n",
			[]string{"field_name|field_name2|field_name3", "aaa|bbb|ccc"}},
		{"2.4 spaces are part of a field", "aaa, bbb ,ccc\r\n", []string{"aaa| bbb |ccc"}},
		{"2.5 fields may be enclosed in quotation marks", "\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx",
			[]string{"aaa|bbb|ccc", "zzz|yyy|xxx"}},
		{"2.6 line breaks, marks and commas inside quotation marks",
			"\"aaa\",\"b\r\nbb\",\"c,c\"\r\nzzz,yyy,xxx", []string{"aaa|b\nbb|c,c", "zzz|yyy|xxx"}},
		{"2.7 a quotation mark is written twice", "\"aaa\",\"b\"\"bb\",\"ccc\"",
			[]string{"aaa|b\"bb|ccc"}},
		{"beyond: LF alone", "a,b\nc,d\n", []string{"a|b", "c|d"}},
		{"beyond: blank lines", "a,b\n\n\nc,d\n", []string{"a|b", "c|d"}},
		{"empty fields", ",\r\n\"\",\r\n", []string{"|", "|"}},
	} {
		t.Run(c.section, func(t *testing.T) {
			got, problems := cellsOf(t, c.in, Options{Delimiter: ','})
			if !slices.Equal(got, c.want) || len(problems) > 0 {
				t.Errorf("got %q, %v; want %q", got, problems, c.want)
			}
		})
	}
}

func TestRFC4180Violations(t *testing.T) {
	for _, c := range []struct {
		section, in  string
		line, column int
		rest         []string // rows that still come
		raw          string
	}{
		{"2.5 a mark inside an unquoted field", "a,b\nc,5\" wide\ne,f\n", 2, 4,
			[]string{"a|b", "e|f"}, "c,5\" wide\n"},
		{"2.5 the column counts characters", "a,b\nüü,5\" wide\ne,f\n", 2, 5,
			[]string{"a|b", "e|f"}, "üü,5\" wide\n"},
		{"2.7 a mark inside a quoted field written once", "a,b\n\"c\"d,e\nf,g\n", 2, 3,
			[]string{"a|b", "f|g"}, "\"c\"d,e\n"},
	} {
		t.Run(c.section, func(t *testing.T) {
			rows, problems := cellsOf(t, c.in, Options{})
			if len(problems) != 1 || !slices.Equal(rows, c.rest) {
				t.Fatalf("got %q, %v", rows, problems)
			}
			if p := problems[0]; p.Line != c.line || p.Column != c.column || p.Raw != c.raw ||
				p.Fatal || p.Hint == "" || !strings.Contains(p.Reason, "RFC 4180") {
				t.Errorf("got %+v, raw %q", p, p.Raw)
			}
		})
	}
	t.Run("2.6 a quoted field that never ends is fatal", func(t *testing.T) {
		rows, problems := cellsOf(t, "a,b\n\"c,d\ne,f\n", Options{})
		if len(rows) != 1 || len(problems) != 1 || !problems[0].Fatal ||
			!strings.Contains(problems[0].Reason, "began on line 2") {
			t.Errorf("got %q, %+v", rows, problems)
		}
	})
}
