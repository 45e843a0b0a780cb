package main

import (
	"github.com/urfave/cli/v2"
)

// sumsFlag asks for every allowance, figure and source behind an answer.
func sumsFlag() cli.Flag {
	return &cli.BoolFlag{Name: "sums", Usage: "show every allowance, figure and source too"}
}
