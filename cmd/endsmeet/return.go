package main

import (
	"github.com/urfave/cli/v2"

	"endsmeet/stash"
)

func returnCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "return", Category: groupYarn, ArgsUsage: "ITEM",
		Usage: "Record yarn that came back from a loan; what is missing counts as given.",
		Flags: recorded(
			&cli.StringFlag{Name: "gross", Usage: "`WEIGHT` as it came back"},
			&cli.StringFlag{Name: "scale", Usage: "the smallest `WEIGHT` the scale shows, such as 1g"},
			fromFlag(),
			noteFlag()),
		Action: action(e, 0, 1, func(k *call) error {
			return k.loan(stash.Package.Return, "back",
				nobody)
		}),
	}
}
