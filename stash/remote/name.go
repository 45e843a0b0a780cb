package remote

import (
	"fmt"
	"strings"
)

// Name is the name of an object: parts of lower-case letters, digits, '-'
// and '.', joined by '/'. The grammar is narrow enough that every file
// system and object store keeps it as it is:
//
//   - shorter than MaxName bytes, at least one part, no empty part;
//   - each part begins and ends with a letter or a digit: no hidden files,
//     no "..", no trailing dot, nothing that looks like an option;
//   - no part that Windows reserves for a device (con, nul, com1 ...), with
//     or without an ending;
//   - one case only, so that two names never meet on a file system that
//     does not tell the cases apart.
//
// A name must not also be the directory of another (a and a/b).
type Name string

// MaxName is the length in bytes that a name must stay under.
const MaxName = 120

// ParseName returns s as a Name, or an Invalid error that says what is wrong.
func ParseName(s string) (Name, error) {
	return Name(s), Name(s).Check()
}

// Check returns nil for a name within the grammar, else an *Error of kind
// Invalid that says what is wrong.
func (n Name) Check() error {
	if len(n) >= MaxName {
		return invalid("name", string(n), fmt.Sprintf("is %d bytes long, the limit is %d", len(n),
			MaxName-1))
	}
	for part := range strings.SplitSeq(string(n), "/") {
		if wrong := wrongPart(part); wrong != "" {
			return invalid("name", string(n), wrong)
		}
	}
	return nil
}

// CheckPrefix returns nil for a prefix that some name could begin with, and
// for the empty one; else an *Error of kind Invalid.
func CheckPrefix(prefix string) error {
	if len(prefix) >= MaxName {
		return invalid("prefix", prefix, "is too long")
	}
	whole, rest := "", prefix
	if cut := strings.LastIndexByte(prefix, '/'); cut >= 0 {
		whole, rest = prefix[:cut], prefix[cut+1:]
		if err := Name(whole).Check(); err != nil {
			return invalid("prefix", prefix, "has a part that no name has")
		}
	}
	if rest != "" && (!letterOrDigit(rest[0]) || strings.ContainsFunc(rest, foreign)) {
		return invalid("prefix", prefix, "begins no name")
	}
	return nil
}

// wrongPart says what is wrong with one part of a name; "" if nothing is.
func wrongPart(part string) string {
	switch {
	case part == "":
		return "has an empty part"
	case strings.ContainsFunc(part, foreign):
		return "has a character other than a to z, 0 to 9, '-' and '.'"
	case !letterOrDigit(part[0]) || !letterOrDigit(part[len(part)-1]):
		return "has a part that does not begin and end with a letter or a digit"
	case reserved(part):
		return "has a part that Windows keeps for a device"
	}
	return ""
}

func foreign(r rune) bool {
	return !(r == '-' || r == '.' || r < 0x80 && letterOrDigit(byte(r)))
}

func letterOrDigit(c byte) bool {
	return 'a' <= c && c <= 'z' || '0' <= c && c <= '9'
}

// reserved tells whether Windows takes the part for a device, which depends
// on what stands before the first dot (Microsoft Learn, "Naming Files, Paths,
// and Namespaces"; from memory).
func reserved(part string) bool {
	stem, _, _ := strings.Cut(part, ".")
	switch stem {
	case "con", "prn", "aux", "nul":
		return true
	}
	if len(stem) != 4 {
		return false
	}
	return (stem[:3] == "com" || stem[:3] == "lpt") && '0' <= stem[3] && stem[3] <= '9'
}
