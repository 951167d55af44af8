package cli

import (
	"context"
	"iter"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
	_ "time/tzdata" // the rules of the zones, for machines that have none

	"tankside/events"
	"tankside/events/kinds"
)

// zones are those that were looked up: one zone is one value, so that times can be told
// to be of the same.
var zones sync.Map

// zoneNamed is the zone of a name that stands for rules, such as America/Chicago; nil for
// any other words.
func zoneNamed(name string) *time.Location {
	if !strings.Contains(name, "/") {
		return nil
	}
	if z, ok := zones.Load(name); ok {
		return z.(*time.Location)
	}
	z, err := time.LoadLocation(name)
	if err != nil {
		return nil
	}
	kept, _ := zones.LoadOrStore(name, z)
	return kept.(*time.Location)
}

// machineZone is the name of this machine's zone, "" where it does not say.
func machineZone() string {
	name, ok := os.LookupEnv("TZ")
	if name = strings.TrimPrefix(name, ":"); !ok {
		link, err := os.Readlink("/etc/localtime")
		if err != nil {
			return ""
		}
		_, name, _ = strings.Cut(filepath.ToSlash(link), "zoneinfo/")
	}
	if strings.HasPrefix(name, "Etc/") || zoneNamed(name) == nil {
		return ""
	}
	return name
}

// openedIn is the zone in which a log was opened, nil where it names none by its rules.
// Without, its times are shown at the offset they were written with.
func openedIn(entries []events.Recorded) *time.Location {
	for _, r := range entries {
		if k, ok := r.Payload.(kinds.LogOpened); ok {
			return zoneNamed(k.Zone)
		}
	}
	return nil
}

// zonedLog is a log whose times are those of one zone and its rules: stored they are
// instants with an offset.
type zonedLog struct {
	events.Log
	zone *time.Location
}

// Read yields the entries in the zone.
func (l zonedLog) Read(ctx context.Context, from events.Seq) iter.Seq2[events.Recorded, error] {
	return l.moved(l.Log.Read(ctx, from))
}

// Follow yields them and those that come in the zone.
func (l zonedLog) Follow(ctx context.Context, from events.Seq) iter.Seq2[events.Recorded, error] {
	return l.moved(l.Log.Follow(ctx, from))
}

func (l zonedLog) moved(all iter.Seq2[events.Recorded, error]) iter.Seq2[events.Recorded, error] {
	return func(yield func(events.Recorded, error) bool) {
		for r, err := range all {
			if !yield(zoned(r, l.zone), err) {
				return
			}
		}
	}
}

// zoned is an entry with its times in a zone.
func zoned(r events.Recorded, z *time.Location) events.Recorded {
	for _, t := range []*time.Time{&r.Occurred.At, &r.Occurred.From, &r.Occurred.To, &r.Reported, &r.RecordedAt} {
		if !t.IsZero() {
			*t = t.In(z)
		}
	}
	return r
}
