package main

import "runtime/debug"

// streamMemory is the memory, in bytes, up to which a command that holds little at a
// time collects garbage seldom. SQLite and the program itself have some 50 MB beside it.
const streamMemory = 130 << 20

// importMemory is that of an import, whose file may be made to fill it.
const importMemory = 105 << 20

// searchMemory is the same for a command that has its answers in memory beside the shelf that
// it searches: of 100,000 packages it holds some 100 MB.
const searchMemory = 170 << 20

// keepWithin has garbage collected seldom while memory stays within a limit, and
// as often as it takes beyond. The function that it gives ends that.
func keepWithin(limit int64) func() {
	percent, before := debug.SetGCPercent(400), debug.SetMemoryLimit(limit)
	return func() {
		debug.SetGCPercent(percent)
		debug.SetMemoryLimit(before)
	}
}
