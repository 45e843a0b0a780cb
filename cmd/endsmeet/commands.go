package main

import "github.com/urfave/cli/v2"

// commands lists every command, in the order in which help shows them, and
// the topics of help.
func commands(e *environment) []*cli.Command {
	return append([]*cli.Command{
		receiveCommand(e), weighCommand(e), stocktakeCommand(e), useCommand(e), discardCommand(e),
		giveCommand(e), lendCommand(e),
		returnCommand(e), windCommand(e), setCommand(e), retireCommand(e), undoCommand(e),
		redateCommand(e),
		listCommand(e), showCommand(e), historyCommand(e), worthCommand(e), yearCommand(e),
		bookCommand(e), stickersCommand(e), trendCommand(e), photoCommand(e), checkCommand(e),
		projectCommand(e), planCommand(e), startCommand(e), finishCommand(e), anotherCommand(e),
		loomCommand(e), fitsCommand(e), shareCommand(e), idleCommand(e),
		dueCommand(e), upNextCommand(e), unmarkedCommand(e), likeCommand(e),
		personCommand(e), suitsCommand(e), togetherCommand(e), cardCommand(e),
		syncCommand(e),
		importCommand(e), exportCommand(e), backupCommand(e), restoreCommand(e),
		demoCommand(e), configCommand(e), completionCommand(e),
		manCommand(e),
	}, topicCommands(e)...)
}

// The options that several commands share.

func noteFlag() cli.Flag { return &cli.StringFlag{Name: "note", Usage: "a remark: `TEXT`"} }

func forceFlag() cli.Flag {
	return &cli.BoolFlag{Name: "force", Usage: "record it although less is left, as far as recorded"}
}

// readingFlags are the options for what a scale says.
func readingFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringSliceFlag{Name: "gross", Usage: "`WEIGHT` with its cone, tube or bag"},
		&cli.StringFlag{Name: "tare",
			Usage: "`WEIGHT` of the empty cone, tube or bag, such as 28g or, if nobody weighed it, \"28g assumed\""},
		&cli.StringSliceFlag{Name: "net", Usage: "`WEIGHT` of the yarn alone"},
		&cli.StringFlag{Name: "scale", Usage: "the smallest `WEIGHT` the scale shows, such as 1g"},
	}
}
