package scene_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tankside/cmd/internal/scene"
	"tankside/events"
	"tankside/events/intake/lines"
	"tankside/events/kinds"
	"tankside/projections"
)

// TestNightAlone keeps a log of nothing but typed lines, each read against what the
// lines before it taught and kept as Enter keeps it, and compares what comes of it with
// the incident as it was.
func TestNightAlone(t *testing.T) {
	recorded, typed := night(t)
	c := kinds.Catalogue()
	var log []events.Recorded
	for i, line := range typed {
		tl := c.NewTimeline(log, events.View{})
		ctx := scene.At(projections.Fold(c, tl), c, tl, recorded[i].Reported, "Scribe")
		ctx.Incident = "Quarry Bend"
		var n int
		if _, err := fmt.Sscanf(line, "fix %d:", &n); err == nil { // joins have moved the numbers on
			line = strings.Replace(line, fmt.Sprint(n), fmt.Sprint(n+len(log)-i), 1)
		}
		r := lines.Parse(ctx, line)
		drafts := r.Drafts
		if r.Ask != nil {
			drafts = r.Ask.Choices[0].Drafts
		}
		n = 0
		lines.Number(drafts, func() events.ID { n++; return events.ContentID(recorded[i].Reported, fmt.Sprint(i, n)) })
		for _, d := range drafts {
			var prev *events.Recorded
			if len(log) > 0 {
				prev = &log[len(log)-1]
			}
			r, err := c.Seal(d, "test", prev, recorded[i].Reported)
			if err != nil {
				t.Fatalf("%q: %v", line, err)
			}
			log = append(log, r)
		}
	}
	want, got := state(recorded), state(log)
	for _, f := range []struct {
		name      string
		want, got projections.Figure
		within    float64
	}{
		{"transferred", want.Volume.Transferred, got.Volume.Transferred, 1},
		{"remaining", want.Volume.Remaining, got.Volume.Remaining, 1},
		{"load", want.Volume.Load, got.Volume.Load, 1},
		{"left over", want.Volume.LeftOver, got.Volume.LeftOver, 2},
		{"unaccounted for", want.Volume.Unaccounted, got.Volume.Unaccounted, 2},
		{"foam solution", want.Foam.Solution, got.Foam.Solution, 1},
	} {
		if !f.got.Known || math.Abs(f.got.Value-f.want.Value) > f.within {
			t.Errorf("%s: %v, want %v within %v", f.name, f.got, f.want, f.within)
		}
	}
	// As the report of the incident prints them, so that a fault of the projections, which
	// would be the same on both sides, is seen too. Left over is what no truck took and no
	// dip found, the measured release with it; unaccounted for is without.
	for _, f := range []struct {
		name string
		got  projections.Figure
		want float64
	}{{"transferred", want.Volume.Transferred, 8205}, {"left over", want.Volume.LeftOver, 336}, {"unaccounted for", want.Volume.Unaccounted, 15}} {
		if math.Abs(f.got.Value-f.want) > 1 {
			t.Errorf("as recorded, %s: %v, want %.0f within 1", f.name, f.got, f.want)
		}
	}
	for i, p := range want.People {
		if q := got.People[i]; p.Person != q.Person || p.Number != q.Number {
			t.Errorf("%s went in %d times, want %d", q.Person, q.Number, p.Number)
		}
	}
	t.Logf("typed alone: %.0f gal transferred, %.0f left over (as recorded %.0f and %.0f); %d legs, %d holes, %d stops",
		got.Volume.Transferred.Value, got.Volume.LeftOver.Value, want.Volume.Transferred.Value, want.Volume.LeftOver.Value, len(got.Volume.Legs), len(got.Holes), len(got.Stops))
	if len(got.Volume.Legs) != len(want.Volume.Legs) || len(got.Holes) != len(want.Holes) || len(got.Stops) != len(want.Stops) || len(got.Trucks) != len(want.Trucks) {
		t.Errorf("%d legs, %d holes, %d stops, %d trucks, want %d, %d, %d, %d", len(got.Volume.Legs), len(got.Holes), len(got.Stops), len(got.Trucks),
			len(want.Volume.Legs), len(want.Holes), len(want.Stops), len(want.Trucks))
	}
}

func state(log []events.Recorded) projections.State {
	c := kinds.Catalogue()
	return projections.Fold(c, c.NewTimeline(log, events.View{})).State()
}
