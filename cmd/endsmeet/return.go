package main

import (
	"github.com/urfave/cli/v2"

	"endsmeet/stash"
)

func returnCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "return", Category: groupYarn, ArgsUsage: "PACKAGE",
		Usage: "take a lent package back; what is missing counts as given",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "gross", Usage: "`MASS` as it came back"},
			&cli.StringFlag{Name: "scale", Usage: "the step of the scale: `MASS`"},
			onFlag(), noteFlag(), onceFlag(),
		},
		Action: action(e, 1, 1, func(k *call) error { return k.loan(stash.Package.Return, "back") }),
	}
}
