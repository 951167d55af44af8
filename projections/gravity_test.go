package projections

import (
	"math"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

func loadOf(t *testing.T, api string, c ...string) line {
	t.Helper()
	l := kinds.LoadStated{Temp: parsed[quantity.Fahrenheit](t, "85 F"), API: parsed[quantity.APIGravity](t, api)}
	for i, text := range c {
		l.C = append(l.C, events.Keyed[quantity.Amount[quantity.Gallons]]{Key: "C" + string(rune('1'+i)), Value: parsed[quantity.Gallons](t, text)})
	}
	return line{"09:00", "bill of lading", l}
}

func read(t *testing.T, where, reads, temp, product string) line {
	t.Helper()
	k := kinds.GravityRead{Reads: parsed[quantity.APIGravity](t, reads), Product: product}
	if temp != "" {
		k.Temp = parsed[quantity.Fahrenheit](t, temp)
	}
	return line{"10:00", where, k}
}

// A glass hydrometer that shows 61.0 API in gasoline at 85 °F means 57.81306 at 60
// (table 5B of API MPMS 11.1, 1980, our computation); from then on the load is reduced
// and weighed by it, and not by the paper.
func TestHydrometerCorrects(t *testing.T) {
	s := volumeOf(t, loadOf(t, "60 API", "3000 gal gasoline"), read(t, "C1", "61 API", "85 F", ""))
	h := s.Statements.Gravities
	if len(h) != 1 || math.Abs(h[0].At60.Value-57.81306) > 1e-5 || h[0].With != kinds.GlassHydrometer {
		t.Fatalf("read as %+v; want 57.81306 API at 60 F", h)
	}
	paper := volumeOf(t, loadOf(t, "60 API", "3000 gal gasoline"))
	net := func(rho float64) float64 { // API MPMS 11.1, gasoline
		a := 25 * (192.4571/rho + 0.2438) / rho
		return 3000 * math.Exp(-a*(1+0.8*a))
	}
	want, other := net(746.70073), net(141.5/191.5*999.012)
	if math.Abs(s.Load.Value-want) > 0.01 || math.Abs(paper.Load.Value-other) > 0.01 {
		t.Errorf("load %.2f by the hydrometer, %.2f by the paper; want about %.2f and %.2f", s.Load.Value, paper.Load.Value, want, other)
	}
}

// A gravity is of its product alone: one on the paper of a load of two products is of
// nobody knows which.
func TestGravityIsOfOneProduct(t *testing.T) {
	none := volumeOf(t, loadOf(t, "60 API", "3000 gal gasoline", "2000 gal diesel"))
	if len(none.Statements.Notes) != 1 || !strings.Contains(none.Statements.Notes[0].Text, "several products") {
		t.Errorf("notes %v; want one that the gravity is used for none", none.Statements.Notes)
	}
	read := volumeOf(t, loadOf(t, "60 API", "3000 gal gasoline", "2000 gal diesel"), read(t, "C2", "38 API", "85 F", "diesel"))
	if a, b := none.Compartments[0].Load.Value, read.Compartments[0].Load.Value; a != b {
		t.Errorf("gasoline %.3f, with the diesel read %.3f; want the same", a, b)
	}
	if a, b := none.Compartments[1].Load.Value, read.Compartments[1].Load.Value; a == b {
		t.Errorf("diesel %.3f both ways; want its own gravity to count", a)
	}
}

func TestHydrometerUnread(t *testing.T) {
	for missing, l := range map[string]line{
		"the temperature of the sample":  read(t, "C1", "61 API", "", "gasoline"),
		"a gravity that the tables hold": read(t, "C1", "118 API", "20 F", "gasoline"),
		"what the hydrometer read":       {"10:00", "C1", kinds.GravityRead{Temp: parsed[quantity.Fahrenheit](t, "60 F")}},
	} {
		h := volumeOf(t, loadOf(t, "60 API", "3000 gal gasoline"), l).Statements.Gravities
		if len(h) != 1 || h[0].At60.Known || !strings.Contains(strings.Join(h[0].At60.Missing, ""), missing) {
			t.Errorf("at 60 F %+v; want it unknown for want of %q", h, missing)
		}
	}
}
