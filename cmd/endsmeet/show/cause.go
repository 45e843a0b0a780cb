package show

import (
	"regexp"
	"strings"
	"sync"
)

// causes are what systems and libraries say went wrong, and the same for who weaves.
// Longer ones that hold shorter ones stand first.
var causes = strings.NewReplacer(
	"no such file or directory", "it is not there",
	"The system cannot find the file specified.", "it is not there",
	"file does not exist", "it is not there",
	"file exists", "it is there already",
	"file already exists", "it is there already",
	"permission denied", "you may not open or change it",
	"operation not permitted", "you may not do that there",
	"not a directory", "part of the path is a file, not a folder",
	"is a directory", "it is a folder, not a file",
	"directory not empty", "the folder is not empty",
	"no space left on device", "the disk is full",
	"disk quota exceeded", "your share of the disk is full",
	"file too large", "the disk takes no file that large",
	"read-only file system", "the disk takes no writing",
	"input/output error", "the disk fails",
	"bad message", "the disk gives back damaged data",
	"structure needs cleaning", "the disk gives back damaged data",
	"no such device or address", "the disk is gone",
	"no such device", "the disk is gone",
	"stale NFS file handle", "the network disk is gone",
	"stale file handle", "the network disk is gone",
	"transport endpoint is not connected", "the disk is gone",
	"file name too long", "the name is too long",
	"too many levels of symbolic links", "links lead in a circle",
	"too many open files", "too many files are open on this machine",
	"cannot allocate memory", "the machine has no memory left",
	"device or resource busy", "another program uses it",
	"text file busy", "another program uses it",
	"connection refused", "nothing answers there",
	"connection reset by peer", "the connection broke off",
	"broken pipe", "the program that reads it has ended",
	"no route to host", "there is no way to that machine",
	"network is unreachable", "there is no network",
	"no such host", "no machine has that name",
	"i/o timeout", "no answer came in time",
	"context deadline exceeded", "no answer came in time",
	"unexpected EOF", "it ends in the middle",
	"database disk image is malformed", "the file is damaged",
	"database is locked", "another program uses it",
	"file is not a database", "it is no stash",
	"attempt to write a readonly database", "the file takes no writing",
)

// systemCall matches the call that failed, before its path.
var systemCall = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`\b(?:open|openat|stat|statat|lstat|read|write|mkdir|mkdirat|rename|` +
		`renameat|unlink|unlinkat|remove|readdirent|fdopendir|fsync|sync|truncate|chmod|link) ` +
		`(\S+: (?:` + "it is|you may|part of|the |links|too many|another|your)" + `)`)
})

// Plainly is an error in which what a system or a library said is put as a person at a
// loom has it.
func Plainly(text string) string {
	text = systemCall().ReplaceAllString(causes.Replace(text), "$1")
	return strings.ReplaceAll(text, "is not there: it is not there", "is not there")
}
