package tank

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
)

// anyTank draws a tank of each kind of section and head there is.
func anyTank(t *rapid.T) Tank {
	in := func(name string, low, high float64) quantity.Inches {
		return quantity.Inches(rapid.Float64Range(low, high).Draw(t, name))
	}
	w, h := in("width", 10, 100), in("height", 10, 100)
	var s Section
	var err error
	switch rapid.SampledFrom([]string{"circle", "ellipse", "obround", "rounded", "oval"}).Draw(t, "section") {
	case "circle":
		s, err = Circle(w)
	case "ellipse":
		s, err = Ellipse(w, h)
	case "obround":
		s, err = Obround(w, h)
	case "rounded":
		s, err = RoundedRectangle(w, h, min(w, h)*in("corner", 0, 0.5))
	case "oval":
		w, h = max(w, h), min(w, h)
		s, err = Oval(w, h, h*in("side", 0.05, 0.45))
	}
	if err != nil {
		t.Fatal(err)
	}
	head := rapid.Custom(func(t *rapid.T) Head {
		return rapid.SampledFrom([]Head{
			{}, {Shape: Conical, Depth: 4}, {Shape: Ellipsoidal, Depth: 9},
			{Shape: Spherical, Depth: 4}, {Shape: Torispherical, Dish: 1, Knuckle: 0.06},
		}).Draw(t, "head")
	})
	return Tank{Section: s, Length: in("length", 5, 300), Front: head.Draw(t, "front"), Rear: head.Draw(t, "rear")}
}

func anyLie(t *rapid.T) Lie {
	return Lie{
		quantity.Degrees(rapid.Float64Range(-180, 180).Draw(t, "roll")),
		quantity.Degrees(rapid.SampledFrom([]float64{0, 0.1, -3, 12, 40, -70}).Draw(t, "pitch")),
	}
}

// anySurface draws a surface that cuts the tank or misses it, as a level over the
// front end.
func anySurface(t *rapid.T, l *Lying, name string) float64 {
	low, high := l.reach()
	return low + rapid.Float64Range(0, 1).Draw(t, name)*(high-low)
}

func lay(t *rapid.T, tank Tank, lie Lie) *Lying {
	l, err := tank.Lying(lie)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func apart(a, b, of quantity.Gallons, tolerance float64) bool {
	return !(math.Abs(float64(a-b)) <= tolerance*float64(of))
}

// A higher surface is never less, below all of the tank there is nothing, above it
// the full tank.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := lay(t, anyTank(t), anyLie(t))
		a, b := anySurface(t, l, "a"), anySurface(t, l, "b")
		if va, vb := l.gallons(min(a, b)), l.gallons(max(a, b)); va > vb+1e-7*l.Full() {
			t.Fatalf("%g gal below %g, %g gal below %g", va, min(a, b), vb, max(a, b))
		}
		low, high := l.reach()
		if v := l.gallons(low); v != 0 {
			t.Fatalf("an empty tank holds %g gal", v)
		}
		if v := l.gallons(high); apart(v, l.Full(), l.Full(), 1e-9) {
			t.Fatalf("a full tank holds %g gal of %g", v, l.Full())
		}
	})
}

// Every section is symmetric about its axis, so a tank rolled by 180° holds the
// same, and what is above a surface in it is what was below the mirrored surface.
func TestTurnedOver(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tank, lie := anyTank(t), anyLie(t)
		over := lie
		over.Roll += 180
		l, turned := lay(t, tank, lie), lay(t, tank, over)
		y := anySurface(t, l, "y")
		if a, b := l.gallons(y), turned.gallons(y); apart(a, b, l.Full(), 1e-6) {
			t.Fatalf("%g gal, turned over %g gal of %g", a, b, l.Full())
		}
		mirrored := lay(t, tank, Lie{lie.Roll, -lie.Pitch})
		if a, b := l.gallons(y), mirrored.gallons(-y); apart(a+b, l.Full(), l.Full(), 1e-6) {
			t.Fatalf("%g gal below and %g gal above do not make %g gal", a, b, l.Full())
		}
	})
}

// A tank that leans the other way, its heads exchanged, holds the same at the
// mirrored place; one rolled the other way too.
func TestMirrored(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tank, lie := anyTank(t), anyLie(t)
		back := tank
		back.Front, back.Rear = tank.Rear, tank.Front
		l, m := lay(t, tank, lie), lay(t, back, Lie{-lie.Roll, -lie.Pitch})
		y := anySurface(t, l, "y")
		atRear := y - l.slope*float64(tank.Length)
		if a, b := l.gallons(y), m.gallons(atRear); apart(a, b, l.Full(), 1e-6) {
			t.Fatalf("%g gal, mirrored %g gal of %g", a, b, l.Full())
		}
		if a, b := l.High(), m.High(); math.Abs(float64(a+b)) > 1e-3*math.Abs(float64(a))+1e-3 {
			t.Fatalf("the highest line is %g in from the lowest, mirrored %g in", a, b)
		}
	})
}

// Depth undoes Volume wherever the stick stands in liquid.
func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := lay(t, anyTank(t), anyLie(t))
		share := rapid.Float64Range(0.001, 0.999).Draw(t, "share")
		d := Dip{
			Along: l.tank.Length * quantity.Inches(rapid.Float64Range(0, 1).Draw(t, "along")),
			Plumb: rapid.Bool().Draw(t, "plumb"),
		}
		v := l.Full() * quantity.Gallons(share)
		depth, err := l.Depth(v, d)
		if err != nil {
			t.Fatal(err)
		}
		bottom, top, inch, _ := l.foot(d)
		d.Depth = depth
		if depth < 0 || float64(depth) > (top-bottom)/inch {
			return // the foot is dry or the stick drowned: no dip reads so
		}
		if back, err := l.Volume(d); err != nil || apart(back, v, l.Full(), 1e-9) {
			t.Fatalf("%g gal stand %g in deep, where the dip says %g gal, %v", v, depth, back, err)
		}
	})
}

// PerInch is the slope of Volume. The step is small and the comparison coarse, one
// part in ten thousand of the tank to the inch: the surface widens fast near the
// bottom and in a tight corner, and the slope serves only the doubt of a dip.
func TestSlope(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := lay(t, anyTank(t), anyLie(t))
		y := anySurface(t, l, "y")
		const step = 1e-3
		slope := (l.cubic(y+step) - l.cubic(y-step)) / (2 * step)
		between := max(math.Abs(l.perInch(y+step)-l.perInch(y)), math.Abs(l.perInch(y)-l.perInch(y-step)))
		if got := l.perInch(y); math.Abs(got-slope) > between+1e-4*l.whole {
			t.Fatalf("one more inch adds %g in³, the slope is %g", got, slope)
		}
	})
}

// Every length twice as large makes the volume eight times as large; a stamped
// capacity scales it.
func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(10, 100).Draw(t, "w")
		h := rapid.Float64Range(10, w).Draw(t, "h")
		r := h * rapid.Float64Range(0.1, 0.4).Draw(t, "r")
		by := rapid.Float64Range(0.1, 8).Draw(t, "by")
		lie := anyLie(t)
		depth := h * rapid.Float64Range(0, 1).Draw(t, "depth")
		volume := func(f float64, capacity quantity.Gallons) quantity.Gallons {
			s, err := Oval(quantity.Inches(w*f), quantity.Inches(h*f), quantity.Inches(r*f))
			if err != nil {
				t.Fatal(err)
			}
			l := lay(t, Tank{Section: s, Length: quantity.Inches(100 * f), Front: Head{Shape: Ellipsoidal, Depth: quantity.Inches(5 * f)}, Capacity: capacity}, lie)
			return l.gallons(depth * f)
		}
		if a, b := volume(1, 0)*quantity.Gallons(by*by*by), volume(by, 0); apart(a, b, max(a, b), 1e-7) && max(a, b) > 1e-3 {
			t.Fatalf("%g times as large holds %g gal, want %g", by, b, a)
		}
		if a, b := 2*volume(1, 3000), volume(1, 6000); apart(a, b, 6000, 1e-12) {
			t.Fatalf("stamped twice as large holds %g gal, want %g", b, a)
		}
	})
}
