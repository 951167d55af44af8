package findings

import (
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	. "tankside/events/quantity"
	"tankside/projections"
)

// psi are cylinder pressures by person.
func psi(said ...any) (out events.KeyedAmounts[PSI]) {
	for i := 0; i < len(said); i += 2 {
		out = append(out, events.Keyed[Amount[PSI]]{Key: said[i].(string), Value: Of(PSI(said[i+1].(int)))})
	}
	return out
}

func instant(t *testing.T, s string) time.Time {
	t.Helper()
	got, err := time.Parse(time.RFC3339, s)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// people are the findings of the family.
func people(inc *projections.Incident) (out []projections.Finding) {
	for _, f := range inc.Findings {
		if _, ok := peopleChecks[f.Rule]; ok {
			out = append(out, f)
		}
	}
	return out
}

// What must be found of the people of the two incidents, and nothing else of theirs.
func TestPeopleOfTheIncidents(t *testing.T) {
	type want struct {
		rule, subject, start, end string
		severity                  projections.Severity
		observed                  float64 // NaN-free: 0 where it is no number
		evidence                  []events.Seq
	}
	for incidentName, wants := range map[string][]want{
		"quarry-bend": {
			{"low-start", "P1A, P1B", "21:36", "21:36", projections.Caution, 66.2, []events.Seq{23}},
			{"out-below-alarm", "P1A, P1B", "22:01", "22:01", projections.Serious, 27.6, []events.Seq{34}},
			{"low-start", "P3A, P3B", "22:52", "22:52", projections.Caution, 56.4, []events.Seq{66}},
			{"roll-call-late", "hot zone", "22:54", "23:16", projections.Caution, 22, []events.Seq{20, 57, 65}},
			{"accountability-mismatch", "roll call 22:54", "22:54", "22:54", projections.Caution, 2, []events.Seq{54, 57, 66}},
			{"roll-call-late", "hot zone", "23:16", "23:46", projections.Caution, 30, []events.Seq{20, 65, 83}},
			{"accountability-mismatch", "tags 23:16", "23:16", "23:16", projections.Caution, 2, []events.Seq{65}},
			{"backup-elsewhere", "P4A", "23:35", "23:44", projections.Serious, 9, []events.Seq{60, 76, 82}},
			{"backup-not-named", "hot zone", "00:02", "00:02:30", projections.Caution, 0.5, []events.Seq{60, 92, 93}},
			{"backup-not-named", "hot zone", "01:00", "01:19", projections.Serious, 18, []events.Seq{93, 116, 128}},
			{"no-rest-recorded", "P2A, P2B", "01:00", "03:06", projections.Caution, 5, []events.Seq{54, 83, 116, 165}},
			{"no-rest-recorded", "P1A", "01:18", "02:33", projections.Caution, 4, []events.Seq{102, 127}},
			{"backup-not-named", "hot zone", "01:59:30", "05:02", projections.Serious, 136.5, []events.Seq{128, 142, 206}},
			{"no-rest-recorded", "P3A, P3B", "01:59:30", "03:28", projections.Caution, 4, []events.Seq{115, 142}},
			{"no-rest-recorded", "P1B", "02:24", "02:33", projections.Caution, 3, []events.Seq{132, 152}},
		},
		"harrow-mill": {
			{"stay-over-limit", "P1A, P1B", "06:24", "06:45", projections.Caution, 21, []events.Seq{17, 20, 27}},
			{"roll-call-late", "hot zone", "07:56", "08:15", projections.Caution, 19, []events.Seq{17, 48, 53}},
			{"backup-not-named", "hot zone", "07:56", "08:06", projections.Serious, 10, []events.Seq{18, 48, 49}},
			{"roll-call-late", "hot zone", "08:35", "09:17", projections.Caution, 42, []events.Seq{17, 57, 69}},
			{"no-rest-recorded", "P2A, P2B", "08:35", "08:56", projections.Caution, 0, []events.Seq{46, 57}},
			{"stay-over-limit", "P2A, P2B", "08:35", "08:56", projections.Caution, 21, []events.Seq{17, 57, 63}},
			{"no-rest-recorded", "P3A, P3B", "08:56", "09:17", projections.Caution, 0, []events.Seq{53, 64}},
			{"stay-over-limit", "P3A, P3B", "08:56", "09:17", projections.Caution, 21, []events.Seq{64, 66, 69}},
			{"unwell", "P2A", "08:58", "", projections.Serious, 94.6, []events.Seq{65}},
			{"no-rest-recorded", "P1A, P1B", "09:52", "10:06", projections.Caution, 0, []events.Seq{27, 75}},
		},
	} {
		got := people(judged(incident(t, incidentName), events.View{}, Defaults()))
		if len(got) != len(wants) {
			t.Errorf("%s: %d findings of people, want %d", incidentName, len(got), len(wants))
		}
		for i := 0; i < min(len(got), len(wants)); i++ {
			f, w := got[i], wants[i]
			end := ""
			if !f.End.IsZero() {
				end = clock(f.End.Best)
			}
			off := f.Observed.Value - w.observed
			if f.Rule != w.rule || f.Subject != w.subject || clock(f.Start.Best) != w.start || end != w.end || f.Severity != w.severity || off > 0.05 || off < -0.05 {
				t.Errorf("%s: %s %s of %s from %s to %s, observed %.2f; want %+v", incidentName, f.Severity, f.Rule, f.Subject, clock(f.Start.Best), end, f.Observed.Value, w)
			}
			for _, n := range w.evidence {
				if !slices.Contains(f.From, n) {
					t.Errorf("%s: %s of %s stands on %v, want entry %d among them", incidentName, f.Rule, f.Subject, f.From, n)
				}
			}
			if n := len(strings.Fields(f.Statement)); n > 30 {
				t.Errorf("%s: %s says it in %d words, want 30 at the most: %s", incidentName, f.Rule, n, f.Statement)
			}
		}
	}
}

// Known at 23:20 nobody had told of pair 3's second trip: no low start of theirs, and
// the roll call at 22:54 agreed with the log.
func TestLateToldTripIsNotFoundBeforeItWasTold(t *testing.T) {
	log := incident(t, "quarry-bend")
	for _, tt := range []struct {
		known string
		want  int
	}{{"2025-10-14T23:20:00-05:00", 0}, {"2025-10-14T23:30:00-05:00", 1}} {
		inc := judged(log, events.View{KnownAt: instant(t, tt.known)}, Defaults())
		mismatches := slices.DeleteFunc(told(inc, "accountability-mismatch"), func(f projections.Finding) bool { return !strings.HasPrefix(f.Subject, "roll call") })
		if len(mismatches) != tt.want || len(told(inc, "low-start")) != tt.want+1 {
			t.Errorf("known at %s: mismatches %+v, low starts %+v; want %d and %d", tt.known, mismatches, told(inc, "low-start"), tt.want, tt.want+1)
		}
	}
}

var twoIn = line{"10:00", "Line", kinds.InHot{Pair: "1"}}

// rulesOf is what one rule finds in a story: subject and observed value of each.
func TestPeopleRules(t *testing.T) {
	par := kinds.OrderGiven{Rule: []string{"PAR every 15 min while anyone is in"}}
	backup := line{"09:50", "Line", kinds.BackupReady{Pair: "2"}}
	out := func(at string) line { return line{at, "Line", kinds.OutHot{Pair: "1"}} }
	full := line{"10:00", "Line", kinds.InHot{Pair: "1", Bottle: "45 min", Pressures: psi("P1A", 4500, "P1B", 4500)}}
	for _, tt := range []struct {
		name, rule string
		story      []line
		want       []string // subjects
	}{
		{"15 of 15 min is not late", "roll-call-late", []line{{"09:00", "", par}, twoIn, {"10:15", "", kinds.RollCall{In: Of[Count](2)}}, out("10:30")}, nil},
		{"16 of 15 min is late", "roll-call-late", []line{{"09:00", "", par}, twoIn, {"10:16", "", kinds.RollCall{In: Of[Count](2)}}, out("10:30")}, []string{"hot zone"}},
		{"20 min without an order is not late", "roll-call-late", []line{twoIn, out("10:20")}, nil},
		{"21 min without an order is late", "roll-call-late", []line{twoIn, out("10:21")}, []string{"hot zone"}},
		{"an order afterwards does not count", "roll-call-late", []line{twoIn, out("10:19"), {"11:00", "", par}}, nil},

		{"count agrees", "accountability-mismatch", []line{twoIn, {"10:05", "", kinds.RollCall{In: Of[Count](2), Seen: Of[Count](2)}}, out("10:20")}, nil},
		{"who crosses in that minute may count", "accountability-mismatch", []line{twoIn, {"10:20", "", kinds.RollCall{In: Of[Count](2)}}, out("10:20")}, nil},
		{"one not seen", "accountability-mismatch", []line{twoIn, {"10:05", "", kinds.RollCall{In: Of[Count](2), Seen: Of[Count](1)}}, out("10:20")}, []string{"answers 10:05"}},
		{"in at the close", "accountability-mismatch", []line{twoIn, {"12:00", "", kinds.LogClosed{}}}, []string{"P1A", "P1B"}},
		{"a crew by name is any number", "accountability-mismatch", []line{{"10:00", "", kinds.InHot{Pair: "Engine 7"}}, {"10:05", "", kinds.RollCall{In: Of[Count](4)}}}, nil},
		{"still in", "accountability-mismatch", []line{twoIn, {"12:00", "", kinds.Note{Text: "x"}}}, nil},
		{"never in", "accountability-mismatch", []line{out("10:20")}, []string{"P1A", "P1B"}},

		{"backup named", "backup-not-named", []line{backup, twoIn, out("10:20")}, nil},
		{"none ever named", "backup-not-named", []line{twoIn, out("10:20"), {"11:00", "Line", kinds.InHot{Pair: "3"}}, {"11:10", "", kinds.OutHot{Pair: "3"}}}, []string{"hot zone"}},
		{"one of the backup at a post", "backup-elsewhere", []line{backup, twoIn, {"10:05", "Pump", kinds.PostTaken{Person: "P2B"}}, {"10:09", "Pump", kinds.PostLeft{Person: "P2B"}}, out("10:20")}, []string{"P2B"}},
		{"at a post before anybody was in", "backup-elsewhere", []line{backup, {"09:52", "Pump", kinds.PostTaken{Person: "P2B"}}, {"09:58", "Pump", kinds.PostLeft{Person: "P2B"}}, twoIn, out("10:20")}, nil},
		{"one of the backup in rehab", "backup-elsewhere", []line{backup, twoIn, {"10:05", "Rehab", kinds.RehabIn{Person: "P2A"}}, out("10:20")}, []string{"P2A"}},
		{"somebody else at a post", "backup-elsewhere", []line{backup, twoIn, {"10:05", "Pump", kinds.PostTaken{Person: "P5B"}}, out("10:20")}, nil},

		{"two minutes apart", "alone-in", []line{{"10:00", "", kinds.InHot{Person: []string{"P1A"}}}, {"10:02", "", kinds.InHot{Person: []string{"P1B"}}}, out("10:20")}, []string{"P1A"}},
		{"one goes in alone by name", "alone-in", []line{{"10:00", "", kinds.InHot{Person: []string{"P1A"}}}, {"10:10", "", kinds.OutHot{Person: []string{"P1A"}}}}, []string{"P1A"}},
		{"a minute apart", "alone-in", []line{{"10:00", "", kinds.InHot{Person: []string{"P1A"}}}, {"10:01", "", kinds.InHot{Person: []string{"P1B"}}}, {"10:09", "", kinds.OutHot{Person: []string{"P1A", "P1B"}}}}, nil},
		{"a crew by name is not one", "alone-in", []line{{"10:00", "", kinds.InHot{Pair: "Engine 7"}}, {"10:30", "", kinds.OutHot{Pair: "Engine 7"}}}, nil},
		{"one out and the next in at the same minute", "alone-in", []line{twoIn, out("10:20"), {"10:20", "", kinds.InHot{Pair: "3"}}, {"10:30", "", kinds.OutHot{Pair: "3"}}}, nil},

		{"four fifths full", "low-start", []line{{"10:00", "", kinds.InHot{Pair: "1", Pressures: psi("P1A", 3600, "P1B", 4400)}}}, []string{"P1A"}},
		{"nine tenths full", "low-start", []line{{"10:00", "", kinds.InHot{Pair: "1", Pressures: psi("P1A", 4050, "P1B", 4400)}}}, nil},
		{"a full small bottle", "low-start", []line{{"10:00", "", kinds.InHot{Pair: "1", Pressures: psi("P1A", 2150)}}}, nil},
		{"the same number in a big one", "low-start", []line{{"10:00", "", kinds.InHot{Pair: "1", Bottle: "60 min", Pressures: psi("P1A", 2150)}}}, []string{"P1A"}},

		{"45 of 45 rated minutes", "past-rated-minutes", []line{full, out("10:45")}, nil},
		{"46 of 45 rated minutes", "past-rated-minutes", []line{full, out("10:46")}, []string{"P1A, P1B"}},
		{"46 min and not out", "past-rated-minutes", []line{full, {"10:46", "", kinds.Note{Text: "x"}}}, []string{"P1A, P1B"}},
		{"75 min and no bottle named", "past-rated-minutes", []line{{"10:00", "", kinds.InHot{Pair: "1", Pressures: psi("P1A", 4500)}}, out("11:15")}, nil},
		{"76 min, longer than any usual bottle", "past-rated-minutes", []line{{"10:00", "", kinds.InHot{Pair: "1", Pressures: psi("P1A", 4500)}}, out("11:16")}, []string{"P1A"}},
		{"the bottle ordered", "past-rated-minutes", []line{{"09:00", "", kinds.OrderGiven{Rule: []string{"30 min bottles tonight"}}}, {"10:00", "", kinds.InHot{Pair: "1", Pressures: psi("P1A", 4500)}}, out("10:31")}, []string{"P1A"}},

		{"under the order", "past-turn-back", []line{{"09:00", "", kinds.OrderGiven{Rule: []string{"turn back at 2,000 psi"}}}, full, {"10:20", "", kinds.OutHot{Pressures: psi("P1A", 1990, "P1B", 2000)}}}, []string{"P1A"}},
		{"no order", "past-turn-back", []line{full, {"10:20", "", kinds.OutHot{Pressures: psi("P1A", 900, "P1B", 900)}}}, nil},

		{"sent off and in again", "in-after-sent-off", []line{{"09:00", "", kinds.OrderGiven{Act: "P1B off for the day"}}, twoIn}, []string{"P1B"}},
		{"not for the hot zone and in again", "in-after-sent-off", []line{{"09:00", "", kinds.RehabIn{Person: "P1A"}}, {"09:30", "", kinds.RehabOut{Person: "P1A", Cleared: "yes", HotZone: "no"}}, twoIn}, []string{"P1A"}},
		{"released later", "in-after-sent-off", []line{{"09:00", "", kinds.OrderGiven{Act: "P1B off till seen"}}, {"09:10", "", kinds.RehabIn{Person: "P1B"}}, {"09:30", "", kinds.RehabOut{Person: "P1B", Cleared: "yes"}}, twoIn}, nil},
		{"in first, sent off after", "in-after-sent-off", []line{twoIn, out("10:20"), {"11:00", "", kinds.OrderGiven{Act: "P1B off for the day"}}}, nil},

		{"symptoms", "unwell", []line{{"10:00", "", kinds.RehabIn{Person: "P1A", Symptoms: "dizzy"}}}, []string{"P1A"}},
		{"no symptoms", "unwell", []line{{"10:00", "", kinds.RehabIn{Person: "P1A", Symptoms: "none"}}, {"10:30", "", kinds.RehabIn{Person: "P1B", Symptoms: "no complaints"}}}, nil},
		{"95 F is the bound", "unwell", []line{{"10:00", "", kinds.RehabIn{Person: "P1A", Temp: Of[Fahrenheit](95)}}}, nil},

		{"suits on a warm day", "suit-heat", []line{{"09:00", "", kinds.Weather{Temp: Of[Fahrenheit](88)}}, {"10:00", "", kinds.InHot{Pair: "1", Suit: "level B"}}}, []string{"hot zone"}},
		{"dry suits", "suit-heat", []line{{"09:00", "", kinds.Weather{Temp: Of[Fahrenheit](88)}}, {"10:00", "", kinds.InHot{Pair: "1", Suit: "dry"}}}, nil},
		{"suits on a cool day", "suit-heat", []line{{"09:00", "", kinds.Weather{Temp: Of[Fahrenheit](60)}}, {"10:00", "", kinds.InHot{Pair: "1", Suit: "level B"}}}, nil},
	} {
		t.Run(tt.rule+", "+tt.name, func(t *testing.T) {
			var got []string
			for _, f := range told(judged(story(t, tt.story...), events.View{}, Defaults()), tt.rule) {
				got = append(got, f.Subject)
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("%s of %q, want of %q", tt.rule, got, tt.want)
			}
		})
	}
}

// What a department sets counts in what the state works out and in what is found.
func TestDepartmentSetsAirAndRest(t *testing.T) {
	b := Defaults()
	if err := b.Override([]Change{
		{Rule: "past-turn-back", Limits: map[string]float64{"out": 4, "decon": 6}, Source: "standing order 3"},
		{Rule: "past-rated-minutes", Limits: map[string]float64{"bottle": 30}, Source: "standing order 3"},
		{Rule: "no-rest-recorded", Limits: map[string]float64{"bottles": 1}, Source: "standing order 4"},
		{Rule: "vitals-past-policy", Limits: map[string]float64{"entry_pulse": 100, "release_systolic": 160}, Source: "medical director, 3 May"},
	}); err != nil {
		t.Fatal(err)
	}
	inc := judged(story(t,
		line{"09:40", "", kinds.SuitedUp{Pair: "1", Pulses: events.KeyedAmounts[PerMinute]{{Key: "P1A_pulse", Value: Of[PerMinute](104)}, {Key: "P1B_pulse", Value: Of[PerMinute](100)}}}},
		line{"10:00", "", kinds.InHot{Pair: "1", Pressures: psi("P1A", 4500, "P1B", 4500)}},
		line{"10:30", "", kinds.OutHot{Pair: "1", Pressures: psi("P1A", 1800, "P1B", 2100)}},
		line{"10:40", "", kinds.RehabIn{Person: "P1B"}}, line{"10:55", "", kinds.RehabOut{Person: "P1B", BP: "165/95"}},
		line{"11:00", "", kinds.InHot{Pair: "1", Pressures: psi("P1A", 4500, "P1B", 4500)}},
		line{"11:31", "", kinds.OutHot{Pair: "1", Pressures: psi("P1A", 2700, "P1B", 2700)}},
	), events.View{}, b)
	for rule, want := range map[string][]string{
		"past-turn-back":     {"P1A"}, // 90 psi a minute: 1,485 and 6 min through decon are 2,025
		"past-rated-minutes": {"P1A, P1B"},
		"no-rest-recorded":   {"P1A"},
		"vitals-past-policy": {"P1A pulse", "P1B systolic"},
	} {
		var got []string
		for _, f := range told(inc, rule) {
			got = append(got, f.Subject)
			if f.Limit == nil || !strings.Contains(f.Limit.Source+f.Limit.Status, "department") && rule != "past-rated-minutes" && rule != "past-turn-back" {
				t.Errorf("%s: limit %+v, want the department's", rule, f.Limit)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s of %q, want of %q", rule, got, want)
		}
	}
	if got := inc.People.Supply(inc.Crew, inc.AsOf)[0]; got.BottleBy != "the department's" || got.Breath.Value == 0 {
		t.Errorf("bottle %q by %s, breath %+v; want the department's", got.Bottle, got.BottleBy, got.Breath)
	}
}

func TestDepartmentCannotSetNonsense(t *testing.T) {
	for _, c := range []Change{
		{Rule: "no-rest-recorded", Limits: map[string]float64{"bottles": 0}, Source: "x"},
		{Rule: "no-rest-recorded", Limits: map[string]float64{"rest": 30}, Source: "x"}, // longer than the rest after it
		{Rule: "out-below-alarm", Limits: map[string]float64{"alarm": 100}, Source: "x"},
		{Rule: "past-turn-back", Limits: map[string]float64{"out": -1}, Source: "x"},
		{Rule: "past-rated-minutes", Limits: map[string]float64{"bottle": 42}, Source: "x"},
	} {
		if err := Defaults().Override([]Change{c}); err == nil || !strings.Contains(err.Error(), "air and rest") {
			t.Errorf("%+v: %v, want a refusal", c, err)
		}
	}
}
