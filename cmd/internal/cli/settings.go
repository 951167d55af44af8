package cli

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"
)

// settings are the flags every command has. A flag goes before its environment
// variable, TANKSIDE_ and its name in capitals.
type settings struct{ v *viper.Viper }

// The names of the flags every command has.
const (
	flagDir      = "dir"
	flagIncident = "incident"
	flagJSON     = "json"
	flagAsOf     = "as-of"
	flagKnownAt  = "known-at"
	flagVerbose  = "verbose"
	flagProducts = "products"
	flagRules    = "rules"
)

func newSettings(a *App, root *cobra.Command) *settings {
	v := viper.New()
	v.SetEnvPrefix("TANKSIDE")
	v.AutomaticEnv()
	f := root.PersistentFlags()
	f.String(flagDir, "", "data `folder`, on a local disk (TANKSIDE_DIR; without either, the user's data folder)")
	f.String(flagIncident, "", "`name` of the incident; may be left out where there is only one")
	f.Bool(flagJSON, false, "print data instead of a table")
	f.String(flagAsOf, "", "look at what had happened by that `time`: a full one, or a clock time of the incident")
	f.String(flagKnownAt, "", "look at what the post had been told by that `time`")
	f.String(flagProducts, "", "`file` with the department's own figures of products (TANKSIDE_PRODUCTS; see tankside products)")
	f.String(flagRules, "", "`file` with what the department says of the rules (TANKSIDE_RULES; see tankside findings)")
	f.Bool(flagVerbose, false, "print the program's own log too")
	for _, name := range []string{flagDir, flagIncident, flagVerbose, flagProducts, flagRules} {
		if err := v.BindPFlag(name, f.Lookup(name)); err != nil {
			panic(err) // the flag is defined above
		}
	}
	if err := root.RegisterFlagCompletionFunc(flagIncident, a.completeIncidents); err != nil {
		panic(err)
	}
	return &settings{v}
}

// dir is the data folder.
func (s *settings) dir() (string, error) {
	if dir := s.v.GetString(flagDir); dir != "" {
		return dir, nil
	}
	base, err := userData()
	if err != nil {
		return "", usage("no data folder: %w; name one with --dir or TANKSIDE_DIR", err)
	}
	return filepath.Join(base, "tankside"), nil
}

// userData is where this system keeps a user's data.
func userData() (string, error) {
	switch runtime.GOOS {
	case "windows":
		if dir := os.Getenv("LocalAppData"); dir != "" {
			return dir, nil
		}
		return "", errors.New("%LocalAppData% is not set")
	case "darwin":
		return os.UserConfigDir() // Application Support
	}
	if dir := os.Getenv("XDG_DATA_HOME"); dir != "" {
		return dir, nil
	}
	home, err := os.UserHomeDir()
	return filepath.Join(home, ".local", "share"), err
}

// The marks of commands that look at the log through two clocks, of one that takes the
// figures of products without, of those that hold rules against it, and of those that have nothing to print as data.
const (
	looksBack    = "looks back"
	usesProducts = "uses products"
	usesRules    = "uses rules"
	noData       = "no data"
)

// refuseIdle refuses a flag that the command would pass over in silence: --as-of on
// tankside log is no time of an entry.
func refuseIdle(cmd *cobra.Command, _ []string) error {
	for _, name := range []string{flagAsOf, flagKnownAt} {
		if cmd.Flags().Changed(name) && cmd.Annotations[looksBack] == "" {
			return usage("--%s is for state, due, people, findings, balance and report; %s does not look back", name, cmd.CommandPath())
		}
	}
	if cmd.Flags().Changed(flagProducts) && cmd.Annotations[looksBack]+cmd.Annotations[usesProducts] == "" {
		return usage("--%s is for state, balance, report and products; %s works nothing out", flagProducts, cmd.CommandPath())
	}
	if cmd.Flags().Changed(flagRules) && cmd.Annotations[usesRules] == "" {
		return usage("--%s is for state, findings, due and report; %s holds no rule against the log", flagRules, cmd.CommandPath())
	}
	if cmd.Flags().Changed(flagJSON) && cmd.Annotations[noData] != "" {
		return usage("%s has no --json; tankside state --json prints the same as data", cmd.CommandPath())
	}
	return nil
}

// asJSON reports whether data was asked for instead of a table.
func asJSON(cmd *cobra.Command) bool {
	on, _ := cmd.Flags().GetBool(flagJSON)
	return on
}
