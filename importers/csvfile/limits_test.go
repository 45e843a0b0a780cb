package csvfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime"
	"strings"
	"testing"

	"endsmeet/importers"
)

// pattern is an endless file: a head and then a body that is repeated n times.
type pattern struct {
	head, body string
	n          int
	at         int
	rest       []byte
}

func (p *pattern) Read(b []byte) (int, error) {
	for len(p.rest) == 0 {
		switch {
		case p.at == 0:
			p.rest = []byte(p.head)
		case p.at > p.n:
			return 0, io.EOF
		default:
			p.rest = []byte(strings.ReplaceAll(p.body, "@", fmt.Sprint(p.at)))
		}
		p.at++
	}
	n := copy(b, p.rest)
	p.rest = p.rest[n:]
	return n, nil
}

func patterned(head, body string, n int) func() (io.ReadCloser, error) {
	return func() (io.ReadCloser, error) {
		return io.NopCloser(&pattern{head: head, body: body, n: n}), nil
	}
}

// peak runs f and returns how far the heap grew meanwhile, in bytes. It looks
// at every call of the function that f is given.
func peak(f func(look func())) uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	before, most := m.HeapAlloc, m.HeapAlloc
	f(func() {
		runtime.ReadMemStats(&m)
		most = max(most, m.HeapAlloc)
	})
	return most - before
}

// 100 MB of one line, quoted and not: refused with the place, in a few
// megabytes of memory.
func TestOneEndlessLine(t *testing.T) {
	for name, head := range map[string]string{"unquoted": "name,lot\n",
		"quoted": "name,lot\na,\""} {
		t.Run(name, func(t *testing.T) {
			used := peak(func(look func()) {
				g, err := New("long.csv", patterned(head, strings.Repeat("x", 1<<20), 100),
					Options{})
				if err != nil {
					t.Fatal(err)
				}
				table, err := importers.NewTable(g, importers.Options{})
				if err != nil {
					t.Fatal(err)
				}
				var last error
				for _, err := range table.Records() {
					last = err
					look()
				}
				var p *importers.Problem
				if !errors.As(last, &p) || !p.Fatal || p.Line != 2 || p.Column < defaultMaxRecord ||
					!strings.Contains(p.Reason, "too long") {
					t.Errorf("got %v", last)
				}
			})
			if used > 48<<20 {
				t.Errorf("took %d MB", used>>20)
			}
		})
	}
}

// A line of nothing but separators would become a million cells.
func TestARowOfEndlessCells(t *testing.T) {
	for name, head := range map[string]string{"the first row": "", "a later row": "name,lot\n"} {
		t.Run(name, func(t *testing.T) {
			used := peak(func(look func()) {
				g, err := New("wide.csv", patterned(head, strings.Repeat(",", 1<<20), 50),
					Options{})
				if err != nil {
					t.Fatal(err)
				}
				var last error
				for _, err := range g.Rows {
					last = err
					look()
				}
				var p *importers.Problem
				if !errors.As(last, &p) || !p.Fatal ||
					!strings.Contains(p.Reason, "more than 16384 cells") {
					t.Errorf("got %v", last)
				}
			})
			if used > 48<<20 {
				t.Errorf("took %d MB", used>>20)
			}
		})
	}
	wide := "name" + strings.Repeat(",", maxCells-1) + "\na" + strings.Repeat(",", maxCells-1) +
		"\n"
	g, err := New("wide.csv", patterned(wide, "", 0), Options{})
	rows := 0
	for _, rowErr := range g.Rows {
		rows, err = rows+1, errors.Join(err, rowErr)
	}
	if err != nil || rows != 2 {
		t.Errorf("%d rows as wide as a spreadsheet may be: %v", rows, err)
	}
}

func TestEndlessFirstLineIsSaidToBeTooLong(t *testing.T) {
	g, err := New("long.csv", patterned("", strings.Repeat("x", 1<<20), 3), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := importers.NewTable(g, importers.Options{}); err == nil ||
		!strings.Contains(err.Error(), "long.csv:1:") ||
		!strings.Contains(err.Error(), "too long") {
		t.Error(err)
	}
}

// bigRows is a file of n rows of ten columns; one of them becomes notes.
func bigRows(n int) func() (io.ReadCloser, error) {
	return func() (io.ReadCloser, error) {
		var b bytes.Buffer
		b.WriteString("id,name,colour,fibre,grist_m_per_kg,form,gross_g,tare_g,dye_lot,remark\n")
		i := 0
		return io.NopCloser(readFunc(func(p []byte) (int, error) {
			for b.Len() < len(p) && i < n {
				i++
				fmt.Fprintf(&b, "Z%d,Ossentarn cotton,oat,\"cotton 60, linen 40\",6773,cone,%d.%d,25,44%d,\"a cone, with known tare\"\n", i, 100+i%900, i%10, i)
			}
			return b.Read(p)
		})), nil
	}
}

type readFunc func([]byte) (int, error)

func (f readFunc) Read(p []byte) (int, error) { return f(p) }

func readBig(t testing.TB, n int, look func()) {
	g, err := New("big.csv", bigRows(n), Options{})
	if err != nil {
		t.Fatal(err)
	}
	table, err := importers.NewTable(g, importers.Options{})
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for rec, err := range table.Records() {
		if err != nil || rec.Net == nil {
			t.Fatal(err)
		}
		if rows++; rows%50_000 == 0 {
			look()
		}
	}
	if rows != n {
		t.Fatalf("got %d rows", rows)
	}
}

// A million rows in less than 200 MB. Takes some seconds: asked for by
// ENDSMEET_LONG=1; otherwise a tenth in a tenth.
func TestMemoryOfAMillionRows(t *testing.T) {
	rows, limit := 100_000, uint64(20<<20)
	if os.Getenv("ENDSMEET_LONG") == "1" {
		rows, limit = 1_000_000, 200<<20
	}
	used := peak(func(look func()) { readBig(t, rows, look) })
	t.Logf("%d rows: heap grew by %.1f MB", rows, float64(used)/(1<<20))
	if used > limit {
		t.Errorf("%d rows took %d MB", rows, used>>20)
	}
}

func BenchmarkRead100000(b *testing.B) {
	for b.Loop() {
		readBig(b, 100_000, func() {})
	}
	b.ReportMetric(100_000*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}

// BenchmarkSource is what of it the source takes: decoding and splitting.
func BenchmarkSource100000(b *testing.B) {
	for b.Loop() {
		g, err := New("big.csv", bigRows(100_000), Options{})
		if err != nil {
			b.Fatal(err)
		}
		for _, err := range g.Rows {
			if err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric(100_000*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}
