// Package remotetest holds every remote.Remote to the contract in package
// remote, and has places for the tests of what is built on it: Memory, which keeps
// to the contract, Unruly, which does not, and the real servers that a machine has.
package remotetest
