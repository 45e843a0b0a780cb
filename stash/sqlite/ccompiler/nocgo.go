//go:build !cgo

package ccompiler

var _ int = "endsmeet is built with a C compiler (gcc or clang), since SQLite is written in C: install one, and leave CGO_ENABLED at 1"
