package findings

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections"
)

// replayed raises what each entry, and each minute between them, raised as it was
// known then: distinct alarms in the order in which they came, and the most at once.
func replayed(t testing.TB, entries []events.Recorded, from, to string) (raised []string, most int) {
	t.Helper()
	c, b := kinds.Catalogue(), Defaults()
	seen := map[string]bool{}
	for _, now := range instants(entries, moment(t, from), moment(t, to)) {
		tl := c.NewTimeline(entries, events.View{AsOf: now, KnownAt: now})
		inc := projections.Fold(c, tl)
		Time(inc, tl, b)
		most = max(most, len(inc.Alarms))
		for _, a := range inc.Alarms {
			if key := a.Rule + a.Subject + a.Since.Best.String(); !seen[key] {
				seen[key] = true
				raised = append(raised, fmt.Sprintf("%s %s %s", now.Format("15:04"), a.Rule, a.Subject))
			}
		}
	}
	return raised, most
}

// instants are the times at which a board would have been looked at.
func instants(entries []events.Recorded, from, to time.Time) (out []time.Time) {
	for now := from; !now.After(to); now = now.Add(time.Minute) {
		out = append(out, now)
	}
	for i := range entries {
		if at := entries[i].KnownAt(); at.After(from) && at.Before(to) {
			out = append(out, at)
		}
	}
	slices.SortFunc(out, time.Time.Compare)
	return out
}

func moment(t testing.TB, s string) time.Time {
	t.Helper()
	got, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestAlarmsOfAnIncidentReplayedAsKnownThen(t *testing.T) {
	if testing.Short() {
		t.Skip("folds an incident some hundred times")
	}
	for _, tt := range []struct {
		incident, from, to string
		most               int
		want               []string
	}{
		{"quarry-bend", "2025-10-14T21:16:00-05:00", "2025-10-15T05:05:00-05:00", 2, []string{
			"21:40 act-air C4 dome, LEL",
			"23:21 act-turn-back P3A, P3B", // the trip told late: in for half an hour on 2,600 psi, as known then
			"23:38 act-air R1 hose end, benzene",
			"23:44 act-stopped R1 hose end",
			"01:03 act-no-backup backup", // the pair that stood by went in
			"01:09 act-stopped R2",
			"01:59 act-turn-back P2A, P2B", // out the same minute, told 20 s later
			"02:01 act-no-backup backup",
			"03:02 act-turn-back P2A, P2B", // out four minutes later, below the alarm pressure
		}},
		{"harrow-mill", "2026-01-22T06:02:00-06:00", "2026-01-22T10:10:00-06:00", 1, []string{
			"06:45 act-past-stay P1A, P1B",
			"07:58 act-no-backup backup",
			"08:56 act-past-stay P2A, P2B",
			"09:12 act-past-stay P3A, P3B",
		}},
	} {
		raised, most := replayed(t, incident(t, tt.incident), tt.from, tt.to)
		if !slices.Equal(raised, tt.want) || most != tt.most {
			t.Errorf("%s raised %d alarms, %d at once:\n%s\nwant %d at once:\n%s", tt.incident, len(raised), most, strings.Join(raised, "\n"), tt.most, strings.Join(tt.want, "\n"))
		}
	}
}

func TestQuietIncidentRaisesNoAlarm(t *testing.T) {
	entries := story(t,
		line{"10:00", "SR-9", kinds.Mishap{Capacity: quantity.Of[quantity.Gallons](9000)}},
		line{"10:20", "Hot line", kinds.OrderGiven{Rule: []string{"PAR every 20 min", "20 min inside then rehab", "stop at 10 % LEL"}}},
		line{"10:25", "Hot line", kinds.BackupReady{Pair: "2"}},
		line{"10:30", "Gate", kinds.InHot{Pair: "1"}},
		line{"10:35", "C1", kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](2)}},
		line{"10:40", "Gate", kinds.RollCall{In: quantity.Of[quantity.Count](2), Seen: quantity.Of[quantity.Count](2)}},
		line{"10:44", "C1", kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](1)}},
		line{"10:48", "Gate", kinds.OutHot{Pair: "1"}},
		line{"11:00", "Cab", kinds.LogClosed{}},
	)
	raised, _ := replayed(t, entries, "2025-03-01T10:00:00-05:00", "2025-03-01T11:05:00-05:00")
	if len(raised) > 0 {
		t.Errorf("a quiet incident raised %v", raised)
	}
}

// TestTimers says of each timer that the entry before starts it, when it is due, and
// that the entry after finishes it.
func TestTimers(t *testing.T) {
	in := line{"10:00", "Gate", kinds.InHot{Pair: "1"}}
	pump := line{"10:00", "C1 to R1", kinds.PumpOn{Leg: "L1", Meter: "skid M"}}
	truck := line{"09:30", "Haulier", kinds.TruckOrdered{Truck: "R1", ETA: "10:15"}}
	for _, tt := range []struct {
		rule, at string
		start    []line
		finish   line
	}{
		{"due-roll-call", "10:20", []line{in}, line{"10:05", "Gate", kinds.OutHot{Pair: "1"}}},
		{"due-out", "10:15", []line{{"09:50", "", kinds.OrderGiven{Rule: []string{"15 min inside then rehab"}}}, in}, line{"10:05", "Gate", kinds.OutHot{Pair: "1"}}},
		{"due-air", "10:10", []line{in}, line{"10:05", "Gate", kinds.OutHot{Pair: "1"}}},
		{"due-foam", "10:30", []line{{"09:40", "", kinds.OrderGiven{Rule: []string{"foam again at 30 min"}}}, {"10:00", "Ditch", kinds.FoamApplied{}}}, line{"10:05", "Tank", kinds.OnWheels{}}},
		{"due-meter", "10:10", []line{pump}, line{"10:05", "C1 to R1", kinds.PumpOff{Leg: "L1"}}},
		{"due-truck", "10:15", []line{truck}, line{"10:05", "Staging", kinds.OnScene{Truck: "R1"}}},
		{"due-wind", "11:00", []line{{"10:00", "Post", kinds.Weather{WindFrom: "SW"}}}, line{"10:05", "", kinds.CommandEnded{}}},
		{"due-bond", "10:00", []line{{"10:00", "Tank to R1", kinds.ResistanceRead{Path: "bond", Resistance: quantity.Of[quantity.Ohms](1850), Limit: quantity.Of[quantity.Ohms](10)}}},
			line{"10:05", "Tank to R1", kinds.ResistanceRead{Path: "bond", Resistance: quantity.Of[quantity.Ohms](0.7), Limit: quantity.Of[quantity.Ohms](10)}}},
		{"due-benzene", "10:10", []line{{"10:00", "R1 hose end", kinds.AirRead{Benzene: quantity.Of[quantity.PPM](2.6)}}}, line{"10:05", "R1 hose end", kinds.AirRead{Benzene: quantity.Of[quantity.PPM](2.5)}}},
		{"due-ticket", "12:00", []line{truck, {"09:50", "Staging", kinds.OnScene{Truck: "R1"}}, {"10:00", "Staging", kinds.LeftScene{Truck: "R1", To: "county scale"}}},
			line{"11:00", "R1", kinds.ScaleTicket{Net: quantity.Of[quantity.Pounds](21520)}}},
		{"due-call-back", "11:30", []line{{"10:00", "State line", kinds.CallMade{Who: "duty officer", CallBack: "11:30"}}}, line{"10:05", "State line", kinds.CallMade{Who: "duty officer"}}},
		{"due-national-call", "20:00", []line{{"08:00", "SR-9", kinds.Mishap{}}, {"08:10", "SR-9", kinds.RoadClosed{Road: "SR-9"}}, {"10:00", "", kinds.Note{Text: "waiting"}}},
			line{"10:05", "National Response Center", kinds.CallMade{Who: "duty officer"}}},
	} {
		t.Run(tt.rule, func(t *testing.T) {
			got := timersOf(story(t, tt.start...), tt.rule)
			if len(got) != 1 || got[0].At.Format("15:04") != tt.at || got[0].Owner == "" || len(got[0].From) == 0 {
				t.Fatalf("%s = %+v, want one due at %s with its owner and entries", tt.rule, got, tt.at)
			}
			if got := timersOf(story(t, append(slices.Clone(tt.start), tt.finish)...), tt.rule); len(got) > 0 {
				t.Errorf("%s is still there after what finishes it: %+v", tt.rule, got)
			}
			if got := timersOf(story(t, tt.finish), tt.rule); len(got) > 0 {
				t.Errorf("%s is there with nothing that starts it: %+v", tt.rule, got)
			}
		})
	}
}

func timersOf(entries []events.Recorded, rule string) (out []projections.Due) {
	for _, d := range judged(entries, events.View{}, Defaults()).Due {
		if d.Rule == rule {
			out = append(out, d)
		}
	}
	return out
}

func TestTimersAreLateFirstThenSoonest(t *testing.T) {
	entries := story(t,
		line{"10:00", "Post", kinds.Weather{WindFrom: "SW"}},
		line{"10:00", "Gate", kinds.InHot{Pair: "1"}},
		line{"10:30", "", kinds.Note{Text: "quiet"}},
	)
	inc := judged(entries, events.View{}, Defaults())
	var got []string
	for _, d := range inc.Due {
		got = append(got, fmt.Sprintf("%s %s", d.Rule, d.Level))
	}
	if want := []string{"due-air late", "due-roll-call late", "due-wind "}; !slices.Equal(got, want) {
		t.Errorf("timers = %q, want %q", got, want)
	}
}

// TestPressureNobodyKnowsIsAskedFor: a team in on air with nothing to work its time out
// from has a timer to ask, until somebody reads a gauge or the estimate can be made.
func TestPressureNobodyKnowsIsAskedFor(t *testing.T) {
	psi := events.KeyedAmounts[quantity.PSI]{{Key: "P1A", Value: quantity.Of[quantity.PSI](4400)}, {Key: "P1B", Value: quantity.Of[quantity.PSI](4400)}}
	later := events.KeyedAmounts[quantity.PSI]{{Key: "P1A", Value: quantity.Of[quantity.PSI](3600)}}
	for _, tt := range []struct {
		name string
		in   kinds.InHot
		then []line
		want []string
	}{
		{"no bottle, no earlier trip", kinds.InHot{Pressures: psi}, nil, []string{"P1A, P1B at 10:10 late"}},
		{"on air, no pressure at all", kinds.InHot{Pair: "1", Air: "SCBA"}, nil, []string{"P1A, P1B at 10:10 late"}},
		{"one of the two read", kinds.InHot{Pressures: psi}, []line{{"10:09", "Gate", kinds.PressureRead{Pressures: later}}}, []string{"P1B at 10:10 late"}},
		{"a bottle to estimate by", kinds.InHot{Bottle: "60 min", Pressures: psi}, nil, nil},
		{"no air pack", kinds.InHot{Pair: "1"}, nil, nil},
		{"out again", kinds.InHot{Pressures: psi}, []line{{"10:12", "Gate", kinds.OutHot{Person: []string{"P1A", "P1B"}}}}, nil},
	} {
		lines := append([]line{{"10:00", "Gate", tt.in}}, tt.then...)
		inc := judged(story(t, append(lines, line{"10:20", "", kinds.Note{Text: "quiet"}})...), events.View{}, Defaults())
		var got []string
		for _, d := range inc.Due {
			if d.Rule == "due-pressure" {
				got = append(got, fmt.Sprintf("%s at %s %s", d.Subject, d.At.Format("15:04"), d.Level))
			}
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: asks for %q, want %q", tt.name, got, tt.want)
		}
	}
}
