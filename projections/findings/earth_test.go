package findings

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// ofFamily lists what a family finds in a story: rule, severity, subject, minutes.
func ofFamily(t *testing.T, family string, rows ...line) (out []string) {
	t.Helper()
	b := Defaults()
	for _, f := range judged(story(t, rows...), events.View{}, b).Findings {
		if b.Rule(f.Rule).Family == family {
			out = append(out, fmt.Sprintf("%s %s %s %v", f.Rule, f.Severity, f.Subject, f.Minutes.Value))
		}
	}
	return out
}

func bonded(to string, v float64) kinds.ResistanceRead {
	return kinds.ResistanceRead{Path: "bond", From: "tank shell", To: to, Resistance: quantity.Of(quantity.Ohms(v))}
}

func grounded(where string, v float64) line {
	return line{"", where, kinds.ResistanceRead{Path: "ground", Resistance: quantity.Of(quantity.Ohms(v))}}
}

func at(when string, l line) line { l.at = when; return l }

func cable(state, to string) kinds.BondMade {
	return kinds.BondMade{State: state, From: "tank shell", To: to}
}

func pumps(leg, from, to string) kinds.PumpOn { return kinds.PumpOn{Leg: leg, From: from, To: to} }

var lowHole = line{"12:30", "C4", kinds.HoleDrilled{Hole: []string{"C4-L"}, Use: "liquid"}}

// Each rule of the earth, with the entry that starts it and the entries that answer it.
func TestEarthRules(t *testing.T) {
	rod, shell, r1 := at("12:05", grounded("Rod G1", 14)), line{"12:10", "", bonded("rods", 0.4)}, line{"12:12", "", bonded("R1", 0.5)}
	pump, off := line{"13:00", "C4 to R1", pumps("L1", "C4", "R1")}, line{"13:20", "C4 to R1", kinds.PumpOff{Leg: "L1"}}
	for _, tt := range []struct {
		name string
		rows []line
		want []string
	}{
		{"all in order", []line{rod, shell, r1, lowHole, pump, off}, nil},
		{"nothing read", []line{lowHole, pump, off}, []string{
			"drilled-before-grounded caution tank 0", "drilled-before-bonded serious tank 0", "pumped-before-bonded serious R1 0",
		}},
		{"bond of the tank read after the hole", []line{rod, lowHole, {"12:40", "", bonded("rods", 0.4)}, {"12:45", "", bonded("R1", 0.5)}, pump, off}, []string{"drilled-before-bonded serious tank 0"}},
		{"the truck's bond alone joins the tank", []line{rod, r1, lowHole, pump, off}, nil},
		{"another truck's bond does not bond this one", []line{rod, {"12:12", "", bonded("R2", 0.5)}, lowHole, pump, off}, []string{"pumped-before-bonded serious R1 0"}},
		{"connected, not read", []line{rod, shell, {"12:50", "", cable("connected", "R1")}, lowHole, pump, off}, []string{"bond-not-read caution tank shell to R1 0"}},
		{"connected and read", []line{rod, shell, {"12:11", "", cable("connected", "R1")}, r1, lowHole, pump, off}, nil},
		{"at the limit", []line{rod, shell, {"12:12", "", bonded("R1", 10)}, lowHole, pump, off}, nil},
		{"over, then put right", []line{rod, shell, {"12:12", "", bonded("R1", 10.1)}, {"12:20", "", bonded("R1", 3)}, lowHole, pump, off}, []string{"bond-over-limit caution tank shell to R1 8"}},
		{"over and used", []line{rod, shell, {"12:12", "", bonded("R1", 1850)}, lowHole, pump, off, {"13:30", "", bonded("R1", 0.7)}}, []string{
			"bond-over-limit serious tank shell to R1 78", "pumped-before-bonded serious R1 0",
		}},
		{"a limit of the site goes before", []line{
			{"12:00", "", kinds.OrderGiven{Rule: []string{"bond under 1 ohm"}}}, rod, shell, {"12:12", "", bonded("R1", 3)}, {"12:20", "", bonded("R1", 0.9)}, lowHole, pump, off,
		}, []string{"bond-over-limit caution tank shell to R1 8"}},
		{"rods over the target, then more of them", []line{at("12:05", grounded("Rod G1", 38)), at("12:15", grounded("Rods G1+G2", 14)), shell, r1, lowHole, pump, off}, []string{"ground-over-limit caution Rod G1 10"}},
		{"rods that drain nothing", []line{at("12:05", grounded("Rod G1", 2e6)), shell, r1, lowHole, {"12:40", "Rod G1", kinds.ResistanceRead{Path: "ground", Resistance: quantity.Of[quantity.Ohms](20)}}}, []string{
			"ground-over-limit serious Rod G1 35", "drilled-before-grounded caution tank 0",
		}},
		{"another truck between", []line{
			rod, shell, r1, {"12:13", "", bonded("R2", 0.5)}, lowHole, pump, off,
			{"13:30", "C4 to R2", pumps("L2", "C4", "R2")}, {"13:40", "C4 to R2", kinds.PumpOff{Leg: "L2"}},
			{"14:00", "C4 to R1", pumps("L3", "C4", "R1")}, {"14:10", "C4 to R1", kinds.PumpOff{Leg: "L3"}},
		}, []string{"bond-not-read-again caution R1 30"}},
		{"another truck between, read again", []line{
			rod, shell, r1, {"12:13", "", bonded("R2", 0.5)}, lowHole, pump, off,
			{"13:30", "C4 to R2", pumps("L2", "C4", "R2")}, {"13:40", "C4 to R2", kinds.PumpOff{Leg: "L2"}}, {"13:50", "", bonded("R1", 0.5)},
			{"14:00", "C4 to R1", pumps("L3", "C4", "R1")}, {"14:10", "C4 to R1", kinds.PumpOff{Leg: "L3"}},
		}, nil},
		{"off while the pump ran", []line{rod, shell, r1, lowHole, pump, {"13:10", "", cable("removed", "R1")}, off}, []string{"bond-off-early serious tank shell to R1 0"}},
		{"off after the pump", []line{rod, shell, r1, lowHole, pump, off, {"13:40", "", cable("removed", "R1")}}, nil},
		{"off in vapour", []line{rod, shell, r1, lowHole, pump, off, {"13:35", "C4", kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](12)}}, {"13:40", "", cable("removed", "R1")}}, []string{"bond-off-early serious tank shell to R1 0"}},
		{"vapour read long before", []line{rod, shell, r1, lowHole, pump, off, {"13:21", "C4", kinds.AirRead{LEL: quantity.Of[quantity.PercentLEL](12)}}, {"13:40", "", cable("removed", "R1")}}, nil},
	} {
		if got := ofFamily(t, "earth", tt.rows...); !slices.Equal(got, tt.want) {
			t.Errorf("%s:\n got %q\nwant %q", tt.name, got, tt.want)
		}
	}
}

// The two incidents: what the readings of the earth must say, and nothing beside it.
func TestEarthOfTheIncidents(t *testing.T) {
	for name, want := range map[string][]string{
		"quarry-bend": {
			"S05 ground-over-limit Rod G1: the ground Rod G1 read 38 ohm; its limit is 25; 14 ohm on Rods G1+G2 at 22:16; static alone would allow 1 megohm [38 42]",
			"S04 bond-over-limit Tank shell to R2: the bond Tank shell to R2 read 1850 ohm; its limit is 10; 0.7 ohm at 01:15 (paint scraped clamp moved); work was stopped at 01:09 [120 121 123]",
		},
		"harrow-mill": {"S05 ground-over-limit Rod G1: the ground Rod G1 read 240 ohm; its limit is 25; 18 ohm on G1+G2 at 07:06; static alone would allow 1 megohm [32 34]"},
	} {
		var got []string
		b := Defaults()
		for _, f := range judged(incident(t, name), events.View{}, b).Findings {
			if b.Rule(f.Rule).Family == "earth" {
				got = append(got, fmt.Sprintf("%s %s %s: %s %v", f.Ref, f.Rule, f.Subject, f.Statement, f.From))
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s:\n got %s\nwant %s", name, strings.Join(got, "\n     "), strings.Join(want, "\n     "))
		}
	}
}
