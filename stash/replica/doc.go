// Package replica looks after the part that a stash takes in a shared place
// (stash/remote) that nobody needs to trust: setting it up, joining and leaving it,
// its machines and keys, what stands there and what is missing, and putting back
// what it lost. What lies there is in package format; sending and receiving in
// package exchange.
package replica
