package projections

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
)

func phaseNamed(t *testing.T, inc *Incident, name string) Phase {
	t.Helper()
	for _, p := range inc.PhaseList() {
		if p.Name == name {
			return p
		}
	}
	t.Fatalf("no phase %q", name)
	return Phase{}
}

func TestPhasesOfTheIncidents(t *testing.T) {
	for _, tt := range []struct {
		incident, phase string
		want            float64 // min; below zero: not recorded
	}{
		{"harrow-mill", "time to first entry", 24},
		{"harrow-mill", "lift", 28},
		{"harrow-mill", "road closed, Weir Lane: all", 400},
		{"harrow-mill", "pumping", 36 + 18 + 24 + 20},
		{"harrow-mill", "whole incident", 498},
		{"harrow-mill", "last gallon to lift", 56},
		{"harrow-mill", "size-up", -1},
		{"harrow-mill", "notification", -1},
		{"harrow-mill", "leak uncontrolled, C3 lid under water", 78},
		{"quarry-bend", "lift", 21},
		{"quarry-bend", "hazmat activation", 24},
		{"quarry-bend", "time to first entry", 22},
		{"quarry-bend", "time to first hole", 94},
		{"quarry-bend", "time to first product moving", 112},
		{"quarry-bend", "grounding", 16},
		{"quarry-bend", "leak uncontrolled, C4 dome lid", 75},
		{"quarry-bend", "leak uncontrolled, C5 crease", -1},
		{"quarry-bend", "road closed, SR-88: all", 537},
		{"quarry-bend", "pumping", 24 + 51 + 47 + 28 + 17 + 18},
		{"quarry-bend", "emergency phase", -1},
	} {
		f := phaseNamed(t, folded(t, tt.incident, events.View{}), tt.phase).Elapsed
		if f.Known != (tt.want >= 0) || f.Known && f.Value != tt.want {
			t.Errorf("%s: %s: got %+v, want %v min", tt.incident, tt.phase, f, tt.want)
		}
		if !f.Known && (len(f.Missing) == 0 || f.Method == "so far") {
			t.Errorf("%s: %s: nothing says what is missing: %+v", tt.incident, tt.phase, f)
		}
	}
}

func TestBenchmarks(t *testing.T) {
	for _, tt := range []struct {
		incident, mark string
		want           float64 // min after the mishap
	}{
		{"harrow-mill", "first unit on scene", 14},
		{"harrow-mill", "hazmat team on scene", 68},
		{"harrow-mill", "first product moving", 162},
		{"harrow-mill", "last pump off", 292},
		{"harrow-mill", "log closed", 498},
		{"quarry-bend", "command taken", 15},
	} {
		found := false
		for _, b := range folded(t, tt.incident, events.View{}).Phases.Benchmarks() {
			if b.Name == tt.mark {
				found = true
				if b.After.Value != tt.want {
					t.Errorf("%s: %s after %v min, want %v", tt.incident, tt.mark, b.After.Value, tt.want)
				}
			}
		}
		if !found {
			t.Errorf("%s: no benchmark %q", tt.incident, tt.mark)
		}
	}
}

func TestOpenPhasesRunSoFar(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{AsOf: at(t, "2025-10-14T23:20:00-05:00")})
	if f := phaseNamed(t, inc, "pumping").Elapsed; f.Value != 14 {
		t.Errorf("pumping at 23:20: got %+v, want 14 min", f)
	}
	if f := phaseNamed(t, inc, "road closed, SR-88: all").Elapsed; f.Value != 156 {
		t.Errorf("road closed at 23:20: got %+v, want 156 min", f)
	}
	if f := phaseNamed(t, inc, "emergency phase").Elapsed; f.Value != 166 || f.Method != "so far" {
		t.Errorf("emergency phase at 23:20: got %+v, want 166 min so far", f)
	}
}

// Checks worked by hand.
// TestNoLastGallonWhileALegRuns: between two legs the last gallon may have moved;
// once the next leg runs it has not.
func TestNoLastGallonWhileALegRuns(t *testing.T) {
	for _, tt := range []struct {
		known string
		last  bool
	}{
		{"2025-10-15T01:10:00-05:00", true},  // L1 and L2 are off
		{"2025-10-15T01:51:00-05:00", false}, // L3 runs
		{"2025-10-15T05:00:00-05:00", true},  // all are off
	} {
		inc := folded(t, "quarry-bend", events.View{KnownAt: at(t, tt.known)})
		if p := phaseNamed(t, inc, "last gallon to lift"); p.Start.IsZero() == tt.last {
			t.Errorf("known at %s: last gallon to lift starts %v, want a start: %v", tt.known, p.Start.Best, tt.last)
		}
		if said := slices.ContainsFunc(inc.Phases.Benchmarks(), func(b Benchmark) bool { return b.Name == "last pump off" }); said != tt.last {
			t.Errorf("known at %s: the last pump off is told: %v, want %v", tt.known, said, tt.last)
		}
	}
}

func TestPhaseArithmetic(t *testing.T) {
	pumps := toldOf(
		t,
		line{"10:00", "C1 to R1", kinds.PumpOn{Leg: "L1"}}, line{"10:30", "C2 to R2", kinds.PumpOn{Leg: "L2"}},
		line{"11:00", "C1 to R1", kinds.PumpOff{Leg: "L1"}}, line{"11:30", "C2 to R2", kinds.PumpOff{Leg: "L2"}},
	)
	p := phaseNamed(t, pumps, "pumping")
	if p.Elapsed.Value != 90 || p.Summed.Value != 120 {
		t.Errorf("10:00-11:00 and 10:30-11:30: union %v, sum %v; want 90 and 120", p.Elapsed.Value, p.Summed.Value)
	}
	held := toldOf(
		t,
		line{"10:00", "", kinds.PumpOn{Leg: "L1"}}, line{"10:00", "", kinds.PumpOn{Leg: "L2"}},
		line{"10:10", "", kinds.PumpHeld{Leg: "L1", State: "held"}}, line{"10:20", "", kinds.PumpHeld{Leg: "L1", State: "resumed"}},
		line{"10:30", "", kinds.PumpOff{Leg: "L2"}}, line{"10:40", "", kinds.PumpOff{Leg: "L1"}},
	)
	p = phaseNamed(t, held, "pumping")
	if p.Elapsed.Value != 40 || p.Summed.Value != 60 {
		t.Errorf("L1 held for 10 min while L2 ran: union %v, sum %v; want 40 and 60", p.Elapsed.Value, p.Summed.Value)
	}
	soft := toldOf(t, line{"20:45/21:15", "", kinds.Mishap{}}, line{"23:00", "", kinds.SentOut{}})
	if f := phaseNamed(t, soft, "notification").Elapsed; f.Value != 120 || f.Low != 105 || f.High != 135 {
		t.Errorf("21:00 ± 15 min to 23:00: got %+v, want 120 (105 to 135)", f)
	}
}

func TestOddPumping(t *testing.T) {
	inc := toldOf(
		t,
		line{"10:00", "", kinds.PumpOff{Leg: "L9"}},
		line{"10:05", "", kinds.PumpOn{Leg: "L1"}}, line{"10:06", "", kinds.PumpOn{Leg: "L1"}},
		line{"10:07", "", kinds.PumpHeld{Leg: "L1", State: "resumed"}},
		line{"10:09", "C7", kinds.LeakStopped{}},
	)
	want := []string{"pump off for L9, which was not running", "pump on for L1, which has been running since 10:05", "L1 was resumed but", "a leak at C7 was stopped, but"}
	if len(inc.Phases.Notes) != len(want) {
		t.Fatalf("notes %v, want %d", inc.Phases.Notes, len(want))
	}
	for i, n := range inc.Phases.Notes {
		if !strings.HasPrefix(n.Text, want[i]) {
			t.Errorf("note %q, want %q", n.Text, want[i])
		}
	}
}

func TestRoadByDirection(t *testing.T) {
	inc := toldOf(
		t,
		line{"10:00", "SR-88", kinds.Decision{Choice: "close road both ways"}},
		line{"10:05", "SR-88", kinds.RoadClosed{Direction: "eastbound"}}, line{"10:10", "SR-88", kinds.RoadClosed{Direction: "westbound"}},
		line{"10:40", "SR-88", kinds.RoadOpened{Direction: "westbound"}},
		line{"11:00", "SR-88", kinds.RoadClosed{Direction: "westbound"}}, line{"11:10", "SR-88", kinds.RoadOpened{}},
		line{"11:20", "SR-9", kinds.RoadOpened{}},
	)
	var got []string
	for _, c := range inc.Zones.Closures(inc.AsOf) {
		got = append(got, fmt.Sprintf("%s %v longest %v in %d", c.Direction, c.Closed.Value, c.Longest.Value, len(c.Stretches)))
	}
	if s := strings.Join(got, "; "); s != "eastbound 65 longest 65 in 1; westbound 40 longest 30 in 2" {
		t.Errorf("closures: %s", s)
	}
	if len(inc.Zones.Notes) != 1 || !strings.Contains(inc.Zones.Notes[0].Text, "SR-9 was opened but was never logged closed") {
		t.Errorf("notes %v", inc.Zones.Notes)
	}
}

func TestWaitsNameWhatFellIntoThem(t *testing.T) {
	waits := folded(t, "quarry-bend", events.View{}).Waits()
	if len(waits) != 5 {
		t.Fatalf("%d waits, want 5 between six legs", len(waits))
	}
	for i, want := range []string{
		"work stopped at R1 hose end: benzene over 5 ppm 15 min, 23:44 to 00:00; C4-L plugged",
		"work stopped at R2: bond bad, 01:09 to 01:16; radio lost at Tac 3: relay battery, 00:46 to 00:58",
	} {
		if w := waits[i]; w.Minutes.Value != 36 || !strings.Contains(strings.Join(w.Reasons, "; "), want) {
			t.Errorf("wait %d: %v min, %q; want 36 with %q", i+1, w.Minutes.Value, w.Reasons, want)
		}
	}
}

// TestWaitForALateTruck: a truck is waited for by the leg that loads it.
func TestWaitForALateTruck(t *testing.T) {
	inc := toldOf(
		t,
		line{"08:00", "Yard", kinds.TruckOrdered{Truck: "R2", ETA: "09:00"}},
		line{"09:00", "C1 to R1", kinds.PumpOn{Leg: "L1"}}, line{"09:20", "C1 to R1", kinds.PumpOff{Leg: "L1"}},
		line{"09:30", "C2 to R1", kinds.PumpOn{Leg: "L2"}}, line{"09:40", "C2 to R1", kinds.PumpOff{Leg: "L2"}},
		line{"10:05", "Staging", kinds.OnScene{Truck: "R2"}},
		line{"10:10", "C3 to R2", kinds.PumpOn{Leg: "L3"}}, // still running
	)
	var got []string
	for _, w := range inc.Waits() {
		got = append(got, fmt.Sprintf("%v min %q", w.Minutes.Value, w.Reasons))
	}
	if want := []string{`10 min []`, `30 min ["R2 late, 09:00 to 10:05"]`}; !slices.Equal(got, want) {
		t.Errorf("waits %q, want %q", got, want)
	}
}

func TestNotAPhaseAndNotAUnit(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	for _, p := range inc.PhaseList() {
		if p.Name == "leak uncontrolled, C5 plug" {
			t.Errorf("a leak found and stopped in one entry is the phase %q, %v min", p.Name, p.Elapsed.Value)
		}
	}
	if inc.Phases.leakAt("C5 plug") >= 0 || len(inc.Phases.Leaks) != 3 {
		t.Errorf("leaks %+v, want three, that of the plug stopped", inc.Phases.Leaks)
	}
	for _, r := range inc.Resources.List(inc.AsOf) {
		if strings.HasPrefix(r.Name, "wreck") {
			t.Errorf("%q is listed as a unit", r.Name)
		}
	}
}
