package tank

import (
	"math"
	"strings"
	"testing"

	"tankside/events/quantity"
)

func TestFormSections(t *testing.T) {
	for _, tt := range []struct {
		form   Form
		want   float64
		source string
	}{
		{Form{Shape: CircleForm, Height: 96}, math.Pi * 48 * 48, "π·r²"},
		{Form{Shape: CircleForm, Width: 96, Height: 96}, math.Pi * 48 * 48, "π·r²"},
		{Form{Shape: EllipseForm, Width: 96, Height: 66}, math.Pi * 48 * 33, "π·a·b"},
		{Form{Shape: ObroundForm, Width: 96, Height: 66}, 30*66 + math.Pi*33*33, "a box between two halves of a circle"},
		{Form{Shape: RoundedForm, Width: 96, Height: 66, Radius: 24}, 5841.557368468, "check T9 of testdata/published/tank.csv"},
		{Form{Shape: FourArcForm, Width: 96, Height: 66, Radius: 28}, 5065.176354474, "check T14 of testdata/published/tank.csv"},
	} {
		tt.form.Length = 100
		tank, err := tt.form.Tank()
		if err != nil {
			t.Errorf("%s: %v", tt.form.Shape, err)
			continue
		}
		near(t, tt.form.Shape, tank.Section.Area(), tt.want, 1e-6, tt.source)
	}
}

// Where nobody measured the length, the stamped capacity stands for it.
func TestFormByCapacity(t *testing.T) {
	f := Form{Shape: CircleForm, Height: 84, Capacity: 3848}
	tank, err := f.Tank()
	if err != nil {
		t.Fatal(err)
	}
	l, err := tank.Lying(Lie{})
	if err != nil {
		t.Fatal(err)
	}
	v, err := l.Volume(Dip{Depth: 60})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volume", float64(v), 2940.788506, 6e-7, "check T3 of testdata/published/tank.csv, in feet there")
	near(t, "length", float64(tank.Length), 3848*231/(math.Pi*42*42), 1e-6, "capacity over area")
}

func TestFormRefusals(t *testing.T) {
	for _, tt := range []struct {
		form Form
		want string
	}{
		{Form{}, "take circle, ellipse, obround, rounded, four-arc"},
		{Form{Shape: CircleForm}, "its diameter"},
		{Form{Shape: CircleForm, Width: 96, Height: 66}, "take ellipse"},
		{Form{Shape: EllipseForm, Width: 96}, "ellipse needs its height"},
		{Form{Shape: FourArcForm}, "needs its width and height and radius"},
		{Form{Shape: CircleForm, Height: 66}, "give it, or for flat heads the stamped capacity"},
		{Form{Shape: CircleForm, Height: 66, Capacity: 900, Heads: Head{Shape: Conical, Depth: 4}}, "give it, or for flat heads"},
	} {
		if _, err := tt.form.Tank(); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%+v: error %v; want one containing %q", tt.form, err, tt.want)
		}
	}
}

// A box 48 × 46 in and 40 in long with 20 in in it holds 48·40·20/231 gal.
func TestFormDoubt(t *testing.T) {
	box := Form{Shape: RoundedForm, Width: 48, Height: 46, Radius: 1e-9, Length: 40}
	const volume = 48 * 40 * 20 / 231.0
	gauge := func(f, off Form, lie Lie, u Doubt) Gauged {
		t.Helper()
		g, err := f.Gauge(off, lie, Dip{Depth: 20, Along: 20}, u)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "parts of the doubt", float64(g.SD), math.Sqrt(squares(g.ByDepth, g.ByPlace, g.ByLie, g.ByShape, g.BySizes)), 1e-9, "in quadrature")
		return g
	}
	near(t, "width and length off", float64(gauge(box, Form{Width: 1, Length: 2}, Lie{}, Doubt{}).BySizes), volume*math.Hypot(1.0/48, 2.0/40), 1e-6, "shares of the volume in quadrature")
	if g := gauge(box, Form{Height: 1}, Lie{}, Doubt{}); g.BySizes > 1e-6 {
		t.Errorf("the height of a box that is not full puts %g gal in doubt; want none", g.BySizes)
	}
	stamped := box
	stamped.Capacity = 400
	near(t, "capacity off", float64(gauge(stamped, Form{Capacity: 8}, Lie{}, Doubt{}).BySizes), 8*20.0/46, 1e-6, "the share that is full")
	near(t, "stick moved, level", float64(gauge(box, Form{}, Lie{}, Doubt{Along: 10}).ByPlace), 0, 1e-9, "a level surface")
	near(t, "stick moved, pitch not sure", float64(gauge(box, Form{}, Lie{}, Doubt{Along: 10, Pitch: 5}).ByPlace), 10*math.Tan(5*math.Pi/180)*48*40/231, 1e-6, "the two together")
	near(t, "stick moved, pitched", float64(gauge(box, Form{}, Lie{Pitch: 5}, Doubt{Along: 10}).ByPlace), 10*math.Tan(5*math.Pi/180)*48*40/231, 1e-6, "tan 5° of ten inches over the plan")
}

func squares(parts ...quantity.Gallons) (sum float64) {
	for _, p := range parts {
		sum += float64(p * p)
	}
	return sum
}

func TestUnder(t *testing.T) {
	circle, err := Form{Shape: CircleForm, Height: 96, Length: 100}.Tank()
	if err != nil {
		t.Fatal(err)
	}
	l, err := circle.Lying(Lie{Roll: 90})
	if err != nil {
		t.Fatal(err)
	}
	for clock, want := range map[float64]float64{12: 0, 0: 0, 1: 24, 11: -24, 2: 48 * math.Sin(math.Pi/3)} {
		got, err := l.Under(clock)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "offset", float64(got), want, 1e-6, "r·sin of the hour")
	}
	for _, clock := range []float64{3, 6, 9, -1, 13, math.NaN()} {
		if _, err := l.Under(clock); err == nil || !strings.Contains(err.Error(), "above 9 and below 3") {
			t.Errorf("%g o'clock: %v; want a refusal", clock, err)
		}
	}
}
