// Command endsmeet keeps a hand-weaver's stash of yarn and says whether what
// is left makes another piece.
package main

import (
	"context"
	"os"
	"os/signal"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := run(ctx, systemEnvironment(), os.Args)
	stop()
	os.Exit(code)
}
