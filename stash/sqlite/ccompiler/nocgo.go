//go:build !cgo

// Package ccompiler has a build without a C compiler fail with one sentence: the
// SQLite driver is written in C.
package ccompiler

var _ int = "endsmeet is built with a C compiler (gcc or clang), since SQLite is written in C: install one, and leave CGO_ENABLED at 1"
