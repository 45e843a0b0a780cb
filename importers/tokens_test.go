package importers

import (
	"archive/zip"
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"
)

// The limits of a part are those of what is really read, and each is named.
func TestTokensAreLimited(t *testing.T) {
	for text, want := range map[string]error{
		"<a>" + strings.Repeat("x", 2*maxToken):             ErrTooLong,
		"<a " + strings.Repeat("b='' ", maxToken):           ErrTooLong,
		strings.Repeat("<a>", maxDepth+1):                   errTooDeep,
		"<a>" + strings.Repeat("<b/>", 1<<20):               tooLarge(1 << 20),
		"<a>" + strings.Repeat("<!---->", 1<<20):            tooLarge(1 << 20),
		"<a" + strings.Repeat(" b=''", 1<<16) + "></a>":     tooLarge(1 << 20),
		"<a>" + strings.Repeat("x", 1<<20):                  tooLarge(1 << 20),
		"<a>" + strings.Repeat("<b/>", (1<<20)/32) + "</a>": nil,
	} {
		tokens := NewTokens(strings.NewReader(text), NewBudget())
		if _, small := want.(tooLarge); small || want == nil {
			tokens.most, tokens.left = 1<<20, 1<<20
		}
		var err error
		for err == nil {
			_, err = tokens.Next()
		}
		if want == nil && BeyondLimit(err) || want != nil &&
			(!errors.Is(err, want) || !BeyondLimit(err)) {
			t.Errorf("%.20q...: got %v, want %v", text, err, want)
		}
	}
}

// A file has one budget, however often and whatever part of it is read.
func TestAFileHasOneBudget(t *testing.T) {
	file := &Budget{left: 4 << 20}
	text := "<a>" + strings.Repeat("<b/>", 1<<16) + "</a>"
	for n := range 8 {
		tokens := NewTokens(strings.NewReader(text), file)
		var err error
		for err == nil {
			_, err = tokens.Next()
		}
		if BeyondLimit(err) != (n > 2) {
			t.Fatalf("read for the %d. time: %v", n+1, err)
		}
	}
}

// Parts that are each within their limit are refused when they are not together.
func TestAllPartsTogetherHaveALimit(t *testing.T) {
	var buf bytes.Buffer
	out := zip.NewWriter(&buf)
	for _, name := range []string{"a", "b", "c"} {
		w, err := out.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(make([]byte, 400<<10)); err != nil {
			t.Fatal(err)
		}
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	z, err := zip.NewReader(bytes.NewReader(buf.Bytes()), int64(buf.Len()))
	if err != nil {
		t.Fatal(err)
	}
	limits := ZipLimits{Entries: 10, Part: 1 << 10, Large: 1 << 20,
		IsLarge: func(string) bool { return true }}
	if err := CheckZip(z, limits); err == nil ||
		!strings.Contains(err.Error(), "more than 1 MB together") {
		t.Errorf("got %v", err)
	}
}

func TestEncryptedWorkbooksAreNamed(t *testing.T) {
	var name bytes.Buffer
	for _, u := range utf16.Encode([]rune("EncryptedPackage")) {
		name.Write([]byte{byte(u), byte(u >> 8)})
	}
	for why, content := range map[string][]byte{
		// across two blocks
		"is encrypted": append(append(bytes.Clone(oleMark), make([]byte, 64<<10-12)...),
			name.Bytes()...),
		"old .xls":        append(bytes.Clone(oleMark), make([]byte, 600)...),
		"or cut off":      []byte("PK no"),
		"not an .xlsx wo": {},
	} {
		path := filepath.Join(t.TempDir(), "book.xlsx")
		if err := os.WriteFile(path, content, 0o600); err != nil {
			t.Fatal(err)
		}
		if got := NoZip(path, ".xlsx workbook"); !strings.Contains(got.Error(), why) {
			t.Errorf("got %v, want %q", got, why)
		}
	}
}
