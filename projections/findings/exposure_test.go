package findings

import (
	"math"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections/calc/exposure"
)

var exposureRules = []string{"shift-average-over", "short-average-over", "ceiling-over", "benzene-action-level", "long-shift", "danger-no-scba", "mask-not-enough"}

// TestExposureQuarryBend: the hose end is over its limit for fifteen minutes however
// the time between readings is filled; the tender's own time is not, but may have been.
func TestExposureQuarryBend(t *testing.T) {
	inc := judged(incident(t, "quarry-bend"), events.View{}, Defaults())
	expect(t, brief(inc, exposureRules...),
		"short-average-over caution P4A 23:35-23:44",
		"short-average-over serious R1 hose end 23:35-23:50",
	)
	for _, f := range told(inc, "short-average-over") {
		if f.Subject == "R1 hose end" && !strings.Contains(f.Statement, "6.27 to 6.64") {
			t.Errorf("%q lacks the two estimates", f.Statement)
		}
		if f.Subject == "P4A" && !strings.Contains(strings.Join(f.Confidence, "; "), "not recorded: when the work began") {
			t.Errorf("the tender's finding is sure of itself: %q", f.Confidence)
		}
	}
	expect(t, brief(judged(incident(t, "harrow-mill"), events.View{}, Defaults()), exposureRules...))
}

// TestExposureRules: a tender at a hose end whose air is read every five minutes.
func TestExposureRules(t *testing.T) {
	post := func(air string, facts ...line) []line {
		rows := []line{{"10:00", "R1 hose end", kinds.PostTaken{Person: "P4A", Air: air}}}
		return append(append(rows, facts...), line{"10:30", "R1 hose end", kinds.PostLeft{Person: "P4A"}})
	}
	every := func(levels ...quantity.PPM) (rows []line) {
		for i, v := range levels {
			rows = append(rows, line{[]string{"10:00", "10:05", "10:10", "10:15", "10:20", "10:25"}[i], "R1 hose end", ppmBenzene(v)})
		}
		return rows
	}
	for name, tt := range map[string]struct {
		rows []line
		want []string
	}{
		"at the limit":      {post("none", every(5, 5, 5, 5, 5, 5)...), nil},
		"over it, no mask":  {post("none", every(6, 6, 6, 6, 6, 6)...), []string{"short-average-over serious P4A 10:00-10:15", "short-average-over serious R1 hose end 10:00-10:15"}},
		"over it, air pack": {post("SCBA", every(6, 6, 6, 6, 6, 6)...), []string{"short-average-over info P4A 10:00-10:15", "short-average-over serious R1 hose end 10:00-10:15"}},
		"one period above a ceiling that may be passed": {
			post("SCBA", every(30, 0, 0, 0, 0, 0)...), []string{"short-average-over caution R1 hose end 10:00-10:15"}, // 10 if held, 5 by straight lines
		},
		"past its peak, with a half mask": {
			post("APR half mask", every(60, 0, 0, 0, 0, 0)...),
			[]string{
				"short-average-over info P4A 10:00-10:15", "short-average-over serious R1 hose end 10:00-10:15",
				"ceiling-over serious R1 hose end 10:00-10:25", "benzene-action-level info P4A 10:00-10:30", "mask-not-enough serious P4A 10:00-10:30",
			},
		},
		"immediately dangerous, no mask": {
			post("none", every(500, 0, 0, 0, 0, 0)...),
			[]string{
				"shift-average-over serious P4A 10:00-10:30", "short-average-over serious P4A 10:00-10:15", "short-average-over serious R1 hose end 10:00-10:15",
				"ceiling-over serious R1 hose end 10:00-10:25", "danger-no-scba serious P4A 10:00-10:30",
			},
		},
		// 9 ppm for 30 of 480 min
		"the action level": {post("SCBA", every(9, 9, 9, 9, 9, 9)...), []string{
			"short-average-over info P4A 10:00-10:15", "short-average-over serious R1 hose end 10:00-10:15", "benzene-action-level info P4A 10:00-10:30",
		}},
	} {
		t.Run(name, func(t *testing.T) {
			expect(t, brief(judged(story(t, tt.rows...), events.View{}, Defaults()), exposureRules...), tt.want...)
		})
	}
}

// TestLongShift: ten hours leave seven tenths of the limit.
func TestLongShift(t *testing.T) {
	rows := []line{{"08:00", "R1 hose end", kinds.PostTaken{Person: "P4A", Air: "none"}}}
	for _, at := range []string{"08:00", "08:20", "08:40", "09:00", "09:20", "09:40"} {
		rows = append(rows, line{at, "R1 hose end", ppmBenzene(3)})
	}
	rows = append(rows, line{"18:00", "R1 hose end", kinds.PostLeft{Person: "P4A"}})
	inc := judged(story(t, rows...), events.View{}, Defaults())
	got := told(inc, "long-shift")
	if len(got) != 1 || math.Abs(got[0].Limit.Value-0.7) > 1e-9 || math.Abs(got[0].Observed.Value-0.75) > 1e-9 { // 3 ppm for 2 h over 8
		t.Fatalf("long-shift: %+v, want 0.75 against 0.7", got)
	}
}

// TestLimitsAgree: what the rules hold against is what the table of limits says, unless
// a department says otherwise.
func TestLimitsAgree(t *testing.T) {
	b := Defaults()
	for rule, basis := range map[string]exposure.Basis{
		"shift-average-over": exposure.OverShift, "short-average-over": exposure.OverShort, "ceiling-over": exposure.AtOnce,
		"benzene-action-level": exposure.ActionLevel, "danger-no-scba": exposure.Danger,
	} {
		for name, level := range b.Rule(rule).Levels {
			substance, part, _ := strings.Cut(name, " ")
			if substance == "oxygen" {
				continue
			}
			l, ok := exposure.LimitOf(substance, basis)
			want := map[string]float64{"": float64(l.Value), "peak": float64(l.Peak), "minutes": float64(l.Minutes)}[part]
			if !ok || level.Value != want {
				t.Errorf("%s of %s: %g, the table has %g", rule, name, level.Value, want)
			}
		}
	}
}
