package main

import "runtime/debug"

// streamMemory is the memory, in bytes, up to which a command that holds little at a
// time collects garbage seldom. SQLite and the program itself have some 50 MB beside it.
const streamMemory = 130 << 20

// keepWithin has garbage collected seldom while memory stays within a limit, and
// as often as it takes beyond. The function that it gives ends that.
func keepWithin(limit int64) func() {
	percent, before := debug.SetGCPercent(400), debug.SetMemoryLimit(limit)
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(before)
	}
}
