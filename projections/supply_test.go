package projections

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections/calc/rest"
)

// supplyOf is the air of a person's trip, by its place among the person's.
func supplyOf(t *testing.T, inc *Incident, person string, trip int) Supply {
	t.Helper()
	for _, s := range inc.People.Supply(inc.Crew, inc.AsOf) {
		if s.Person == person {
			if trip == 0 {
				return s
			}
			trip--
		}
	}
	t.Fatalf("no such trip of %s on a bottle", person)
	return Supply{}
}

func comesTo(got Figure, want, by float64) bool {
	return got.Known && math.Abs(got.Value-want) <= by
}

func TestSupplyOfTripsThatAreOver(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	if got := len(inc.People.Supply(inc.Crew, inc.AsOf)); got != 38 {
		t.Errorf("%d trips on a bottle, want 38", got)
	}
	for _, tt := range []struct {
		person             string
		trip               int
		share, ended, rate float64
		reused             bool
		verdict            string
	}{
		{"P1A", 0, 66.2, 1240, 69.6, false, AirUnder},
		{"P1B", 0, 66.9, 1310, 68.0, false, AirUnder},
		{"P3A", 0, 97.8, 2610, 81.4, false, AirOver},
		{"P3A", 1, 57.8, 1750, 60.7, true, AirOver}, // in again on what the trip before left
		{"P2B", 4, 96.4, 2090, 69.2, false, AirOver},
	} {
		s := supplyOf(t, inc, tt.person, tt.trip)
		if !comesTo(s.Share, tt.share, 0.05) || s.Ended.Value != tt.ended || !comesTo(s.Rate, tt.rate, 0.05) || s.Reused != tt.reused || s.Verdict != tt.verdict {
			t.Errorf("%s, trip %d: share %+v, ended %v, rate %+v, reused %v, %s; want %+v", tt.person, tt.trip, s.Share, s.Ended.Value, s.Rate, s.Reused, s.Verdict, tt)
		}
		if s.Bottle != "" || s.BottleBy != "not recorded" || s.Full.Value != 4500 || !strings.Contains(s.Full.Method, "nobody named") || s.Breath.Known || s.Now.Known || s.TurnBack.Known || s.TurnBack.Low != 1485 {
			t.Errorf("%s: no bottle was named: %+v", tt.person, s)
		}
	}
	if got := folded(t, "harrow-mill", events.View{}); len(got.People.Supply(got.Crew, got.AsOf)) != 0 {
		t.Error("nobody was on a bottle at Harrow Mill, and the state has air of somebody")
	}
}

// At 23:20 pair 1 is in since 23:05 with 4390 and 4410 psi; the trip before took 69.6
// and 68.0 psi a minute.
func TestSupplyNow(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{AsOf: at(t, "2025-10-14T23:20:00-05:00")})
	a, b := supplyOf(t, inc, "P1A", 1), supplyOf(t, inc, "P1B", 1)
	if !comesTo(a.Now, 4390-15*69.6, 0.5) || !comesTo(a.ToAlarm, (3346-1485)/69.6, 0.05) || a.Verdict != AirLeft {
		t.Errorf("P1A %+v, to the alarm %+v, %s; want 3346 psi and 26.7 min", a.Now, a.ToAlarm, a.Verdict)
	}
	if want := (3346 - 1665) / 69.6; math.Abs(a.ToAlarm.Low-want) > 0.05 {
		t.Errorf("in the cautious case %.2f min to the alarm, want %.2f", a.ToAlarm.Low, want)
	}
	if a.TeamAlarm.Value != a.ToAlarm.Value || b.TeamAlarm.Value != a.ToAlarm.Value || b.ToAlarm.Value <= a.ToAlarm.Value {
		t.Errorf("team %v and %v, P1A %v, P1B %v: a team turns round with the first", a.TeamAlarm.Value, b.TeamAlarm.Value, a.ToAlarm.Value, b.ToAlarm.Value)
	}
	if !slices.Contains(a.Now.From, 61) {
		t.Errorf("now stands on %v, want the entry 61 among them", a.Now.From)
	}
}

func pressures(said ...told) (out events.KeyedAmounts[quantity.PSI]) {
	for _, k := range said {
		out = append(out, events.Keyed[quantity.Amount[quantity.PSI]]{Key: k.who, Value: quantity.Of(k.psi)})
	}
	return out
}

// told is a pressure of somebody.
type told struct {
	who string
	psi quantity.PSI
}

func TestSupplyByReadingsOfTheTrip(t *testing.T) {
	in := line{"10:00", "", kinds.InHot{Bottle: "45 min", Pressures: pressures(told{"P1A", 4400}, told{"P1B", 4400})}}
	read := line{"10:10", "", kinds.PressureRead{Pressures: pressures(told{"P1A", 3400})}}
	for _, tt := range []struct {
		name    string
		story   []line
		now     float64
		verdict string
		team    bool
	}{
		{"by its own readings", []line{in, read, {"10:20", "", kinds.Note{Text: "x"}}}, 2400, AirLeft, true},
		{"past the alarm", []line{in, read, {"10:30", "", kinds.Note{Text: "x"}}}, 1400, AirAlarm, true},
		{"never below empty", []line{in, read, {"11:30", "", kinds.Note{Text: "x"}}}, 0, AirAlarm, true},
		{"by a usual breathing", []line{in, {"10:10", "", kinds.Note{Text: "x"}}}, 4400 - 10*60*4500/1869.0, AirLeft, true},
		{"past an ordered turn-back", []line{{"09:00", "", kinds.OrderGiven{Rule: []string{"turn back at 2500 psi"}}}, in, read, {"10:20", "", kinds.Note{Text: "x"}}}, 2400, AirTurn, true},
		{"no bottle and no trip before", []line{{"10:00", "", kinds.InHot{Pressures: pressures(told{"P1A", 4400})}}, {"10:10", "", kinds.Note{Text: "x"}}}, -1, AirUnknown, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			inc := toldOf(t, tt.story...)
			inc.AsOf = clockOf(t, tt.story[len(tt.story)-1].when)
			s := supplyOf(t, inc, "P1A", 0)
			if tt.now < 0 {
				if s.Now.Known || s.ToAlarm.Known || len(s.ToAlarm.Missing) == 0 || s.Verdict != tt.verdict {
					t.Errorf("got %+v, %s; want nothing, with what is missing", s.ToAlarm, s.Verdict)
				}
				return
			}
			if !comesTo(s.Now, tt.now, 0.01) || s.Verdict != tt.verdict || s.TeamAlarm.Known != tt.team || s.Breath.Value == 0 {
				t.Errorf("now %+v, %s, team %+v, breath %+v; want %.1f psi, %s", s.Now, s.Verdict, s.TeamAlarm, s.Breath, tt.now, tt.verdict)
			}
		})
	}
}

func TestTurnBackOfTheDepartment(t *testing.T) {
	inc := toldOf(t,
		line{"10:00", "", kinds.InHot{Bottle: "45 min", Pressures: pressures(told{"P1A", 4200})}},
		line{"10:10", "", kinds.PressureRead{Pressures: pressures(told{"P1A", 2756})}}, // 144.4 psi a minute
	)
	inc.Crew.Out, inc.Crew.Decon = 4, 6
	if s := supplyOf(t, inc, "P1A", 0); !comesTo(s.TurnBack, 2929, 1) || !comesTo(s.Breath, 60, 0.1) {
		t.Errorf("turn back at %+v, %+v; want 2929 psi at 60 L/min", s.TurnBack, s.Breath)
	}
}

// The minutes since a mark was passed go on when the bottle must be empty; a pressure
// below nothing there is none.
func TestLongPastTheAlarm(t *testing.T) {
	inc := toldOf(t,
		line{"10:00", "", kinds.InHot{Bottle: "45 min", Pressures: pressures(told{"P1A", 4485})}},
		line{"10:10", "", kinds.PressureRead{Pressures: pressures(told{"P1A", 3485})}}, // 100 psi a minute: the alarm at 10:30
	)
	in := inc.People.List(inc.AsOf)[0].Trips[0].Start.Best
	if s := inc.People.Supply(inc.Crew, in.Add(3*time.Hour))[0]; !comesTo(s.ToAlarm, -150, 0.1) || s.Now.Value != 0 || s.Now.Low < 0 || s.Verdict != AirAlarm {
		t.Errorf("to the alarm %+v, now %+v, %s; want -150 min and 0 psi", s.ToAlarm, s.Now, s.Verdict)
	}
}

// A rest goes on while the log is open; in one that is closed it has no length until
// somebody says when it ended.
func TestRestWithoutAnEnd(t *testing.T) {
	rows := []line{
		{"10:00", "", kinds.InHot{Person: []string{"P1A"}}}, {"10:45", "", kinds.OutHot{Person: []string{"P1A"}}},
		{"10:50", "", kinds.RehabIn{Person: "P1A"}},
	}
	rested := func(inc *Incident) Figure {
		in := inc.People.List(inc.AsOf)[0].Trips[0].Start.Best
		return inc.People.Rests(inc.Crew, in.Add(80*time.Minute))[0].Rested
	}
	if got := rested(toldOf(t, rows...)); !comesTo(got, 30, 0.01) {
		t.Errorf("rested %+v while the log is open, want 30 min so far", got)
	}
	if got := rested(toldOf(t, append(rows, line{"11:10", "", kinds.LogClosed{}})...)); got.Known || len(got.From) == 0 {
		t.Errorf("rested %+v after the log was closed, want unknown with the entry it began with", got)
	}
}

func TestRests(t *testing.T) {
	type run struct {
		person         string
		trips, bottles int
		work           float64
		owed           string
		again          int
		rested         bool
	}
	for incident, want := range map[string][]run{
		"quarry-bend": {
			{"P1A", 1, 1, 25, "", 0, true}, {"P1A", 4, 4, 78, "2 bottles", 2, false},
			{"P1B", 1, 1, 25, "", 0, true}, {"P1B", 3, 3, 50, "2 bottles", 1, false},
			{"P2A", 5, 5, 107.5, "2 bottles", 3, false}, {"P2B", 5, 5, 107.5, "2 bottles", 3, false},
			{"P3A", 5, 4, 97.5, "2 bottles", 2, false}, {"P3B", 5, 4, 97.5, "2 bottles", 2, false}, // one bottle for two trips
			{"P4B", 1, 1, 28, "", 0, false},
			{"P5A", 2, 2, 32, "2 bottles", 0, false}, {"P5B", 2, 2, 32, "2 bottles", 0, false},
			{"P6A", 2, 2, 28.5, "2 bottles", 0, false}, {"P6B", 2, 2, 28.5, "2 bottles", 0, false},
		},
		"harrow-mill": {
			{"P1A", 2, 0, 35, OrderedRest + "20 min in the water then rehab", 1, false}, {"P1B", 2, 0, 35, OrderedRest + "20 min in the water then rehab", 1, false},
			{"P2A", 2, 0, 39, OrderedRest + "20 min in the water then rehab", 1, false}, {"P2B", 2, 0, 39, OrderedRest + "20 min in the water then rehab", 1, false}, // no way out of rehab is recorded
			{"P3A", 2, 0, 40, OrderedRest + "20 min in the water then rehab", 1, false}, {"P3B", 2, 0, 40, OrderedRest + "20 min in the water then rehab", 1, false},
		},
	} {
		inc := folded(t, incident, events.View{})
		var got []run
		for _, r := range inc.People.Rests(inc.Crew, inc.AsOf) {
			got = append(got, run{r.Person, r.Trips, r.Bottles, r.Work.Value, r.Owed, len(r.Again), r.Rested.Known})
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s:\n%v, want\n%v", incident, got, want)
		}
	}
}

// A rest shorter than the rule ends nothing; one whose end nobody told counts up to
// the next trip.
func TestRestsThatAreTooShort(t *testing.T) {
	trip := func(from, to string) []line {
		return []line{{from, "", kinds.InHot{Person: []string{"P1A"}}}, {to, "", kinds.OutHot{Person: []string{"P1A"}}}}
	}
	for _, tt := range []struct {
		name  string
		rehab []line
		runs  int
	}{
		{"none", nil, 1},
		{"nine minutes", []line{{"10:46", "", kinds.RehabIn{Person: "P1A"}}, {"10:55", "", kinds.RehabOut{Person: "P1A"}}}, 1},
		{"ten minutes", []line{{"10:46", "", kinds.RehabIn{Person: "P1A"}}, {"10:56", "", kinds.RehabOut{Person: "P1A"}}}, 2},
		{"no end, long enough to the next trip", []line{{"10:46", "", kinds.RehabIn{Person: "P1A"}}}, 2},
		{"no end, just before the next trip", []line{{"10:55", "", kinds.RehabIn{Person: "P1A"}}}, 1},
	} {
		inc := toldOf(t, slices.Concat(trip("10:00", "10:45"), tt.rehab, trip("11:00", "11:10"))...)
		got := inc.People.Rests(inc.Crew, inc.AsOf)
		if len(got) != tt.runs || got[0].Owed != "45 min of work" || len(got[0].Again) != 2-tt.runs {
			t.Errorf("%s: %+v, want %d runs", tt.name, got, tt.runs)
		}
	}
}

// One person's trips add up to the minutes of the runs, whatever the rule.
func TestRestsLoseNoTrip(t *testing.T) {
	inc := folded(t, "quarry-bend", events.View{})
	for _, rule := range []rest.Rule{rest.Usual, {Bottles: 1, Short: 30, Work: 1, First: 1, After: 1}, {Bottles: 99, Short: 99, Work: 999, First: 999, After: 999}} {
		inc.Crew.Rest = rule
		sum := map[string]float64{}
		for _, r := range inc.People.Rests(inc.Crew, inc.AsOf) {
			sum[r.Person] += r.Work.Value
		}
		for _, p := range inc.People.List(inc.AsOf) {
			if math.Abs(sum[p.Person]-p.Minutes.Value) > 1e-9 {
				t.Errorf("%s: %v min in the runs of %+v, %v in the trips", p.Person, sum[p.Person], rule, p.Minutes.Value)
			}
		}
	}
}
