// Package cli is the command line: one file a command, nothing global. It is where
// the machine's clock, files and terminal come in; everything below is given them.
package cli

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"tankside/events"
	"tankside/events/kinds"
)

// App is the program with what it takes from outside.
type App struct {
	In       io.Reader
	Out      io.Writer // what was asked for
	Err      io.Writer // everything else
	Now      func() time.Time
	Terminal bool // Err is a terminal: progress may be drawn on it
	// Steady is how long the machine has run, by a counter that nobody sets; nil where
	// there is none.
	Steady func() (time.Duration, bool)

	catalogue *events.Catalogue
	kinds     kindCommands // of the command tree made last
	cannot    trouble      // of the log that is open
	telling   sync.Mutex   // one thing at a time is said while a console is served
}

// New returns the program on this process's streams and this machine's clock.
func New() *App {
	return &App{In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Now: time.Now, Terminal: isTerminal(os.Stderr), Steady: steadyCount,
		catalogue: kinds.Catalogue()}
}

// wall is the clock of this machine, whatever hour it is at the incident.
func (a *App) wall() time.Time { return time.Now() }

func isTerminal(f *os.File) bool {
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// Run runs one command and returns the exit code: 0 done, 1 our fault or a failed
// check, 2 a fault in what was given.
func (a *App) Run(ctx context.Context, args []string) int {
	root := a.Root()
	root.SetArgs(args)
	a.addKeyedFlags(root, args)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return 0
	}
	if text := oneLine(err); text != "" {
		fmt.Fprintln(a.Err, "tankside: "+text)
	}
	return exitCode(err)
}

// Root returns the command tree, new at each call.
func (a *App) Root() *cobra.Command {
	root := &cobra.Command{
		Use:   "tankside",
		Short: "Incident log and after-action report for hazmat teams at overturned tank trucks",
		Long: `Incident log and after-action report for hazmat teams at overturned tank trucks.

See it work:            tankside demo
Begin an incident:      tankside open "Quarry Bend"
Write an entry:         tankside log on_scene --unit "Hazmat 2" --crew 8
How things stand:       tankside state
The report:             tankside report --format html --out report.html

tankside informs; it authorises nothing.`,
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.ArbitraryArgs,

		PersistentPreRunE: refuseIdle,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return unknownCommand(cmd, args[0])
			}
			return cmd.Help()
		},
	}
	root.SetIn(a.In)
	root.SetOut(a.Out)
	root.SetErr(a.Err)
	root.SetFlagErrorFunc(flagError)
	a.kinds = kindCommands{}
	s := newSettings(a, root)
	for _, add := range commands {
		root.AddCommand(add(a, s))
	}
	return root
}

// commands make the subcommands, in the order of a job.
var commands = []func(*App, *settings) *cobra.Command{
	(*App).demoCommand, (*App).openCommand, (*App).closeCommand, (*App).logCommand, (*App).photoCommand, (*App).moveCommand, (*App).importCommand,
	(*App).stateCommand, (*App).dueCommand, (*App).peopleCommand, (*App).findingsCommand, (*App).balanceCommand, (*App).gaugeCommand, (*App).leakCommand, (*App).hoseCommand, (*App).foamCommand, (*App).groundCommand, (*App).bottleCommand, (*App).heatCommand, (*App).reportCommand, (*App).reviewCommand, (*App).signCommand,
	(*App).verifyCommand, (*App).exportCommand, (*App).restoreCommand,
	(*App).incidentsCommand, (*App).kindsCommand, (*App).productsCommand, (*App).versionCommand,
}

// unknownCommand says what may have been meant.
func unknownCommand(root *cobra.Command, name string) error {
	root.SuggestionsMinimumDistance = 2
	near := root.SuggestionsFor(name)
	if len(near) == 0 {
		return usage("%q is not a command; run tankside --help for the list", name)
	}
	return usage("%q is not a command; did you mean %s?", name, strings.Join(near, " or "))
}

// flagError turns what the flag library says into one line with the way out.
func flagError(cmd *cobra.Command, err error) error {
	if args := cmd.Flags().Args(); cmd.HasSubCommands() && len(args) > 0 && !(cmd.HasParent() && isLine(args)) {
		return cmd.RunE(cmd, args) // a mistyped command: its flags are not the fault
	}
	return usage("%w; run %s --help for the flags", err, cmd.CommandPath())
}

// noArgs refuses arguments in our words.
func noArgs(cmd *cobra.Command, args []string) error { return atMost(0)(cmd, args) }

// atMost refuses more than n arguments.
func atMost(n int) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) > n {
			return usage("%s does not know what to do with %q; run %s --help", cmd.CommandPath(), args[n], cmd.CommandPath())
		}
		return nil
	}
}

// exactly asks for one argument, named.
func exactly(name string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) == 0 {
			return usage("%s needs %s: %s", cmd.CommandPath(), name, cmd.UseLine())
		}
		return atMost(1)(cmd, args)
	}
}
