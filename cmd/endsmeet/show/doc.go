// Package show is what answers look like: the words, the tables and the screens of
// text for people, and the shapes that --json writes. It reads no store and takes no
// options: a command gathers an answer, this package prints it. Begin with Table, which
// every list and every sheet of figures is drawn by, and Sink, through which all of it
// goes to the screen, to a pipe or, under --plain, to be listened to.
//
// # Where things are
//
//	NAME.go         of the command NAME: the shape of its JSON and its screen (plan.go, due.go)
//	render.go       tables, paragraphs, breaking lines; screen.go the sink; kept.go what no line parts
//	words.go        a mass, a length, a count in words; figures.go sizes; bars.go bars
//	item.go         a package in any answer; shapes.go yarns, projects, people; otherfacts.go the rest
//	gate.go         a verdict; affected.go those that changed; shelf.go cautions
//	report.go       an error as a sentence; cause.go what a system's error says in plain words
//	colour.go       what words say once more in colour
//	narrow.go       tables on a screen too narrow for them, and under --plain
//	care.go         finishing and freezing; largest.go sizes that were left open; listlots.go lots
//	packagenotes.go what only show tells of an item; recorded.go what commands that record say
//	syncplace.go    a shared place set up, joined, left
//	drawing.go      pictures and sizes; edge.go, sley.go the ends of a piece, its reed
package show
