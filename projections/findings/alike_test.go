package findings

import (
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// TestTrucksNamedAlike: what is said of R1 is not said of R10.
func TestTrucksNamedAlike(t *testing.T) {
	bad := kinds.ResistanceRead{Path: "bond", Resistance: quantity.Of[quantity.Ohms](1850), Limit: quantity.Of[quantity.Ohms](10)}
	both := []line{
		{"08:00", "Haulier", kinds.TruckOrdered{Truck: "R1"}}, {"08:00", "Haulier", kinds.TruckOrdered{Truck: "R10"}},
		{"09:00", "Tank to R1", bad}, {"09:10", "R10", kinds.StopWork{}},
	}
	for _, tt := range []struct {
		into   string
		alarms int
	}{{"R1", 1}, {"R1A", 1}, {"R10", 0}} {
		inc := judged(story(t, append(both, on("09:20", "L1", "C1", tt.into))...), events.View{}, Defaults())
		n := 0
		for _, a := range inc.Alarms {
			if a.Rule == "act-bond" {
				n++
			}
		}
		if n != tt.alarms {
			t.Errorf("the bond to R1 is bad and L1 runs into %s: %d alarms, want %d", tt.into, n, tt.alarms)
		}
	}
	for words, want := range map[string]bool{"R1": true, "R1A": true, "at R1, hose end": true, "R10": false, "C1": false, "": false} {
		if got := namesTruck(words, "R1"); got != want {
			t.Errorf("%q names R1: %t, want %t", words, got, want)
		}
	}
}

// TestAirTimerGoesByItsFinding: what the finding takes for a reading, and monitors that
// run all the time, count for the timer as well.
func TestAirTimerGoesByItsFinding(t *testing.T) {
	in := line{"10:00", "Gate", kinds.InHot{Pair: "1"}}
	for _, tt := range []struct {
		name  string
		lines []line
		want  string
	}{
		{"nothing read", []line{in}, "10:10"},
		{"read to take work up again", []line{in, {"10:05", "C1", kinds.ResumeWork{LEL: quantity.Of[quantity.PercentLEL](2)}}}, "10:15"},
		{"work taken up with no reading", []line{in, {"10:05", "C1", kinds.ResumeWork{}}}, "10:10"},
		{"monitors run all the time", []line{{"09:50", "C1", kinds.GearReady{Continuous: "yes"}}, in}, ""},
		{"and do no more", []line{{"09:40", "C1", kinds.GearReady{Continuous: "yes"}}, {"09:50", "C1", kinds.GearReady{Continuous: "no"}}, in}, "10:10"},
	} {
		got := ""
		for _, d := range timersOf(story(t, tt.lines...), "due-air") {
			got += d.At.Format("15:04")
		}
		if got != tt.want {
			t.Errorf("%s: air due at %q, want %q", tt.name, got, tt.want)
		}
	}
}
