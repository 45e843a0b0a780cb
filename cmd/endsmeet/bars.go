package main

import (
	"github.com/urfave/cli/v2"
)

// barsFlag asks for bars where none would be drawn.
func barsFlag() cli.Flag {
	return &cli.BoolFlag{Name: "bars", Usage: "draw bars, in a pipe too"}
}

// drawn says whether bars are drawn: on a terminal, unless --plain; elsewhere only
// where they are asked for.
func (k *call) drawn() bool {
	return k.Bool("bars") || k.env.stdoutTTY && !k.Bool("plain")
}
