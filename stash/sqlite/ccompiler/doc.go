// Package ccompiler has a build without a C compiler fail with one sentence: the
// SQLite driver is written in C.
package ccompiler
