// Package stashtest holds what the tests of the ledger share: a fixed clock
// and counted names, generators of what may be recorded, replicas that
// exchange events without a network, a writer of events that this version
// does not know, and a big stash.
package stashtest
