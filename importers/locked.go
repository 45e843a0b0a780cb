package importers

import (
	"bytes"
	"io"
	"os"
)

// oleMark begins a compound file, in which old workbooks and encrypted ones lie
// ([MS-CFB] 2.2).
var oleMark = []byte{0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1}

// lockedStream is the name of the stream that holds an encrypted workbook, as
// UTF-16 ([MS-OFFCRYPTO] 2.3.4.4).
var lockedStream = []byte("E\x00n\x00c\x00r\x00y\x00p\x00t\x00e\x00d\x00P\x00a\x00c\x00k\x00a\x00g\x00e\x00")

// searched is how much of a file is searched for the name of a stream.
const searched = 64 << 20

// NoZip says why a file that should be a workbook is no zip archive: it is
// encrypted, an old workbook, or none at all.
func NoZip(path, kind string) *Problem {
	p := &Problem{File: path, Reason: "not an " + kind + ", or cut off",
		Hint: "save it again; an old .xls has to be converted first"}
	in, err := os.Open(path)
	if err != nil {
		return p
	}
	defer in.Close()
	head := make([]byte, len(oleMark))
	if _, err := io.ReadFull(in, head); err != nil || !bytes.Equal(head, oleMark) {
		return p
	}
	p.Reason, p.Hint = "this is an old .xls workbook, or another program's file",
		"save it as .xlsx, .ods or CSV"
	if contains(io.LimitReader(in, searched), lockedStream) {
		p.Reason, p.Hint = "the workbook is encrypted",
			"open it with its password and save it without one"
	}
	return p
}

// contains says whether a stream holds a word, whatever blocks it comes in.
func contains(in io.Reader, word []byte) bool {
	buf, kept := make([]byte, 64<<10), 0
	for {
		n, err := in.Read(buf[kept:])
		if bytes.Contains(buf[:kept+n], word) {
			return true
		}
		if err != nil {
			return false
		}
		end := kept + n
		kept = copy(buf, buf[max(0, end-len(word)+1):end])
	}
}
