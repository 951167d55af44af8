package findings

import (
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// TestLateTimersByWhatCanHurt: a wind nobody has read for hours stands behind a roll
// call that is ten minutes late.
func TestLateTimersByWhatCanHurt(t *testing.T) {
	inc := judged(story(t,
		line{"07:00", "Post", kinds.Weather{WindFrom: "SW"}},
		line{"09:00", "Ditch", kinds.FoamApplied{Foam: "AFFF"}},
		line{"10:00", "Gate", kinds.InHot{Pair: "1"}},
		line{"10:30", "", kinds.Note{Text: "quiet"}},
	), events.View{}, Defaults())
	var got []string
	for _, d := range inc.Due {
		got = append(got, d.Rule+" "+d.Level)
	}
	if want := []string{"due-air late", "due-roll-call late", "due-foam late", "due-wind late"}; !slices.Equal(got, want) {
		t.Errorf("timers = %q, want %q", got, want)
	}
}

// TestAlarmWords: an alarm names the pressure that is known, one person is, two are, and
// an entry stands in it once.
func TestAlarmWords(t *testing.T) {
	inc := judged(story(t,
		line{"10:00", "Gate", kinds.InHot{Bottle: "30 min", Pressures: events.KeyedAmounts[quantity.PSI]{{Key: "P1A", Value: quantity.Of[quantity.PSI](2216)}}}},
		line{"10:01", "C1", kinds.AirRead{Benzene: quantity.Of[quantity.PPM](9)}},
		line{"12:00", "", kinds.Note{Text: "quiet"}},
	), events.View{}, Defaults())
	said := map[string]string{}
	for _, a := range inc.Alarms {
		said[a.Rule] = a.Statement
		if !slices.Equal(a.From, slices.Compact(slices.Clone(a.From))) {
			t.Errorf("%s stands on %v: an entry twice", a.Rule, a.From)
		}
	}
	if want := "P1A is past the pressure of the low-air alarm by estimate"; said["act-turn-back"] != want {
		t.Errorf("act-turn-back says %q, want %q", said["act-turn-back"], want)
	}
	if said["act-air"] == "" {
		t.Error("no alarm of the benzene")
	}
}

// TestCountOfPeopleHasNoLimit: two counts agree or do not, and how far apart they are is
// said to be that.
func TestCountOfPeopleHasNoLimit(t *testing.T) {
	for _, f := range told(judged(incident(t, "quarry-bend"), events.View{}, Defaults()), "accountability-mismatch") {
		if f.Limit != nil || f.Observed.Value != 2 || f.Observed.Unit != "person difference" {
			t.Errorf("%s: seen %v %s, limit %v; want a difference of 2 and no limit", f.Subject, f.Observed.Value, f.Observed.Unit, f.Limit)
		}
	}
}

func TestStopNotLifted(t *testing.T) {
	stop := line{"10:00", "R1 hose end", kinds.StopWork{Why: "benzene 12"}}
	note := line{"10:20", "", kinds.Note{Text: "quiet"}}
	runCases(t, []ruleCase{
		{"stop-not-lifted", "stands, and nothing went on", 0, []line{stop, note}},
		{"stop-not-lifted", "a pump was started", 1, []line{stop, on("10:10", "L1", "C1", "R1")}},
		{"stop-not-lifted", "the log was closed", 1, []line{stop, {"11:00", "", kinds.LogClosed{}}}},
		{"stop-not-lifted", "taken up, then a pump", 0, []line{stop, {"10:05", "R1 hose end", kinds.ResumeWork{}}, on("10:10", "L1", "C1", "R1"), {"11:00", "", kinds.LogClosed{}}}},
		{"stop-not-lifted", "a pump before it", 0, []line{on("09:50", "L1", "C1", "R1"), stop, note}},
	})
	got := told(judged(story(t, stop, on("10:10", "L1", "C1", "R1")), events.View{}, Defaults()), "stop-not-lifted")
	if len(got) != 1 || !strings.Contains(got[0].Statement, "the pump start of L1 at 10:10") || !slices.Equal(got[0].From, []events.Seq{1, 2}) {
		t.Errorf("%+v, want the pump start by both entries", got)
	}
}

// TestLowOxygenBehindAFilter: a filter adds no oxygen.
func TestLowOxygenBehindAFilter(t *testing.T) {
	low := line{"10:05", "R1 hose end", kinds.AirRead{O2: quantity.Of[quantity.Percent](19.2)}}
	good := line{"10:10", "R1 hose end", kinds.AirRead{O2: quantity.Of[quantity.Percent](20.8)}}
	post := func(at, air string) line { return line{at, "R1 hose end", kinds.PostTaken{Person: "P3A", Air: air}} }
	runCases(t, []ruleCase{
		{"danger-no-scba", "filter", 1, []line{post("10:00", "APR full face"), low, good}},
		{"danger-no-scba", "mask not recorded", 1, []line{post("10:00", ""), low, good}},
		{"danger-no-scba", "air pack", 0, []line{post("10:00", "SCBA"), low, good}},
		{"danger-no-scba", "came after it was good again", 0, []line{low, good, post("10:10", "APR full face")}},
		{"danger-no-scba", "stood elsewhere", 0, []line{{"10:00", "R2 hose end", kinds.PostTaken{Person: "P3A", Air: "APR full face"}}, low, good}},
	})
}

// TestZeroAfterAFullScale: the finding says that the zero after it proves nothing.
func TestZeroAfterAFullScale(t *testing.T) {
	for first, want := range map[quantity.PercentLEL]bool{100: true, 40: false} {
		got := told(judged(story(t,
			line{"10:00", "C1 dome", kinds.AirRead{LEL: quantity.Of(first)}},
			line{"10:02", "C1 dome", kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](0)}},
		), events.View{}, Defaults()), "lel-level")
		if len(got) != 1 || strings.Contains(strings.Join(got[0].Confidence, "; "), "fall to zero") != want {
			t.Errorf("%v %%: %+v, want a word on the zero: %v", first, got, want)
		}
	}
}

// TestSignalStandsUntilTheAllClear: a call for help is an alarm until the all clear; a
// test of the horn is none.
func TestSignalStandsUntilTheAllClear(t *testing.T) {
	test := line{"10:00", "Gate", kinds.SignalSounded{Signal: "air horn", State: "tested"}}
	mayday := line{"10:05", "C4", kinds.SignalSounded{Signal: "mayday", State: "sounded"}}
	clear := line{"10:20", "C4", kinds.SignalSounded{Signal: "mayday", State: "all clear"}}
	for _, tt := range []struct {
		name  string
		lines []line
		want  string
	}{
		{"test", []line{test}, ""},
		{"call", []line{test, mayday}, "mayday at 10:05; no all clear recorded"},
		{"over", []line{test, mayday, clear}, ""},
	} {
		got := ""
		for _, a := range judged(story(t, tt.lines...), events.View{}, Defaults()).Alarms {
			if a.Rule == "act-signal" {
				got = a.Statement
			}
		}
		if got != tt.want {
			t.Errorf("%s: the alarm says %q, want %q", tt.name, got, tt.want)
		}
	}
}
