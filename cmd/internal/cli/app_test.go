package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"tankside/events"
	"tankside/events/kinds"
)

// zone is the zone of the tests' clock.
var zone = time.FixedZone("", -5*3600)

// newApp is the program with its clock set to 00:03 on 15 October 2025.
func newApp() (a *App, out, errs *bytes.Buffer) {
	out, errs = &bytes.Buffer{}, &bytes.Buffer{}
	now := time.Date(2025, 10, 15, 0, 3, 0, 0, zone)
	return &App{In: strings.NewReader(""), Out: out, Err: errs, Now: func() time.Time { return now }, catalogue: kinds.Catalogue()}, out, errs
}

// run runs one command that has to succeed and returns what it printed.
func run(t *testing.T, args ...string) string {
	t.Helper()
	a, out, errs := newApp()
	if code := a.Run(t.Context(), args); code != 0 || errs.Len() > 0 {
		t.Fatalf("tankside %s: exit %d, said %q", strings.Join(args, " "), code, errs)
	}
	return out.String()
}

// TestEveryKindByItsExample writes each kind with the flags that its reference
// gives as an example into one real log, and reads the same fact back.
func TestEveryKindByItsExample(t *testing.T) {
	t.Setenv("TANKSIDE_DIR", filepath.Join(t.TempDir(), "data"))
	run(t, "open", "Quarry Bend", "--no-console")
	var all []struct {
		Kind    events.Kind `json:"kind"`
		Example []string    `json:"example"`
	}
	if err := json.Unmarshal([]byte(run(t, "kinds", "--json")), &all); err != nil {
		t.Fatal(err)
	}
	if n := len(kinds.Catalogue().Types()); len(all) != n {
		t.Errorf("the reference has %d kinds, the catalogue %d", len(all), n)
	}
	a, _, _ := newApp()
	s := newSettings(a, &cobra.Command{})
	err := a.with(t.Context(), s, false, func(ss *session) error {
		inc, err := ss.pick(t.Context(), s)
		for _, k := range all {
			if err == nil {
				err = logExample(t, a, inc, k.Kind, k.Example)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := run(t, "verify"); !strings.Contains(got, "whole, and the same in both places") {
		t.Errorf("verify says %q", got)
	}
}

// logExample saves what the arguments of tankside log make of one kind.
func logExample(t *testing.T, a *App, inc *incident, kind events.Kind, args []string) error {
	t.Helper()
	root := a.Root()
	args = append([]string{"log"}, args...)
	a.addKeyedFlags(root, args)
	cmd, rest, err := root.Find(args)
	if err == nil {
		err = cmd.ParseFlags(rest)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", kind, err)
	}
	d, err := a.kinds[cmd].draft(a, inc, false)
	if err != nil {
		return fmt.Errorf("%s: %w", kind, err)
	}
	r, err := inc.log.Append(t.Context(), d)
	if err != nil {
		return fmt.Errorf("%s: %w", kind, err)
	}
	got, err := a.catalogue.Open(r.Raw)
	if want := a.catalogue.Type(kind).Example; !reflect.DeepEqual(got.Payload, want) || len(got.Extra)+len(got.Faults) > 0 {
		t.Errorf("%s: got %+v, %v and %v beside it, want %+v", kind, got.Payload, got.Extra, got.Faults, want)
	}
	return err
}

// TestFlagsOfFields: a field may take the name of a flag of every entry that has a
// second name, and no other, or one of the two could not be written.
func TestFlagsOfFields(t *testing.T) {
	a, _, _ := newApp()
	root, taken := a.Root(), map[string]bool{"as-said": true, "dry-run": true, "help": true}
	root.PersistentFlags().VisitAll(func(f *pflag.Flag) { taken[f.Name] = true })
	var e envelope
	open := &cobra.Command{}
	e.flags(open)
	open.Flags().VisitAll(func(f *pflag.Flag) { taken[f.Name] = taken[f.Name] || otherwise[f.Name].flag == "" })
	for cmd, k := range a.kinds {
		for _, f := range k.typ.Fields {
			if taken[f.Key] {
				t.Errorf("%s: the flag of the field %s is taken; give the field another key, or the flag of every entry a second name", k.typ.Kind, f.Key)
			}
		}
		for first, second := range otherwise {
			_, field := k.typ.Field(first)
			if shown := !cmd.Flags().Lookup(second.flag).Hidden; shown != field {
				t.Errorf("%s: the help shows --%s: %v, want %v", k.typ.Kind, second.flag, shown, field)
			}
		}
	}
}

func TestExitCodes(t *testing.T) {
	for _, tt := range []struct {
		name string
		err  error
		want int
	}{
		{"theirs", usage("no"), 2},
		{"invalid entry", events.ErrInvalid, 2},
		{"told already", errTold{1}, 1},
		{"ours", events.ErrNotSaved, 1},
		{"stopped", t.Context().Err(), 1},
	} {
		if tt.err != nil && exitCode(tt.err) != tt.want {
			t.Errorf("%s: exit code %d, want %d", tt.name, exitCode(tt.err), tt.want)
		}
	}
}

func TestProgressIsForTerminals(t *testing.T) {
	for _, terminal := range []bool{false, true} {
		a, _, errs := newApp()
		a.Terminal = terminal
		bar := a.progress("saving", 4)
		bar.at(2)
		bar.end()
		if got := strings.Contains(errs.String(), "saving ###############............... 2 of 4"); got != terminal {
			t.Errorf("terminal %v: drew %q", terminal, errs)
		}
	}
}

func TestColumnsLineUp(t *testing.T) {
	g := grid{title: "T", heads: []string{"name", "gal"}, right: []int{1}}
	var b strings.Builder
	if err := g.print(&b); err != nil || b.Len() > 0 {
		t.Errorf("an empty table prints %q, %v", b.String(), err)
	}
	g.add("Łąka", "1,012")
	g.add("B", "5")
	if err := g.print(&b); err != nil {
		t.Fatal(err)
	}
	want := "\nT\n  name    gal\n  ----  -----\n  Łąka  1,012\n  B         5\n"
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

// TestTablesFit80Columns: the words of a table go on below where a line is full;
// nothing is cut off, and readings stay whole.
func TestTablesFit80Columns(t *testing.T) {
	g := grid{heads: []string{"place", "read", "gal"}, right: []int{2}}
	g.add("the high side of the fourth compartment, by the lid that was torn", joined(joined("", "LEL 22 % (21:40)"), "benzene 4.6 ppm (21:50)"), "1,012")
	g.add("Dike", "none", "5")
	var b strings.Builder
	if err := g.print(&b); err != nil {
		t.Fatal(err)
	}
	want := `  place                             read                       gal
  --------------------------------  -----------------------  -----
  the high side of the fourth       LEL 22 % (21:40),        1,012
  compartment, by the lid that was  benzene 4.6 ppm (21:50)
  torn
  Dike                              none                         5
`
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
	long := strings.Repeat("x", 90)
	b.Reset()
	g.add(long, "", "?")
	if err := g.print(&b); err != nil || !strings.Contains(b.String(), long) {
		t.Errorf("a long word is not whole in\n%s, %v", b.String(), err)
	}
}

// TestStateFits80Columns holds the board of the longest incident to the terminal
// that a laptop in a rig has.
func TestStateFits80Columns(t *testing.T) {
	dir := t.TempDir()
	a, out, errs := newApp()
	file := filepath.Join("..", "..", "..", "testdata", "incidents", "quarry-bend.csv")
	if code := a.Run(t.Context(), []string{"import", file, "--incident", "Quarry Bend", "--dir", dir}); code != 0 {
		t.Fatalf("import: exit %d, %s", code, errs)
	}
	for _, view := range [][]string{nil, {"--known-at", "01:51"}, {"--known-at", "23:20"}} {
		out.Reset()
		if code := a.Run(t.Context(), append([]string{"state", "--dir", dir}, view...)); code != 0 {
			t.Fatalf("state: exit %d, %s", code, errs)
		}
		for line := range strings.Lines(out.String()) {
			sentence := strings.HasPrefix(line, "  asked: ") || strings.HasPrefix(line, "  set aside: ") // the terminal breaks these
			if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n >= wide && !sentence {
				t.Errorf("state %v: %d columns: %s", view, n, line)
			}
		}
	}
}

// What a relay or a file says must not steer the terminal of whoever reads it.
func TestTerminalIsNotSteered(t *testing.T) {
	const hostile = "C4\x1b]0;x\a\u009b2J\r\nIN NOW  all\u202e"
	a, out, errs := newApp()
	dir := t.TempDir()
	for _, args := range [][]string{
		{"open", "Mill", "--no-console"}, {"log", "air_read", "--where", hostile, "--LEL", "5", "--words", hostile}, {"log", "in_hot", "--P1A", "4000 psi", "--where", hostile, "--words", hostile},
		{"log", "stop_work", "--where", hostile, "--words", hostile}, {"log", "note", "--at", hostile}, {"state"}, {"balance"}, {"incidents"},
	} {
		a.Run(t.Context(), append(args, "--dir", dir))
	}
	for _, text := range []string{out.String(), errs.String()} {
		if i := strings.IndexFunc(text, func(r rune) bool { return r != '\n' && unicode.IsControl(r) || r == '\u202e' }); i >= 0 {
			t.Errorf("%q reached the terminal", text[max(0, i-20):min(len(text), i+20)])
		}
		if strings.Contains(text, "\nIN NOW  all") {
			t.Error("words from outside began a line of their own")
		}
	}
	if !strings.Contains(out.String(), "C4") || !strings.Contains(errs.String(), "is not a time") {
		t.Errorf("printed %q and %q", out, errs)
	}
}
