package cli

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events"
)

// kindsCommand is the reference of the kinds of entry.
func (a *App) kindsCommand(*settings) *cobra.Command {
	var schema bool
	var out string
	cmd := &cobra.Command{
		Use:   "kinds [KIND]",
		Short: "List the kinds of entry, or describe one",
		Long:  "List the kinds of entry, or describe one with its fields, units and bounds. --schema writes their JSON Schemas.",
		Args:  atMost(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			if schema && out != "" {
				return a.writeSchemas(out)
			}
			if len(args) == 0 {
				return a.listKinds(cmd, schema)
			}
			t := a.catalogue.Type(events.Kind(args[0]))
			if t == nil {
				return a.unknownKind(args[0])
			}
			return a.describeKind(cmd, t, schema)
		},
		ValidArgsFunction: a.completeKinds,
	}
	cmd.Flags().BoolVar(&schema, "schema", false, "the JSON Schema of KIND, or with --out those of all kinds")
	cmd.Flags().StringVar(&out, "out", "", "folder to write the schemas into")
	return cmd
}

func (a *App) completeKinds(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	var out []string
	for _, t := range a.catalogue.Types() {
		out = append(out, string(t.Kind)+"\t"+t.Title)
	}
	return out, cobra.ShellCompDirectiveNoFileComp
}

// writeSchemas writes all schemas into a folder.
func (a *App) writeSchemas(dir string) error {
	files, err := a.catalogue.Schemas()
	if err != nil {
		return err
	}
	for _, f := range files {
		name := filepath.Join(dir, filepath.FromSlash(f.Path))
		err := errors.Join(os.MkdirAll(filepath.Dir(name), 0o755), os.WriteFile(name, f.JSON, 0o644))
		if err != nil {
			return fmt.Errorf("write schemas: %w", err)
		}
	}
	_, err = fmt.Fprintf(a.Out, "%d schemas are in %s\n", len(files), dir)
	return err
}

// kindInfo is what is printed of a kind as data.
type kindInfo struct {
	Kind    events.Kind `json:"kind"`
	Version int         `json:"version"`
	Title   string      `json:"title"`
	Family  string      `json:"family"`
	Doc     string      `json:"doc"`
	Says    []string    `json:"says"`
	Feeds   []string    `json:"feeds"`
	Fields  []fieldInfo `json:"fields"`
	Example []string    `json:"example"` // arguments of tankside log
}

type fieldInfo struct {
	Key     string           `json:"key"`
	Flag    string           `json:"flag"`
	Label   string           `json:"label"`
	Type    events.FieldType `json:"type"`
	Units   []string         `json:"units,omitempty"`
	Low     *float64         `json:"low,omitempty"`
	High    *float64         `json:"high,omitempty"`
	Choices []string         `json:"choices,omitempty"`
	Says    []string         `json:"says,omitempty"`
	Help    string           `json:"help,omitempty"`
}

func infoOf(t *events.Type) kindInfo {
	k := kindInfo{Kind: t.Kind, Version: t.Version, Title: t.Title, Family: t.Family, Doc: t.Doc, Says: t.Says, Feeds: t.Feeds,
		Fields: []fieldInfo{}, Example: append([]string{string(t.Kind)}, exampleFlags(t)...)}
	for _, f := range t.Fields {
		k.Fields = append(k.Fields, fieldInfo{Key: f.Key, Flag: "--" + f.Key, Label: f.Label, Type: f.Type, Units: f.Units,
			Low: limit(f, f.Low), High: limit(f, f.High), Choices: f.Choices, Says: f.Says, Help: f.Help})
	}
	return k
}

// limit is a bound of an amount, nil where there is none.
func limit(f events.FieldInfo, v float64) *float64 {
	if len(f.Units) == 0 || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// listKinds prints all kinds, family by family.
func (a *App) listKinds(cmd *cobra.Command, schema bool) error {
	if schema {
		return usage("say which kind, or name a folder for the schemas of all with --out DIR")
	}
	var all []kindInfo
	table := grid{heads: []string{"kind", "records", "a scribe says"}}
	family := ""
	for _, t := range a.catalogue.Types() {
		all = append(all, infoOf(t))
		if t.Family != family {
			family = t.Family
			table.add(strings.ToUpper(family), "", "")
		}
		table.add("  "+string(t.Kind), t.Title, strings.Join(t.Says, ", "))
	}
	if asJSON(cmd) {
		return a.printJSON(all)
	}
	return table.print(a.Out)
}

// describeKind prints the reference page of one kind.
func (a *App) describeKind(cmd *cobra.Command, t *events.Type, schema bool) error {
	if schema {
		raw, err := a.catalogue.Schema(t.Kind)
		if err == nil {
			_, err = a.Out.Write(raw)
		}
		return err
	}
	if asJSON(cmd) {
		return a.printJSON(infoOf(t))
	}
	fields := grid{heads: []string{"flag", "takes", "field"}}
	for _, f := range t.Fields {
		fields.add("--"+f.Key, unitOf(f), describe(f))
	}
	fmt.Fprintf(a.Out, "%s  %s\n\n%s\n", t.Kind, t.Title, t.Doc)
	if len(t.Says) > 0 {
		fmt.Fprintf(a.Out, "A scribe says: %s\n", strings.Join(t.Says, ", "))
	}
	fmt.Fprintf(a.Out, "Read by: %s\n\n", strings.Join(t.Feeds, ", "))
	if err := fields.print(a.Out); err != nil {
		return err
	}
	_, err := fmt.Fprintf(a.Out, "\n  %s\n  %s\n", exampleLine(t), t.Line(t.Example))
	return err
}
