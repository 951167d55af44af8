package move

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/memlog"
	"tankside/events/quantity"
)

var catalogue = kinds.Catalogue()

func at(clock string) time.Time {
	t, err := time.Parse(time.RFC3339, "2025-10-14T"+clock+":00-05:00")
	if err != nil {
		panic(err)
	}
	return t
}

func place(name string) Place {
	return Place{Incident: name, Log: memlog.New(catalogue, name, "node", func() time.Time { return at("22:00") })}
}

// say logs a payload and returns its entry as the whole log has it.
func say(t *testing.T, p Place, payload events.Payload, change ...func(*events.Draft)) *events.Entry {
	t.Helper()
	d := events.Draft{
		ID: events.NewID(at("21:16")), Incident: p.Incident, Occurred: events.At(at("21:16")), Reported: at("21:18"),
		ObservedBy: "Entry team 2", RecordedBy: "Scribe", Channel: events.Radio, Where: "C5 lid", Words: "lel 6 at the lid", Grammar: "1", Payload: payload,
	}
	for _, c := range change {
		c(&d)
	}
	if _, err := p.Log.Append(t.Context(), d); err != nil {
		t.Fatal(err)
	}
	return find(t, p, d.ID)
}

func timeline(t *testing.T, p Place) *events.Timeline {
	t.Helper()
	all, err := entries(t.Context(), p.Log)
	if err != nil {
		t.Fatal(err)
	}
	return catalogue.NewTimeline(all, events.View{})
}

func find(t *testing.T, p Place, id events.ID) *events.Entry {
	t.Helper()
	return timeline(t, p).Find(id)
}

func strikeAt(clock string) events.Draft {
	return events.Draft{ID: events.NewID(at(clock)), Occurred: events.At(at(clock)), Reported: at(clock), RecordedBy: "Second scribe", Channel: events.Typed, Words: "move 1 to quarry bend"}
}

func lel(percent float64) kinds.AirRead {
	return kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](quantity.PercentLEL(percent))}
}

// TestEntry: what is moved stands there with its own times, teller and words, and here
// struck; each names the other.
func TestEntry(t *testing.T) {
	a, b := place("Mill Hill"), place("Quarry Bend")
	b.Mode = events.Exercise
	say(t, b, kinds.Note{Text: "first"})
	e := say(t, a, lel(6))
	m, err := Entry(t.Context(), catalogue, e, a, b, strikeAt("21:30"))
	if err != nil || m != (Moved{There: 2, Strike: 2}) {
		t.Fatalf("moved %+v, %v; want 2 there and 2 here", m, err)
	}
	here, there := find(t, a, e.ID), timeline(t, b).Entries
	if here.Struck == nil || catalogue.Line(here.Struck.Payload) == "" || here.Struck.Payload.(kinds.Struck).Why != "moved to Quarry Bend as 2" {
		t.Errorf("here it is %+v", here.Struck)
	}
	got := there[len(there)-1]
	if from := kinds.MovedFrom(got.Extra); from != "Mill Hill 1" {
		t.Errorf("moved from %q, want Mill Hill 1", from)
	}
	want := e.Draft
	want.ID, want.Incident, want.Mode, want.Extra = got.ID, "Quarry Bend", events.Exercise, got.Extra
	if !catalogue.SameFact(want, got.Recorded) || got.RecordedBy != "Scribe" {
		t.Errorf("there it is %+v, want %+v", got.Draft, want)
	}
}

// cut is a log that a process leaves before, or just after, it has saved.
type cut struct {
	events.Log
	saves bool
}

var errEnd = errors.New("the process ended")

func (l cut) Append(ctx context.Context, d events.Draft) (events.Recorded, error) {
	if l.saves {
		if _, err := l.Log.Append(ctx, d); err != nil {
			return events.Recorded{}, err
		}
	}
	return events.Recorded{}, errEnd
}

// TestCut breaks a move off at each of its steps and makes it again: the entry is never
// in neither log, and in the end once there and struck here.
func TestCut(t *testing.T) {
	for name, spoil := range map[string]func(a, b *Place){
		"before it is entered": func(_, b *Place) { b.Log = cut{b.Log, false} },
		"as it is entered":     func(_, b *Place) { b.Log = cut{b.Log, true} },
		"before the strike":    func(a, _ *Place) { a.Log = cut{a.Log, false} },
		"as it is struck":      func(a, _ *Place) { a.Log = cut{a.Log, true} },
	} {
		t.Run(name, func(t *testing.T) {
			a, b := place("Mill Hill"), place("Quarry Bend")
			e := say(t, a, lel(6))
			a2, b2 := a, b
			spoil(&a2, &b2)
			if _, err := Entry(t.Context(), catalogue, e, a2, b2, strikeAt("21:30")); !errors.Is(err, errEnd) {
				t.Fatalf("broken off: %v", err)
			}
			e = find(t, a, e.ID)
			if live := count(timeline(t, a)) + count(timeline(t, b)); live < 1 {
				t.Error("the entry is in neither log")
			}
			_, err := Entry(t.Context(), catalogue, e, a, b, strikeAt("21:31"))
			if done := e.Struck != nil; done != errors.As(err, new(Refused)) || !done && err != nil {
				t.Fatalf("again: %v", err)
			}
			if here, there := count(timeline(t, a)), count(timeline(t, b)); here != 0 || there != 1 {
				t.Errorf("%d here and %d there, want 0 and 1", here, there)
			}
		})
	}
}

// count counts the readings that stand.
func count(tl *events.Timeline) (n int) {
	for e := range tl.Live() {
		if _, ok := e.Payload.(kinds.AirRead); ok {
			n++
		}
	}
	return n
}

// TestPutRight moves an entry as it stands, and again after it was taken back there.
func TestPutRight(t *testing.T) {
	a, b := place("Mill Hill"), place("Quarry Bend")
	e := say(t, a, lel(60))
	say(t, a, kinds.Correction{Entry: e.ID, Field: "LEL", Was: "60 %", Now: "6 %"})
	if _, err := Entry(t.Context(), catalogue, find(t, a, e.ID), a, b, strikeAt("21:30")); err != nil {
		t.Fatal(err)
	}
	got := timeline(t, b).Entries[0]
	if v := got.Payload.(kinds.AirRead).LEL.Value(); v != 6 || kinds.MovedFrom(got.Extra) != "Mill Hill 1, as put right by 2" {
		t.Errorf("there: %g %%, from %q", v, kinds.MovedFrom(got.Extra))
	}
	m, err := Entry(t.Context(), catalogue, got, b, a, strikeAt("21:40")) // back
	if err != nil || m.There != 4 {
		t.Fatalf("moved back: %+v, %v; want entry 4", m, err)
	}
	all, err := entries(t.Context(), a.Log)
	if err != nil {
		t.Fatal(err)
	}
	if m, err = Entry(t.Context(), catalogue, find(t, a, all[m.There-1].ID), a, b, strikeAt("21:50")); err != nil {
		t.Errorf("and there again: %+v, %v", m, err)
	}
	if here, there := count(timeline(t, a)), count(timeline(t, b)); here != 0 || there != 1 {
		t.Errorf("in the end %d here and %d there, want 0 and 1", here, there)
	}
}

// TestStaysHere refuses what means nothing in another log, and says what to do.
func TestStaysHere(t *testing.T) {
	a, b := place("Mill Hill"), place("Quarry Bend")
	e := say(t, a, lel(6))
	for want, got := range map[string]*events.Entry{
		"is about this log": say(t, a, kinds.LogOpened{}),
		"or an entry of it": say(t, a, kinds.Correction{Entry: e.ID, Field: "LEL", Now: "7 %"}),
		"fix 4: at 21:10":   say(t, a, kinds.Note{Text: "x"}, func(d *events.Draft) { d.Occurred = events.When{Form: events.Before, Entry: e.ID} }),
		"struck already by 6: not": func() *events.Entry {
			k := say(t, a, kinds.Note{Text: "y"})
			say(t, a, kinds.Struck{Entry: k.ID, Why: "not so"})
			return find(t, a, k.ID)
		}(),
	} {
		_, err := Entry(t.Context(), catalogue, got, a, b, strikeAt("21:30"))
		if !errors.As(err, new(Refused)) || !strings.Contains(err.Error(), want) {
			t.Errorf("entry %d: %v, want it refused with %q", got.Seq, err, want)
		}
	}
	if _, err := Entry(t.Context(), catalogue, e, a, a, strikeAt("21:30")); !errors.As(err, new(Refused)) {
		t.Errorf("into its own log: %v", err)
	}
	if all, err := entries(t.Context(), b.Log); err != nil || len(all) > 0 {
		t.Errorf("there are %d entries there, %v", len(all), err)
	}
}

// TestTakenBackBetween: a move broke off, and what it had entered there was struck there.
// The same move again enters it once more; what is struck there does not count.
func TestTakenBackBetween(t *testing.T) {
	a, b := place("Mill Hill"), place("Quarry Bend")
	e := say(t, a, lel(6))
	broken := a
	broken.Log = cut{a.Log, false}
	if _, err := Entry(t.Context(), catalogue, e, broken, b, strikeAt("21:30")); !errors.Is(err, errEnd) {
		t.Fatalf("broken off: %v", err)
	}
	say(t, b, kinds.Struck{Entry: timeline(t, b).Entries[0].ID, Why: "not ours"})
	m, err := Entry(t.Context(), catalogue, e, a, b, strikeAt("21:40"))
	if err != nil || m.There != 3 {
		t.Errorf("moved again: %+v, %v; want entry 3 there", m, err)
	}
	if here, there := count(timeline(t, a)), count(timeline(t, b)); here != 0 || there != 1 {
		t.Errorf("%d here and %d there, want 0 and 1", here, there)
	}
}
