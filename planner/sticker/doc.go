// Package sticker lays stickers out on sheets and rolls: what is on each, its
// symbol that a camera reads, and the page that is printed. It is pure: it gets
// words and gives a page of HTML. Lengths are in millimetres.
package sticker
