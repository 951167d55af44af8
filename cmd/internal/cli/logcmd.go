package cli

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections"
)

// logCommand writes one entry; it has a subcommand for every kind.
func (a *App) logCommand(s *settings) *cobra.Command {
	var t typing
	cmd := &cobra.Command{
		Use:   "log {KIND | LINE}",
		Short: "Write one entry into the log: by its fields, or as a line of trade speech",
		Long: `Write one entry into the log. Each kind of entry has its own fields: see
tankside log KIND --help, or tankside kinds for the list. What no kind fits is a note.

Several words that are no kind are a line as a scribe types it: what was said, in any
sensible order, with the time first or last when it was not now. A line is never
refused: what is not understood is kept as a note. --dry-run shows what it would
become. What is odd about it is asked on a terminal, and elsewhere kept as typed and
marked; --answer answers it.`,
		Example: `  tankside log on_scene --unit "Hazmat 2" --crew 8 --where Staging
  tankside log note --words "driver walking about, looks fine" --at 20:50
  tankside log "bond r2 .7 scraped paint"
  tankside log --dry-run "pair 3 in at 2252, out 2306, from grounding"`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case len(args) == 0:
				return usage("say which kind of entry: tankside log KIND, or type a line in quotes; tankside kinds lists the kinds, and note takes anything")
			case isLine(args):
				return a.logLine(cmd, s, t, strings.Join(args, " "))
			}
			return a.unknownKind(args[0])
		},
	}
	t.flags(cmd)
	for _, t := range a.catalogue.Types() {
		if !cmd.ContainsGroup(t.Family) {
			cmd.AddGroup(&cobra.Group{ID: t.Family, Title: strings.ToUpper(t.Family[:1]) + t.Family[1:] + ":"})
		}
		cmd.AddCommand(a.logKind(s, t))
	}
	return cmd
}

func (a *App) unknownKind(name string) error {
	near := a.catalogue.Suggest(name)
	if len(near) == 0 {
		return usage("%q is not a kind of entry; tankside kinds lists them, and note takes anything", name)
	}
	names := make([]string, len(near))
	for i, k := range near {
		names[i] = string(k)
	}
	return usage("%q is not a kind of entry; did you mean %s? note takes anything else", name, strings.Join(names, " or "))
}

// kindCommand is the command that writes entries of one kind.
type kindCommand struct {
	*cobra.Command
	typ      *events.Type
	envelope envelope
	said     []events.Pair // what the flags of the fields were given, in order
}

// kindCommands finds the kindCommand behind a cobra command, for the flags that
// can only be made once the arguments are known.
type kindCommands map[*cobra.Command]*kindCommand

// logKind makes the command of one kind.
func (a *App) logKind(s *settings, t *events.Type) *cobra.Command {
	var asSaid, dry bool
	k := &kindCommand{typ: t}
	k.Command = &cobra.Command{
		Use: string(t.Kind), Short: t.Title, GroupID: t.Family, Args: noArgs,
		Long:    t.Title + ". " + t.Doc + keyedHelp(t),
		Example: "  " + exampleLine(t),
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.with(cmd.Context(), s, false, func(ss *session) error {
				inc, err := ss.pick(cmd.Context(), s)
				if err != nil {
					return err
				}
				d, err := k.draft(a, inc, asSaid)
				if err != nil {
					return err
				}
				keep, err := a.takeIn(&d)
				if err != nil {
					return err
				}
				if dry {
					return a.show(cmd, d)
				}
				if err := keep(ss.Dir()); err != nil {
					return err
				}
				return ss.save(cmd, inc, d)
			})
		},
	}
	k.Flags().SortFlags = false // the fields first, in their own order
	for _, f := range t.Fields {
		if !f.Patterned() {
			k.field(f, f.Key)
		}
	}
	k.envelope.flags(k.Command)
	k.Flags().BoolVar(&asSaid, "as-said", false, "keep a value that does not fit its field as words, marked, instead of refusing it")
	k.Flags().BoolVar(&dry, "dry-run", false, "show what would be saved, and save nothing")
	a.kinds[k.Command] = k
	return k.Command
}

// field adds the flag of a field under key.
func (k *kindCommand) field(f events.FieldInfo, key string) {
	k.Flags().Var(&saidFlag{to: &k.said, key: key, unit: unitOf(f)}, key, describe(f))
	if len(f.Choices) > 0 {
		complete := cobra.FixedCompletions(append([]string(nil), f.Choices...), cobra.ShellCompDirectiveNoFileComp)
		if err := k.RegisterFlagCompletionFunc(key, complete); err != nil {
			panic(err) // the flag is defined above
		}
	}
}

// saidFlag notes what a flag was given, in the order of the command line.
type saidFlag struct {
	to   *[]events.Pair
	key  string
	unit string
}

// Set notes one value.
func (f *saidFlag) Set(text string) error {
	if strings.TrimSpace(text) == "" {
		return errors.New("it is empty; leave the flag out when nothing was said")
	}
	*f.to = append(*f.to, events.Pair{Key: f.key, Value: text})
	return nil
}

// String is the default, which is that nothing was said.
func (f *saidFlag) String() string { return "" }

// Type is shown in the help: the unit of an amount, or what is to be written.
func (f *saidFlag) Type() string { return f.unit }

// addKeyedFlags gives the command in args the flags whose names the log fills in,
// such as --P1A: a flag has to be there before the command line is read.
func (a *App) addKeyedFlags(root *cobra.Command, args []string) {
	cmd, rest, err := root.Find(args)
	k := a.kinds[cmd]
	if err != nil || k == nil {
		return // the command itself says what is wrong
	}
	for _, arg := range rest {
		name, ok := strings.CutPrefix(arg, "--")
		name, _, _ = strings.Cut(name, "=")
		if !ok || k.Flags().Lookup(name) != nil {
			continue
		}
		if f, ok := k.typ.Field(name); ok && f.Patterned() {
			k.field(f, name)
		}
	}
}

// draft makes a draft of what the flags say.
func (k *kindCommand) draft(a *App, inc *incident, asSaid bool) (events.Draft, error) {
	d, err := k.envelope.draft(a, k.Command, inc)
	if err != nil {
		return d, err
	}
	d.Payload = k.typ.Empty()
	for _, p := range k.said {
		with, err := k.with(d.Payload, inc, p)
		if err == nil {
			err = k.meantTime(inc, p, d.Reported)
		}
		switch {
		case err == nil:
			d.Payload = with
		case asSaid:
			d.Extra = append(d.Extra, p, events.Pair{Key: "kept as said", Value: fmt.Sprintf("%s: %v", p.Key, err)})
		case errors.Is(err, events.ErrTwice):
			return d, usage("--%s is given twice; give it once, and the other as --also %q", p.Key, p.Key+"="+p.Value)
		default:
			return d, usage("--%s: %w; put it right, or keep it as words with --as-said", p.Key, err)
		}
	}
	return d, a.catalogue.Validate(d)
}

// with adds one value; an entry may be named by its number.
func (k *kindCommand) with(p events.Payload, inc *incident, said events.Pair) (events.Payload, error) {
	text := said.Value
	if f, ok := k.typ.Field(said.Key); ok && f.Type == events.EntryField {
		id, err := inc.number(text)
		if err != nil {
			return nil, err
		}
		text = string(id)
	}
	with, err := k.typ.With(p, said.Key, text)
	if err != nil && !errors.Is(err, events.ErrTwice) {
		err = errors.New(strings.TrimPrefix(err.Error(), said.Key+": "))
	}
	return with, err
}

// meantTime asks about a time given to a field of words whose name is that of a
// time in other kinds: filed as words it would be lost as a time.
func (k *kindCommand) meantTime(inc *incident, said events.Pair, now time.Time) error {
	f, _ := k.typ.Field(said.Key)
	if said.Key != "at" && said.Key != "told" || f.Type != events.TextField {
		return nil
	}
	if _, err := inc.saidTime(said.Value, now); err != nil {
		return nil
	}
	return fmt.Errorf("%q is a time, but here this is a field of %s (%s); for the time write --%s %q", said.Value, k.typ.Title, f.Label, otherwise[said.Key].flag, said.Value)
}

// show prints what a draft would become.
func (a *App) show(cmd *cobra.Command, d events.Draft) error {
	if asJSON(cmd) {
		raw, err := a.catalogue.EncodeDraft(d)
		if err == nil {
			_, err = fmt.Fprintf(a.Out, "%s\n", raw)
		}
		return err
	}
	_, err := fmt.Fprintf(a.Out, "not saved (--dry-run)\n%s\n", a.line(d))
	return err
}

// save appends a draft and says so. When that is broken off the entry is printed
// as a line that can be imported, so that it is not lost with the process.
func (ss *session) save(cmd *cobra.Command, inc *incident, d events.Draft) error {
	a := ss.app
	r, err := inc.log.Append(cmd.Context(), d)
	if errors.Is(err, events.ErrNotSaved) {
		if raw, e := a.catalogue.EncodeDraft(d); e == nil {
			fmt.Fprintf(a.Out, "%s\n", raw)
		}
		return fmt.Errorf("the entry is not saved: %w; write it on paper, or keep the line printed here and bring it in with tankside import", err)
	}
	if err != nil {
		return err
	}
	if asJSON(cmd) {
		_, err = fmt.Fprintf(a.Out, "%s\n", r.Raw)
	} else {
		_, err = fmt.Fprintf(a.Out, "saved %d in 2 places, id %s\n%s\n", r.Seq, r.ID, inc.numbered(a, r.Draft))
	}
	if to := r.Occurred.Latest(); err == nil && r.Occurred.Form != events.Day && to.Sub(r.KnownAt()) > ahead {
		fmt.Fprintf(a.Err, "tankside: entry %d says it happened at %s, which is still to come; if that is a slip, put it right: tankside log correction --entry %d --field time --now TIME\n",
			r.Seq, to.Format(dayTime), r.Seq)
	}
	inc.idle(a, []events.Recorded{r})
	inc.odd(a, []events.Recorded{r})
	return err
}

// odd asks about places just saved that may be in the wrong country.
func (inc *incident) odd(a *App, saved []events.Recorded) {
	if !slices.ContainsFunc(saved, func(r events.Recorded) bool { _, ok := r.Payload.(kinds.PlaceFixed); return ok }) {
		return
	}
	var p projections.Places
	for _, e := range a.catalogue.NewTimeline(slices.Concat(inc.entries, saved), events.View{}).Entries {
		if e.Live() {
			p.Apply(e)
		}
	}
	for _, n := range p.Notes {
		if slices.ContainsFunc(saved, func(r events.Recorded) bool { return r.Seq == n.Seq }) {
			fmt.Fprintf(a.Err, "tankside: entry %d: %s; to put it right: tankside log correction --entry %[1]d --field lat --now DEGREES\n", n.Seq, legible(n.Text))
		}
	}
}

// idle tells of each entry just saved that was to put another right, to take one back
// or to join two and changes nothing: it stays, but whoever wrote it must know.
func (inc *incident) idle(a *App, saved []events.Recorded) {
	acts := func(r events.Recorded) bool {
		switch r.Payload.(type) {
		case events.Corrector, events.Striker, events.Joiner:
			return true
		}
		return false
	}
	if !slices.ContainsFunc(saved, acts) {
		return
	}
	tl := a.catalogue.NewTimeline(slices.Concat(inc.entries, saved), events.View{})
	for _, r := range saved {
		if why := projections.Unacted(tl.Find(r.ID)); why != "" {
			fmt.Fprintf(a.Err, "tankside: entry %d is saved but changes nothing: %s; take it back with tankside log struck --entry %[1]d, and write it again\n", r.Seq, legible(why))
		}
	}
}

// numbered prints an entry with the numbers of the entries it names, not their ids.
func (inc *incident) numbered(a *App, d events.Draft) string {
	text := a.line(d)
	for i := range inc.entries {
		e := &inc.entries[i]
		for _, v := range a.catalogue.Values(d.Payload) {
			if v.Value == string(e.ID) {
				text = strings.ReplaceAll(text, "entry "+e.ID.Short(), fmt.Sprintf("entry %d", e.Seq))
			}
		}
		if d.Occurred.Entry == e.ID {
			text = strings.ReplaceAll(text, "before "+e.ID.Short(), fmt.Sprintf("before entry %d", e.Seq))
		}
	}
	return text
}

// line prints an entry as the report does: time, place, what happened, words.
func (a *App) line(d events.Draft) string {
	parts := []string{whenText(d.Occurred)}
	if d.Where != "" {
		parts = append(parts, d.Where+".")
	}
	parts = append(parts, a.catalogue.Line(d.Payload))
	for _, p := range d.Extra {
		parts = append(parts, fmt.Sprintf("[%s: %s]", p.Key, p.Value))
	}
	if d.Words != "" {
		parts = append(parts, fmt.Sprintf("%q", d.Words))
	}
	return legible(strings.Join(parts, "  "))
}

// whenText prints a time as exactly as it is known.
func whenText(w events.When) string {
	switch w.Form {
	case events.Day:
		return w.At.Format("2 Jan 2006")
	case events.Bracket, events.Span:
		from := w.Earliest()
		return from.Format(dayTime) + " to " + w.To.Format("15:04")
	case events.Before:
		return "before " + w.Entry.Short()
	}
	if w.At.Second() != 0 {
		return w.At.Format("2 Jan 2006 " + time.TimeOnly)
	}
	return w.At.Format(dayTime)
}
