package remote

// Fault is called at named points of a Put or Delete. A test kills the
// process there; the program itself leaves it nil.
type Fault func(point string)

// The points, in the order in which a Put and a Delete come by them. A place
// other than a folder has only the first and the last of each.
const (
	PointBeforePut     = "before-put"     // nothing done yet
	PointHalfWritten   = "half-written"   // half of the bytes are in the temporary file
	PointBeforeFsync   = "before-fsync"   // all bytes written, none safe
	PointBeforeRename  = "before-rename"  // the temporary file is safe
	PointBeforeDirsync = "before-dirsync" // named, the name not yet safe
	PointAfterPut      = "after-put"      // stored; the caller does not know yet
	PointBeforeDelete  = "before-delete"
	PointAfterDelete   = "after-delete"
)

// At marks a point. A nil Fault does nothing.
func (f Fault) At(point string) {
	if f != nil {
		f(point)
	}
}
