package xlsx

import (
	"archive/zip"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"

	"endsmeet/importers"
)

// texts are the shared strings of a workbook (ECMA-376 part 1, 18.4), in memory
// while they are short together, else in a temporary file.
type texts struct {
	ends   []uint32 // where each one ends; a part has at most MaxPart bytes
	held   []byte   // all of them, or what is not yet in the file
	file   *os.File // nil while all are in memory
	window []byte   // a piece of the file
	from   int64    // where in the file it begins
}

// readTexts reads the shared strings; part may be missing.
func readTexts(part *zip.File, budget *importers.Budget) (*texts, error) {
	t := &texts{}
	if part == nil {
		return t, nil
	}
	in, err := part.Open()
	if err != nil {
		return nil, brokenTexts(err)
	}
	defer in.Close()
	if err := t.read(tokens{importers.NewTokens(in, budget)}); err != nil {
		return nil, errors.Join(brokenTexts(err), t.close())
	}
	return t, nil
}

func brokenTexts(err error) error {
	if p := (*importers.Problem)(nil); errors.As(err, &p) {
		return err
	}
	return &importers.Problem{Reason: "its shared texts are damaged: " + err.Error(),
		Hint: "open it in a spreadsheet program and save it again"}
}

func (t *texts) read(in tokens) error {
	for {
		token, err := in.Next()
		if errors.Is(err, io.EOF) {
			return t.spill(0)
		}
		if err != nil {
			return err
		}
		if e, ok := token.(xml.StartElement); !ok || e.Name.Local != "si" {
			continue
		}
		if t.held, err = in.text(t.held, func(string) {}); err != nil {
			return err
		}
		if err := t.end(); err != nil {
			return err
		}
	}
}

// end ends a text.
func (t *texts) end() error {
	end := t.from + int64(len(t.held))
	if end > math.MaxUint32 {
		return importers.ErrTooLong
	}
	t.ends = append(t.ends, uint32(end))
	return t.spill(inMemory)
}

// spill moves what is held into the file if it is more than the limit. What
// fits into memory at the end stays there.
func (t *texts) spill(limit int) (err error) {
	if len(t.held) <= limit || t.file == nil && limit == 0 {
		return nil
	}
	if t.file == nil {
		if t.file, err = os.CreateTemp("", "endsmeet-xlsx-*"); err != nil {
			return err
		}
	}
	n, err := t.file.Write(t.held)
	t.from += int64(n)
	t.held = t.held[:0]
	return err
}

// at is text number i, as it is stored. It is good until the next call.
func (t *texts) at(i int) ([]byte, error) {
	if i < 0 || i >= len(t.ends) {
		return nil, fmt.Errorf("text %d is not among the %d that the cells share", i, len(t.ends))
	}
	start, end := int64(0), int64(t.ends[i])
	if i > 0 {
		start = int64(t.ends[i-1])
	}
	if t.file == nil {
		return t.held[start:end], nil
	}
	if start < t.from || end > t.from+int64(len(t.window)) {
		if err := t.look(start, end); err != nil {
			return nil, err
		}
	}
	return t.window[start-t.from : end-t.from], nil
}

// look moves the window so that it shows a text, and some that follow it.
func (t *texts) look(start, end int64) error {
	size := max(end-start, 4096)
	if int64(cap(t.window)) < size {
		t.window = make([]byte, size)
	}
	n, err := t.file.ReadAt(t.window[:size], start)
	t.window, t.from = t.window[:n], start
	if err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	if int64(n) < end-start {
		return io.ErrUnexpectedEOF
	}
	return nil
}

// close removes the temporary file.
func (t *texts) close() error {
	if t.file == nil {
		return nil
	}
	return errors.Join(t.file.Close(), os.Remove(t.file.Name()))
}
