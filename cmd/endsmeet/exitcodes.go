package main

import (
	"errors"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
)

// The codes with which the program ends.
const (
	exitDone        = 0
	exitRefused     = 1
	exitUsage       = 2
	exitShort       = 3
	exitAsk         = 4
	exitDamaged     = 5
	exitInterrupted = 130 // 128 and the number of the signal, as POSIX shells count
)

// exitMeanings is what help says of the codes.
var exitMeanings = []struct {
	code    int
	meaning string
}{
	{exitDone, "done; with --exit-code also: enough yarn, and nothing to ask first"},
	{exitRefused, "refused or failed; nothing was recorded"},
	{exitUsage, "the command line is not complete or not understood"},
	{exitShort, "with --exit-code: not enough yarn, or nothing fits"},
	{exitAsk, "with --exit-code: something must be answered first, such as a rule of a person or a yarn nobody measured"},
	{exitDamaged, "the stash is damaged"},
	{exitInterrupted, "stopped by Ctrl-C; nothing was recorded"},
}

// exitCodes maps the class of an error to the exit code; every other is
// exitRefused.
var exitCodes = map[stash.Code]int{
	stash.CodeUsage: exitUsage, stash.CodeDamaged: exitDamaged, stash.CodeStopped: exitInterrupted,
}

// exitStatus is an answer that a script asked for with --exit-code.
type exitStatus int

// Error implements error; nobody reads it.
func (s exitStatus) Error() string { return "exit status " + strconv.Itoa(int(s)) }

// exitsShort are the codes of a command that asks whether there is enough yarn.
const exitsShort = "end with 3 if there is not enough yarn, 4 if something must be answered first"

// exitFlag asks for a code that says the answer; usage says which codes there are.
func exitFlag(usage string) cli.Flag {
	return &cli.BoolFlag{Name: "exit-code", Usage: usage}
}

// answerStatus has the program end with a code that says how a verdict came out,
// if that was asked for.
func (k *call) answerStatus(v verdict.Verdict) {
	if !k.Bool("exit-code") {
		return
	}
	if enough, asked := v.Of(verdict.Enough); asked && enough.Grade == verdict.No {
		k.status = exitStatus(exitShort)
	} else if v.Grade != verdict.Yes && k.status == nil { // of several pieces the worst counts
		k.status = exitStatus(exitAsk)
	}
}

// statusOf is the code that an error asks to end with, without a word.
func statusOf(err error) (int, bool) {
	var status exitStatus
	ok := errors.As(err, &status)
	return int(status), ok
}

func exitEntries() string {
	var b strings.Builder
	for _, e := range exitMeanings {
		b.WriteString(entry(strconv.Itoa(e.code), e.meaning))
	}
	return b.String()
}
