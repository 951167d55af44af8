package projections

import (
	"math"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

func parsed[Q quantity.Quantity](t *testing.T, text string) quantity.Amount[Q] {
	t.Helper()
	a, err := quantity.Parse[Q](text)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// deep is a dip of C1 in inches, with the water below it where there is any.
func deep(t *testing.T, clock, depth, water string) line {
	t.Helper()
	d := kinds.DipRead{CDepth: events.KeyedAmounts[quantity.Inches]{{Key: "C1_depth", Value: parsed[quantity.Inches](t, depth)}}}
	if water != "" {
		d.CWater = events.KeyedAmounts[quantity.Gallons]{{Key: "C1_water", Value: parsed[quantity.Gallons](t, water)}}
	}
	return line{clock, "tank", d}
}

// dipOfC1 is what C1 holds by its dip.
func dipOfC1(t *testing.T, rows ...line) Figure {
	t.Helper()
	for _, c := range volumeOf(t, rows...).Compartments {
		if c.ID == "C1" {
			return c.Dip
		}
	}
	return Lacking("gal", "C1")
}

// A compartment 96 in wide, 66 in high and 96 in long, a circle or an ellipse, half
// full by its stick holds half of π·a·b·96/231 gal.
func TestDipInInches(t *testing.T) {
	in := func(text string) quantity.Amount[quantity.Inches] { return parsed[quantity.Inches](t, text) }
	deg := func(text string) quantity.Amount[quantity.Degrees] { return parsed[quantity.Degrees](t, text) }
	level := line{"09:00", "tank", kinds.SizedUp{Roll: deg("90 deg"), Pitch: deg("0 deg")}}
	ellipse := line{"09:10", "tank", kinds.TankMeasured{Shape: "ellipse", Width: in("8 ft"), Height: in("66 in")}}
	long := line{"09:20", "C1", kinds.TankMeasured{Length: in("96 in")}}
	half := math.Pi * 48 * 33 * 96 / 231 / 2
	dip := deep(t, "10:00", "48 in", "")

	got := dipOfC1(t, level, ellipse, long, dip)
	if !got.Known || math.Abs(got.Value-half) > 1e-6 || got.U < 5 || got.U > 20 {
		t.Errorf("half full on its side: %+v, want %.2f", got, half)
	}
	if len(got.From) != 4 {
		t.Errorf("it stands on entries %v; want the size-up, both measurements and the dip", got.From)
	}
	if late := dipOfC1(t, level, dip, line{"11:00", "tank", ellipse.fact}, line{"11:10", "C1", long.fact}); math.Abs(late.Value-half) > 1e-6 {
		t.Errorf("measured after the dip: %v, want %.2f", late.Value, half)
	}
	if wet := dipOfC1(t, level, ellipse, long, deep(t, "10:00", "48 in", "100 gal")); math.Abs(wet.Value-(half-100)) > 1e-6 {
		t.Errorf("over 100 gal of water: %v, want %.2f", wet.Value, half-100)
	}
	stamped := line{"09:30", "", kinds.TankMeasured{Compartment: "C1", Capacity: parsed[quantity.Gallons](t, "1000 gal")}}
	if got := dipOfC1(t, level, ellipse, stamped, dip); math.Abs(got.Value-500) > 1e-6 {
		t.Errorf("half of a stamped 1,000 gal: %v", got.Value)
	}
	if got := dipOfC1(t, level, ellipse, long, deep(t, "10:00", "under 48 in", "")); got.Low != 0 || math.Abs(got.High-half) > 1e-6 {
		t.Errorf("under half full: %v to %v, want 0 to %.2f", got.Low, got.High, half)
	}
	if got := dipOfC1(t, level, ellipse, long, deep(t, "10:00", "over 48 in", "")); math.Abs(got.High-2*half) > 1e-6 {
		t.Errorf("over half full: at most %v, want the full tank, %.2f", got.High, 2*half)
	}
	said := dipOfC1(t, level, ellipse, long, line{"10:00", "tank", kinds.DipRead{
		C:      events.KeyedAmounts[quantity.Gallons]{{Key: "C1", Value: gal(12)}},
		CDepth: events.KeyedAmounts[quantity.Inches]{{Key: "C1_depth", Value: in("3 in")}}}})
	if said.Value != 12 {
		t.Errorf("gallons beside inches: %v; what was said counts, 12", said.Value)
	}
	if stick := dipOfC1(t, level, ellipse, long, line{"10:00", "C1", kinds.StickRead{Depth: in("48 in")}}); math.Abs(stick.Value-half) > 1e-6 {
		t.Errorf("a stick of the compartment: %v, want %.2f", stick.Value, half)
	}
}

// What is missing is said; a pitch that nobody read widens the doubt and is said too.
func TestDipInInchesMissing(t *testing.T) {
	in := func(text string) quantity.Amount[quantity.Inches] { return parsed[quantity.Inches](t, text) }
	whole := func(m kinds.TankMeasured) line { return line{"09:00", "tank", m} }
	ellipse := kinds.TankMeasured{Shape: "ellipse", Width: in("96 in"), Height: in("66 in"), Length: in("400 in")}
	long := line{"09:20", "C1", kinds.TankMeasured{Length: in("96 in")}}
	dip := deep(t, "10:00", "40 in", "")
	for _, tt := range []struct {
		want string
		rows []line
	}{
		{"shape and sizes of C1", []line{dip}},
		{"length or capacity of C1", []line{whole(ellipse), dip}}, // the tank's length is no compartment's
		{"how far the tank has rolled", []line{whole(ellipse), long, dip}},
		{"outside 0 to 96 in", []line{whole(ellipse), long, line{"09:30", "tank", kinds.SizedUp{Roll: parsed[quantity.Degrees](t, "90 deg")}}, deep(t, "10:00", "99 in", "")}},
		{"needs its radius", []line{whole(kinds.TankMeasured{Shape: "rounded", Width: in("96 in"), Height: in("66 in"), Roll: parsed[quantity.Degrees](t, "90 deg")}), long, dip}},
	} {
		got := dipOfC1(t, tt.rows...)
		if got.Known || !strings.Contains(strings.Join(got.Missing, "; "), tt.want) {
			t.Errorf("%+v; want it unknown for want of %q", got, tt.want)
		}
	}
	drum := whole(kinds.TankMeasured{Shape: "circle", Height: in("66 in")})
	unread, read := dipOfC1(t, drum, long, dip), dipOfC1(t, drum, long, dip, line{"09:30", "tank", kinds.SizedUp{Pitch: parsed[quantity.Degrees](t, "0 deg")}})
	if !strings.Contains(unread.Method, "pitch not recorded, taken as level ± 2 deg") || strings.Contains(read.Method, "pitch") || unread.U <= read.U {
		t.Errorf("pitch not read: %q ± %g; read: %q ± %g; want the first to say so and be wider", unread.Method, unread.U, read.Method, read.U)
	}
}

// A stick whose place along a pitched compartment was told leaves less doubt than one
// that may stand anywhere, and the middle is where it was taken to be.
func TestDipWhereTheStickStands(t *testing.T) {
	in := func(text string) quantity.Amount[quantity.Inches] { return parsed[quantity.Inches](t, text) }
	shape := func(along string) line {
		m := kinds.TankMeasured{Compartment: "C1", Shape: "circle", Height: in("66 in"), Length: in("96 in"), Pitch: parsed[quantity.Degrees](t, "4 deg")}
		if along != "" {
			m.Along = in(along)
		}
		return line{"09:10", "C1", m}
	}
	dip := deep(t, "10:00", "33 in", "")
	anywhere, middle, front := dipOfC1(t, shape(""), dip), dipOfC1(t, shape("48 in"), dip), dipOfC1(t, shape("0 in"), dip)
	if math.Abs(anywhere.Value-middle.Value) > 1e-6 || !(middle.U < anywhere.U/2) {
		t.Errorf("anywhere %+v, in the middle %+v; want the same volume, and less doubt", anywhere, middle)
	}
	if !(front.Value < middle.Value-20) { // 48 in · tan 4° is 3.4 in less in the middle
		t.Errorf("33 in at the low end %.1f gal, in the middle %.1f gal; want less", front.Value, middle.Value)
	}
}
