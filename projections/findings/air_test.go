package findings

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections"
)

func lel(v quantity.PercentLEL) kinds.AirRead { return kinds.AirRead{LEL: quantity.Of(v)} }

func ppmBenzene(v quantity.PPM) kinds.AirRead { return kinds.AirRead{Benzene: quantity.Of(v)} }

// brief is what the tests of a family hold on to: rule, severity, subject, and from
// when to when.
func brief(inc *projections.Incident, rules ...string) (out []string) {
	for _, f := range inc.Findings {
		if slices.Contains(rules, f.Rule) {
			end := "now"
			if !f.End.IsZero() {
				end = f.End.Best.Format("15:04")
			}
			out = append(out, fmt.Sprintf("%s %s %s %s-%s", f.Rule, f.Severity, f.Subject, f.Start.Best.Format("15:04"), end))
		}
	}
	return out
}

func expect(t *testing.T, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("got\n  %s\nwant\n  %s", strings.Join(got, "\n  "), strings.Join(want, "\n  "))
	}
}

// TestAirQuarryBend: each row worked by hand from the times in the incident.
func TestAirQuarryBend(t *testing.T) {
	inc := judged(incident(t, "quarry-bend"), events.View{}, Defaults())
	expect(t, brief(inc, "lel-level", "lel-work-went-on", "air-level-no-action", "oxygen", "air-order-late", "air-before-step"),
		"lel-level serious C4 dome 21:40-21:48",
		"air-before-step caution first hole in C4 22:48-22:48",
		"air-before-step caution pump start of L2 00:06-00:06",
		"air-order-late caution R1 hose end, benzene 00:20-00:57",
		"air-before-step caution pump start of L3 01:33-01:33",
		"air-before-step caution first hole in C2 02:26-02:26",
	)
	f := told(inc, "lel-level")[0]
	if f.Limit.Value != 10 || f.Limit.Status != "site setting" || f.Observed.Value != 22 {
		t.Errorf("vapour %v against %+v, want 22 against the 10 %% of the order", f.Observed.Value, f.Limit)
	}
}

func TestAirUnread(t *testing.T) {
	in, out := kinds.InHot{Pair: "1"}, kinds.OutHot{Pair: "1"}
	for name, tt := range map[string]struct {
		rows []line
		want []string
	}{
		"ten minutes are the limit, not past it": {
			[]line{{"10:00", "Gate", in}, {"10:10", "C1", lel(0)}, {"10:20", "Gate", out}}, nil,
		},
		"eleven minutes, then sixteen": {
			[]line{{"10:00", "Gate", in}, {"10:11", "C1", lel(0)}, {"10:27", "Gate", out}},
			[]string{"air-unread caution work area 10:00-10:11", "air-unread serious work area 10:11-10:27"},
		},
		"nobody in, no pump": {[]line{{"10:00", "Gate", lel(0)}, {"11:00", "Gate", lel(0)}}, nil},
		"monitors that run continuously": {
			[]line{{"09:50", "Gate", kinds.GearReady{Continuous: "yes"}}, {"10:00", "Gate", in}, {"11:00", "Gate", out}}, nil,
		},
	} {
		t.Run(name, func(t *testing.T) {
			expect(t, brief(judged(story(t, tt.rows...), events.View{}, Defaults()), "air-unread"), tt.want...)
		})
	}
}

func TestLevels(t *testing.T) {
	in := line{"09:59", "Gate", kinds.InHot{Pair: "1"}}
	for name, tt := range map[string]struct {
		rows []line
		want []string
	}{
		"below the level": {[]line{in, {"10:00", "C1", lel(9.9)}}, nil},
		"at the level, foam within five minutes": {
			[]line{in, {"10:00", "C1", lel(10)}, {"10:05", "C1", kinds.FoamApplied{}}, {"10:08", "C1", lel(3)}},
			[]string{"lel-level caution C1 10:00-10:08"},
		},
		"at the level, nothing for six": {
			[]line{in, {"10:00", "C1", lel(12)}, {"10:03", "C1", lel(14)}, {"10:06", "C1", lel(9)}},
			[]string{"lel-level caution C1 10:00-10:06", "air-level-no-action caution C1 10:00-10:06"},
		},
		"at the level to withdraw, out in two minutes": {
			[]line{in, {"10:00", "C1", lel(20)}, {"10:02", "Gate", kinds.OutHot{Pair: "1"}}},
			[]string{"lel-level serious C1 10:00-now"},
		},
		"out in three": {
			[]line{in, {"10:00", "C1", lel(20)}, {"10:03", "Gate", kinds.OutHot{Pair: "1"}}},
			[]string{"lel-level serious C1 10:00-now", "lel-work-went-on serious C1 10:00-10:03"},
		},
		"nobody in": {[]line{{"10:00", "C1", lel(30)}}, []string{"lel-level serious C1 10:00-now"}},
		"an order sets the level": {
			[]line{in, {"09:00", "Gate", kinds.OrderGiven{Rule: []string{"stop at 5 % LEL"}}}, {"10:00", "C1", lel(6)}, {"10:01", "C1", kinds.StopWork{Why: "vapour"}}},
			[]string{"lel-level caution C1 10:00-now"},
		},
		"corrected for the fuel it is more": {
			[]line{in, {"09:00", "Gate", kinds.GearReady{Factor: quantity.Of[quantity.Ratio](2.5)}}, {"10:00", "C1", lel(8)}, {"10:01", "C1", kinds.StopWork{Why: "vapour"}}},
			[]string{"lel-level serious C1 10:00-now"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			expect(t, brief(judged(story(t, tt.rows...), events.View{}, Defaults()), "lel-level", "lel-work-went-on", "air-level-no-action"), tt.want...)
		})
	}
}

func TestOxygen(t *testing.T) {
	read := func(v quantity.Percent) kinds.AirRead { return kinds.AirRead{O2: quantity.Of(v)} }
	inc := judged(story(t,
		line{"10:00", "Pit", read(19.5)}, line{"10:01", "Pit", read(19.4)}, line{"10:02", "Pit", read(18)}, line{"10:03", "Pit", read(20.9)},
		line{"10:04", "Pit", read(23.5)}, line{"10:05", "Pit", read(23.6)},
	), events.View{}, Defaults())
	expect(t, brief(inc, "oxygen"), "oxygen serious Pit 10:01-10:03", "oxygen serious Pit 10:05-now")
	if f := told(inc, "oxygen")[0]; f.Observed.Value != 18 {
		t.Errorf("the lowest is %v, want 18", f.Observed.Value)
	}
}

// TestMonitors: a check within the day speaks for a monitor; how a sensor was set is
// asked for once.
func TestMonitors(t *testing.T) {
	m := func(name string) kinds.AirRead {
		return kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](1), Instrument: name}
	}
	inc := judged(story(t,
		line{"09:00", "Rig", kinds.InstrumentChecked{Instrument: "M1", Bump: "yes", Factor: quantity.Of[quantity.Ratio](1)}},
		line{"10:00", "C1", m("M1")}, line{"10:10", "C1", m("M2")}, line{"10:20", "C1", m("M2")},
	), events.View{}, Defaults())
	expect(t, brief(inc, "monitor-unchecked", "lel-uncorrected"), "lel-uncorrected info LEL 10:10-10:20", "monitor-unchecked info M2 10:10-10:20")
}
