// Tankside records the timeline of a hazmat incident and builds the after-action
// report from it.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"tankside/cmd/internal/cli"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := cli.New().Run(ctx, os.Args[1:])
	stop()
	os.Exit(code)
}
