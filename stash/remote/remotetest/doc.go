// Package remotetest holds every remote.Remote to the contract in package
// remote, and has two places for the tests of what is built on it: Memory,
// which keeps to the contract, and Unruly, which does not.
package remotetest
