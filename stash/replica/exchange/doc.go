// Package exchange sends to the shared place what is new in a stash and takes in
// what others put there.
//
// A Part is one stash as it takes part; a Session is one run of it, under a lock:
// Trade sends and receives, Tidy exchanges pictures and merges small segments. What
// the machine knows of the vault is its Membership, kept in the stash. Nothing is
// believed that was not opened and verified by package format, and nothing counts
// as sent before it was read back. How a machine comes to take part, who is let in
// and shut out, and what is done about a damaged place is the business of package
// replica.
package exchange
