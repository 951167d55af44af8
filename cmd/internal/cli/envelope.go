package cli

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"tankside/events"
)

// envelope are the flags that every entry has, whatever its kind.
type envelope struct {
	at, told                           string
	who, where, words, channel, device string
	relayedBy, trust, scribe           string
	also                               []string
}

// otherwise are the second names of flags that every entry has. A kind may have a
// field of the first name: then the first name means the field, as it does to a
// scribe who writes that kind, and only the second the entry.
var otherwise = map[string]struct{ flag, means string }{
	"at":     {"happened", "when it happened"},
	"told":   {"heard", "when the post was told"},
	"who":    {"teller", "who saw or measured it and told it"},
	"trust":  {"grade", "one of the grades of every entry"},
	"device": {"stamped-by", "the clock that stamped it"},
}

// flags adds the flags to cmd, behind those of a kind's fields.
func (e *envelope) flags(cmd *cobra.Command) {
	e.channel = string(events.Typed)
	for _, f := range []struct {
		to         *string
		name, help string
	}{
		{&e.at, "at", "`time` it happened: 21:16, \"about 21:16\", 21:10/21:20, a day, a full time, \"before #12\"; now when left out"},
		{&e.told, "told", "`time` the post was told; now when left out"},
		{&e.who, "who", "`role` of whoever saw or measured it and told it"},
		{&e.where, "where", "`place` where it happened"},
		{&e.words, "words", "the `words` as said"},
		{&e.channel, "channel", "`way` it reached the post: typed, radio, runner, phone, device"},
		{&e.device, "device", "`clock` that stamped it, when a device did"},
		{&e.relayedBy, "relayed-by", "`role` of whoever passed it on"},
		{&e.trust, "trust", "`grade` of what it rests on: " + strings.Join(trusts(), ", ")},
		{&e.scribe, "scribe", "`role` of whoever writes it down"},
	} {
		addOnce(cmd.Flags(), f.to, f.name, f.help)
	}
	cmd.Flags().StringArrayVar(&e.also, "also", nil, "`key=value` of what else was said; may be given many times")
}

// addOnce adds a flag under its first name, unless a field has that, and under its
// second, which the help shows only where the first is a field's.
func addOnce(f *pflag.FlagSet, to *string, name, help string) {
	value := &onceFlag{to: to}
	taken := f.Lookup(name) != nil
	if !taken {
		f.Var(value, name, help)
	}
	if second := otherwise[name].flag; second != "" {
		f.Var(value, second, help)
		f.Lookup(second).Hidden = !taken
	}
}

// onceFlag is a flag that takes one value, under either name.
type onceFlag struct {
	to    *string
	given bool
}

// Set takes the value; a second is refused, as the first would be lost without a word.
func (f *onceFlag) Set(text string) error {
	if f.given {
		return fmt.Errorf("it is given twice, first as %q; give it once, and what else was said with --also", *f.to)
	}
	*f.to, f.given = text, true
	return nil
}

// String is the value.
func (f *onceFlag) String() string {
	if f.to == nil {
		return ""
	}
	return *f.to
}

// Type is shown in the help where the help names nothing better.
func (f *onceFlag) Type() string { return "words" }

// flagOf is the flag that means the entry in cmd, not one of its fields.
func flagOf(cmd *cobra.Command, name string) string {
	if second := otherwise[name].flag; second != "" && !cmd.Flags().Lookup(second).Hidden {
		return "--" + second
	}
	return "--" + name
}

func trusts() (out []string) {
	for _, t := range []events.Trust{events.Measured, events.Observed, events.Estimated, events.Hearsay, events.WorkedOut} {
		out = append(out, string(t))
	}
	return out
}

// draft makes a draft of inc without a payload. Its id is made here, once, so that
// every try to save it is a try to save the same entry.
func (e *envelope) draft(a *App, cmd *cobra.Command, inc *incident) (events.Draft, error) {
	now := a.Now().Truncate(time.Second)
	now = now.In(inc.zone(now))
	d := events.Draft{ID: events.NewID(now), Incident: inc.name, Occurred: events.At(now), Reported: now, ObservedBy: e.who,
		RelayedBy: e.relayedBy, RecordedBy: e.scribe, Channel: events.Channel(e.channel), Device: e.device, Where: e.where,
		Trust: events.Trust(e.trust), Words: e.words}
	if len(inc.entries) > 0 {
		d.Mode = inc.entries[0].Mode
	}
	if e.trust != "" && !slices.Contains(trusts(), e.trust) {
		return d, usage("%s: %q is not one of %s; words of your own go into --words", flagOf(cmd, "trust"), e.trust, strings.Join(trusts(), ", "))
	}
	if d.Channel == events.Device && d.Device == "" {
		d.Device = e.who
	}
	for _, pair := range e.also {
		key, value, ok := strings.Cut(pair, "=")
		if !ok {
			return d, usage("--also: %q has no =; write it as key=value", pair)
		}
		d.Extra = append(d.Extra, events.Pair{Key: strings.TrimSpace(key), Value: strings.TrimSpace(value)})
	}
	return d, e.times(&d, cmd, inc, now)
}

// times reads when it happened and when the post was told.
func (e *envelope) times(d *events.Draft, cmd *cobra.Command, inc *incident, now time.Time) (err error) {
	if e.at != "" {
		if d.Occurred, err = inc.saidTime(e.at, now); err != nil {
			return usage("%s: %w", flagOf(cmd, "at"), err)
		}
	}
	if e.told != "" {
		told, err := inc.saidTime(e.told, now)
		if err == nil && told.Form != events.Instant {
			err = fmt.Errorf("%q is not one moment; give one time", e.told)
		}
		if err != nil {
			return usage("%s: %w", flagOf(cmd, "told"), err)
		}
		d.Reported = told.At
	}
	return nil
}

// saidTime reads a time as a scribe gives it. A clock time is the last such time
// that is not more than ahead from now, so that 23:50 said at 00:03 is yesterday's.
func (inc *incident) saidTime(text string, now time.Time) (events.When, error) {
	if ref, ok := strings.CutPrefix(text, "before "); ok {
		id, err := inc.number(ref)
		return events.When{Form: events.Before, Entry: id}, err
	}
	body, about := strings.CutPrefix(text, "about ")
	parts := strings.Split(body, "/")
	dayBefore := now.Add(ahead+time.Second).AddDate(0, 0, -1)
	for i, p := range parts {
		if at, ok := events.Clock(strings.TrimSpace(p)).After(dayBefore); ok {
			parts[i] = at.Format(time.RFC3339)
		}
	}
	body = strings.Join(parts, "/")
	if about {
		body = "about " + body
	}
	w, err := events.ParseWhen(body, now)
	if err != nil {
		return w, fmt.Errorf("%q is not a time; use 21:16, 2025-10-14T21:16:00-05:00, 2025-10-14, \"about 21:16\", 21:10/21:20 or \"before #12\"", text)
	}
	return w, w.Fault()
}

// ahead is how far a clock time may lie ahead of the laptop's clock and still be
// today's: clocks differ by some minutes (common practice, no source).
const ahead = 5 * time.Minute
