package cli

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// versionCommand prints what this program was built from.
func (a *App) versionCommand(*settings) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "Print what this program was built from",
		Args:  noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			v := version()
			v.Kinds = len(a.catalogue.Types())
			if asJSON(cmd) {
				return a.printJSON(v)
			}
			_, err := fmt.Fprintf(a.Out, "tankside %s, %d kinds of entry, %s\n", v.Version, v.Kinds, v.Go)
			return err
		},
	}
}

// build is what the program was built from.
type build struct {
	Version string `json:"version"` // release, or the revision
	Go      string `json:"go"`
	Kinds   int    `json:"kinds"`
}

func version() build {
	b := build{Version: "unreleased", Go: runtime.Version()}
	info, ok := debug.ReadBuildInfo()
	if ok && info.Main.Version != "" && info.Main.Version != "(devel)" {
		b.Version = info.Main.Version
	}
	return b
}
