package importers

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
)

// ZipLimits bound what a spreadsheet in a zip archive may unpack to.
type ZipLimits struct {
	Entries int                    // number of parts
	Part    int64                  // bytes of a part that has to fit into memory
	Large   int64                  // bytes of a part that is streamed, and of all together
	IsLarge func(name string) bool // says which parts are streamed
}

// CheckZip unpacks every part of an archive, keeping nothing, and refuses the
// archive with a *Problem when a part is larger than its limit, all parts are
// together larger than the largest may be, the parts that have to fit into memory
// are together larger than four times the limit of one,
// or a part can't be unpacked. Sizes in the archive's directory are not
// believed.
func CheckZip(z *zip.Reader, limits ZipLimits) error {
	if len(z.File) > limits.Entries {
		return bomb(fmt.Sprintf("has %d parts, more than any workbook of a stash", len(z.File)))
	}
	var inMemory, total int64
	for _, part := range z.File {
		limit := limits.Part
		large := limits.IsLarge(part.Name)
		if large {
			limit = limits.Large
		}
		n, err := unpackedSize(part, limit)
		if err != nil {
			return err
		}
		if total += n; total > limits.Large {
			return bomb(fmt.Sprintf("its parts unpack to more than %d MB together",
				limits.Large>>20))
		}
		if !large {
			inMemory += n
		}
	}
	if inMemory > 4*limits.Part {
		return bomb("unpacks to more than a workbook of a stash can need")
	}
	return nil
}

func bomb(reason string) *Problem {
	return &Problem{Reason: reason, Hint: "copy the table into a new workbook, or export it as CSV"}
}

// unpackedSize unpacks a part up to a byte above limit.
func unpackedSize(part *zip.File, limit int64) (int64, error) {
	in, err := part.Open()
	if err != nil {
		return 0, damaged(part.Name, err)
	}
	defer in.Close()
	n, err := io.Copy(io.Discard, io.LimitReader(in, limit+1))
	if n > limit {
		return n, bomb(fmt.Sprintf("its part %s unpacks to more than %d MB", quote(part.Name),
			limit>>20))
	}
	if err != nil {
		return n, damaged(part.Name, err)
	}
	return n, nil
}

func damaged(part string, err error) *Problem {
	if errors.Is(err, zip.ErrAlgorithm) {
		return &Problem{Reason: fmt.Sprintf("its part %s is packed in an unusual way or encrypted",
			quote(part)), Hint: "save it again without a password"}
	}
	return &Problem{Reason: fmt.Sprintf("its part %s is damaged or cut off", quote(part)),
		Hint: "save it again, or take a whole copy"}
}
