package projections

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

func TestAirSeries(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	var got []string
	for _, s := range inc.AirList() {
		if s.Quantity == "benzene" && s.Place == "R1 hose end" || s.Quantity == "LEL" && s.Place == "C4 dome" {
			got = append(got, fmt.Sprintf("%s %d readings %v to %v median %.1f gap %v over %d", s.Quantity, len(s.Readings), s.Min.Value, s.Max.Value, s.Median.Value, s.LongestGap.Value, s.Over))
		}
	}
	want := "LEL 2 readings 6 to 22 median 14.0 gap 8 over 1; benzene 8 readings 0.8 to 9.6 median 3.8 gap 37 over 0"
	if s := strings.Join(got, "; "); s != want {
		t.Errorf("got %s, want %s", s, want)
	}
}

// TestUnreadWhileWorked: what was not read after the last reading counts as long as
// the place was worked, and no longer.
func TestUnreadWhileWorked(t *testing.T) {
	for _, tt := range []struct {
		incident, known, place, quantity string
		gap                              float64 // min; below zero: not known
		method                           string
		every                            float64 // min; 0: not ordered
	}{
		{"quarry-bend", "", "R1 hose end", "benzene", 37, "00:20 to pump off 00:57", 10},
		{"quarry-bend", "", "R1 hose end", "LEL", 37, "00:20 to pump off 00:57", 0},
		{"quarry-bend", "2025-10-15T00:50:00-05:00", "R1 hose end", "benzene", 30, "00:20, so far", 10},
		{"quarry-bend", "2025-10-14T23:54:00-05:00", "R1 hose end", "benzene", 3, "23:35 to 23:38", 0}, // no pump runs
		{"quarry-bend", "", "C4 dome", "LEL", 8, "21:40 to 21:48", 0},                                  // the work went on at another place of C4, and was read there
		{"quarry-bend", "", "C4 work point", "LEL", 24, "pump on 23:06 to pump off 23:30", 0},
		{"quarry-bend", "", "NE approach", "LEL", -1, "", 0}, // nobody worked there
		{"harrow-mill", "", "C3 belly", "VOC", 24, "pump on 08:50 to pump off 09:14", 0},
	} {
		v := events.View{}
		if tt.known != "" {
			v.KnownAt = at(t, tt.known)
		}
		for _, s := range folded(t, tt.incident, v).AirList() {
			if s.Place != tt.place || s.Quantity != tt.quantity {
				continue
			}
			every := 0.0
			if s.Every != nil {
				every = s.Every.Minutes.Value
			}
			f := s.LongestGap
			if f.Known != (tt.gap >= 0) || f.Known && f.Value != tt.gap || f.Method != tt.method || every != tt.every {
				t.Errorf("%s %s %s: gap %v %v min, %q, ordered every %v; want %v, %q, %v", tt.known, tt.place, tt.quantity, f.Known, f.Value, f.Method, every, tt.gap, tt.method, tt.every)
			}
		}
	}
}

func TestOrderedReadings(t *testing.T) {
	inc := toldOf(
		t,
		line{"09:00", "Dike", kinds.OrderGiven{Rule: []string{"air read every 15 min", "O2 read every 5 min", "read every now and then", "H2S read every half hour"}}},
		line{"09:10", "Dike", kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](3), O2: quantity.Of[quantity.Percent](20.9)}},
		line{"09:10", "Gate", kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](0)}},
		line{"09:30", "Dike", kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](2)}}, // O2 is not read again
		line{"09:50", "", kinds.LogClosed{}},
	)
	var got []string
	for _, s := range inc.AirList() {
		text := s.Place + " " + s.Quantity
		if s.Every != nil {
			text += fmt.Sprintf(" every %v: %v min, %s", s.Every.Minutes.Value, s.LongestGap.Value, s.LongestGap.Method)
		}
		got = append(got, text)
	}
	want := "Dike LEL every 15: 20 min, 09:10 to 09:30; Dike O2 every 5: 40 min, 09:10 to log closed 09:50; Gate LEL"
	if s := strings.Join(got, "; "); s != want {
		t.Errorf("got  %s\nwant %s", s, want)
	}
}

// The monitor's clock ran 250 s fast: its readings stand at their true time, with
// the stamp beside it.
func TestMonitorClock(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	seen := 0
	for _, s := range inc.Air.List() {
		for _, r := range s.Readings {
			if r.Stamped == nil {
				continue
			}
			seen++
			if r.ClockOff != 250 || r.Stamped.Sub(r.At.Best) != 250*time.Second {
				t.Errorf("%s at %s: stamped %s, %v s off; want 250", s.Place, clock(r.At.Best), clock(*r.Stamped), r.ClockOff)
			}
		}
	}
	if seen != 6 {
		t.Errorf("%d values were moved, want 6 of two readings", seen)
	}
	q := inc.Quality.Report(inc.AsOf)
	if len(q.Clocks) != 1 || q.Clocks[0].Ahead.Value != 250 || q.Clocks[0].Moved != 2 {
		t.Errorf("clocks %+v, want one 250 s ahead that moved 2 entries", q.Clocks)
	}
}

func TestBonds(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	r2 := inc.Grounding.Bond("R2")
	if r2 == nil || len(r2.Readings) != 2 || r2.Readings[0].Verdict != Past || r2.Verdict != Within || r2.fixedIn(nil).Value != 7 {
		t.Fatalf("bond of R2: %+v, want 1850 ohm over, 0.7 within, fixed in 7 min", r2)
	}
	before := folded(t, "quarry-bend", events.View{AsOf: at(t, "2025-10-15T01:10:00-05:00")}).Grounding.Bond("R2")
	if before.Verdict != Past || before.fixedIn(nil).Known {
		t.Errorf("bond of R2 at 01:10: %s, fixed in %+v; want over, not fixed", before.Verdict, before.fixedIn(nil))
	}
	if v := inc.Grounding.List()[0]; v.Verdict != Past || v.FixedIn == nil || v.FixedIn.Value != 10 {
		t.Errorf("rod G1: %+v, want 38 ohm over a limit of 25, put right in 10 min by a second rod", v)
	}
}

func TestResistanceVerdicts(t *testing.T) {
	ohm := func(q quantity.Qualifier, v float64) quantity.Amount[quantity.Ohms] {
		return quantity.Amount[quantity.Ohms]{Qual: q, Best: v, Unit: "ohm"}
	}
	for _, tt := range []struct {
		name              string
		resistance, limit quantity.Amount[quantity.Ohms]
		want              Verdict
	}{
		{"at the limit", ohm("=", 25), ohm("=", 25), Within},
		{"just over", ohm("=", 25.1), ohm("=", 25), Past},
		{"over range", ohm(">", 2000), ohm("=", 25), Past},
		{"more than, under the limit", ohm(">", 5), ohm("=", 25), Undecided},
		{"less than", ohm("<", 1), ohm("=", 25), Within},
		{"no limit", ohm("=", 5), quantity.Amount[quantity.Ohms]{}, NoLimit},
		{"not said", quantity.Amount[quantity.Ohms]{}, ohm("=", 25), NoReading},
	} {
		inc := toldOf(t, line{"10:00", "Rod G1", kinds.ResistanceRead{Path: "ground", Resistance: tt.resistance, Limit: tt.limit}})
		if got := inc.Grounding.List()[0].Verdict; got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
	later := toldOf(
		t, line{"10:00", "Rod G1", kinds.ResistanceRead{Path: "ground", Resistance: ohm("=", 38), Limit: ohm("=", 25)}},
		line{"10:10", "Rod G2", kinds.ResistanceRead{Path: "ground", Resistance: ohm("=", 30)}},
	)
	if got := later.Grounding.List()[1]; got.Verdict != Past || got.Readings[0].Limit.Value != 25 || got.Readings[0].Limit.From[0] != 1 {
		t.Errorf("a reading without a limit: %+v, want the limit stated before", got)
	}
}

func TestStops(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	var got []string
	for _, s := range inc.Stops.List(inc.AsOf) {
		got = append(got, fmt.Sprintf("%s %v min on %s", s.Place, s.Minutes.Value, s.Resumed))
	}
	if s := strings.Join(got, "; "); s != "R1 hose end 16 min on benzene 0.6 ppm; R2 7 min on bond 0.7 ohm" {
		t.Errorf("stops: %s", s)
	}
	open := folded(t, "quarry-bend", events.View{AsOf: at(t, "2025-10-14T23:50:00-05:00")})
	if s := open.Stops.List(open.AsOf); len(s) != 1 || s[0].Minutes.Method != "so far" || s[0].Minutes.Value != 6 {
		t.Errorf("at 23:50: %+v, want one stop open for 6 min", s)
	}
	odd := toldOf(t, line{"10:00", "R1", kinds.StopWork{}}, line{"10:01", "R2", kinds.StopWork{}}, line{"10:05", "R3", kinds.ResumeWork{}})
	if len(odd.Stops.Notes) != 1 || odd.Stops.List(odd.AsOf)[0].Minutes.Method != "so far" {
		t.Errorf("resumed where nothing was stopped: notes %v, stops %+v", odd.Stops.Notes, odd.Stops.List(odd.AsOf))
	}
}

func TestLogQuality(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	q := inc.Quality.Report(inc.AsOf)
	if len(q.Late) != 14 || q.MedianDelay.Value != 30 || q.Entries != 213 {
		t.Errorf("%d of %d told late, median delay %v s; want 14 of 213, 30 s", len(q.Late), q.Entries, q.MedianDelay.Value)
	}
	if len(q.Revised) != 1 || q.Revised[0].Seq != 181 || !strings.Contains(q.Revised[0].Was, "3537 gal") || !strings.Contains(q.Revised[0].Now, "3537 L") {
		t.Errorf("put right: %+v, want entry 181 from 3537 gal to 3537 L", q.Revised)
	}
	if len(q.Joined) != 1 || q.Joined[0].Seq != 72 || q.Joined[0].By != 71 {
		t.Errorf("second witnesses: %+v, want 72 of 71", q.Joined)
	}
	if len(q.Outages) != 2 || q.Outages[0].What != "radio" || q.Outages[0].Minutes.Value != 12 || q.Outages[1].Minutes.Value != 6 {
		t.Errorf("outages: %+v, want radio for 12 min, power for 6", q.Outages)
	}
	if q.OpenDoubts != 0 || len(q.Doubts) != 1 || q.Doubts[0].Ruling != "meter set aside" {
		t.Errorf("doubts: %+v, want one, settled", q.Doubts)
	}
	for _, n := range [][]Note{q.Unplaced, q.Faults, q.Unknown, q.Notes} {
		if len(n) > 0 {
			t.Errorf("unexpected: %v", n)
		}
	}
}

func TestQualityOfAPoorLog(t *testing.T) {
	inc := toldOf(
		t,
		line{"10:00", "", kinds.Correction{CorrectsText: "pump_off L5", Was: "1 gal", Now: "2 gal"}},
		line{"10:01", "", kinds.Struck{Entry: events.ContentID(time.Unix(0, 0), "nowhere")}},
		line{"10:02", "Tac 3", kinds.RadioBack{}},
		line{"2025-03-01", "", kinds.Note{Text: "some time that day"}},
		line{"10:10/10:20", "", kinds.Note{Text: "about then"}},
		line{"10:30", "Leg L3", kinds.DoubtRaised{}},
	)
	q := inc.Quality.Report(inc.AsOf)
	if len(q.Unplaced) != 2 || len(q.Notes) != 1 || q.OpenDoubts != 1 {
		t.Errorf("unplaced %v, notes %v, %d open doubts; want 2, 1, 1", q.Unplaced, q.Notes, q.OpenDoubts)
	}
	if q.SoftShare.Value != 100.0*2/6 {
		t.Errorf("soft share %v %%, want 2 of 6", q.SoftShare.Value)
	}
}

func TestCallsAfterTheMishap(t *testing.T) {
	inc := folded(t, "harrow-mill", events.View{})
	var got []string
	for _, n := range inc.State().Notifications {
		got = append(got, fmt.Sprintf("%s %v", n.Ref, n.After.Value))
	}
	if s := strings.Join(got, "; "); s != "WS-0719 32; N-44817 109;  142" {
		t.Errorf("notices after the mishap: %s", s)
	}
}

func TestRolesAndHandovers(t *testing.T) {
	inc := toldOf(
		t,
		line{"10:00", "", kinds.CommandTaken{Unit: []string{"Engine 7"}}},
		line{"10:20", "", kinds.CommandTaken{Role: "IC", Unit: []string{"Battalion 3"}, From: "Engine 7"}},
		line{"10:30", "", kinds.RoleGiven{Role: "Entry leader", Person: "A"}}, line{"10:40", "", kinds.RoleGiven{Role: "Entry leader", Person: "B", Relieves: "A"}},
		line{"11:00", "", kinds.Handover{Role: "IC", To: "Chief 1", Open: []string{"R1 ticket due"}}},
		line{"12:00", "", kinds.CommandEnded{}}, line{"12:05", "", kinds.CommandEnded{}},
		line{"12:10", "", kinds.LogClosed{}},
	)
	var got []string
	for _, h := range inc.Command.Roles(inc.AsOf) {
		got = append(got, fmt.Sprintf("%s %s %v", h.Role, h.Holder, h.Minutes.Value))
	}
	if s := strings.Join(got, "; "); s != "IC Engine 7 20; IC Battalion 3 40; Entry leader A 10; Entry leader B 0; IC Chief 1 60" {
		t.Errorf("roles: %s", s)
	}
	if b := inc.Command.Roles(inc.AsOf)[3].Minutes; b.Known || b.Low != 90 {
		t.Errorf("a role never given up in a closed log: %+v, want unknown, at least 90 min", b)
	}
	if len(inc.Command.Notes) != 1 || len(inc.Command.Handovers) != 1 {
		t.Errorf("notes %v, handovers %v", inc.Command.Notes, inc.Command.Handovers)
	}
}

func TestResources(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	for _, r := range inc.Resources.List(inc.AsOf) {
		switch r.Name {
		case "R2":
			if r.LeadTime.Value != 193 || r.There.Value != 168 {
				t.Errorf("R2: ordered to arrived %v, there %v; want 193 and 168 min", r.LeadTime.Value, r.There.Value)
			}
		case "Hazmat 2":
			if r.Hours.Known || r.There.Low != 521 || r.Crew.Value != 8 {
				t.Errorf("Hazmat 2 never logged leaving: %+v", r)
			}
		}
	}
}
