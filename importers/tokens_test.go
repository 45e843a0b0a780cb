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
		"<a>" + strings.Repeat("x", 2*maxToken):   ErrTooLong,
		"<a " + strings.Repeat("b='' ", maxToken): ErrTooLong,
		strings.Repeat("<a>", maxDepth+1):         errTooDeep,
		strings.Repeat("<a/>", 1<<20):             errTooLarge,
		"<a>" + strings.Repeat("<b/>", 100):       errTooMany,
	} {
		tokens := NewTokens(strings.NewReader(text))
		if want == errTooLarge {
			tokens.under.all = 1 << 20
		}
		if want == errTooMany {
			tokens.begun = maxElements - 50
		}
		var err error
		for err == nil {
			_, err = tokens.Next()
		}
		if !errors.Is(err, want) || !BeyondLimit(err) {
			t.Errorf("%.20q...: got %v, want %v", text, err, want)
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
