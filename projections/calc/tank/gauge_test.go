package tank

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tankside/events/quantity"
)

func ellipse(t *testing.T) Section {
	t.Helper()
	s, err := Ellipse(96, 66)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func box(t *testing.T) Tank {
	t.Helper()
	s, err := RoundedRectangle(48, 46, 0)
	if err != nil {
		t.Fatal(err)
	}
	return Tank{Section: s, Length: 40}
}

func near(t *testing.T, what string, got, want, tolerance float64, source string) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.8g; %s gives %g ± %g", what, got, source, want, tolerance)
	}
}

// A tank on its right side by 30° has its highest line to the left of its lowest,
// and a stick through a hole there does not reach the bottom.
func TestStickThroughTheTop(t *testing.T) {
	l, err := Tank{Section: ellipse(t), Length: 100}.Lying(Lie{Roll: 30})
	if err != nil {
		t.Fatal(err)
	}
	high := l.High()
	near(t, "highest line", float64(high), -28.1952, 1e-3, "−2·(a² − b²)·sin 30°·cos 30°/H by hand")
	top, err := l.Volume(Dip{Depth: 10, Offset: high})
	if err != nil {
		t.Fatal(err)
	}
	lowest, err := l.Volume(Dip{Depth: 17.4157})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "10 in below the top hole", float64(top), float64(lowest), 0.01, "7.4157 in of bottom below the stick, by hand, and 17.4157 in at the lowest line")
	depth, err := l.Depth(top, Dip{Offset: high})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "depth back", float64(depth), 10, 1e-6, "there and back")
	dry, err := l.Depth(20, Dip{Offset: high})
	if err != nil || !(dry < 0) {
		t.Errorf("20 gal below the foot of the stick read %g in, %v; want a depth below 0", dry, err)
	}
}

// In a tank pitched by 30° a plumb stick reads cos 30° of one held square to it.
func TestPlumb(t *testing.T) {
	l, err := Tank{Section: ellipse(t), Length: 100}.Lying(Lie{Pitch: 30})
	if err != nil {
		t.Fatal(err)
	}
	square, err := l.Volume(Dip{Depth: 20, Along: 50})
	if err != nil {
		t.Fatal(err)
	}
	plumb, err := l.Volume(Dip{Depth: quantity.Inches(20 * math.Cos(math.Pi/6)), Along: 50, Plumb: true})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "plumb stick", float64(plumb), float64(square), 1e-9, "the same surface")
	a, _ := l.PerInch(Dip{Depth: 20, Along: 50})
	b, _ := l.PerInch(Dip{Depth: quantity.Inches(20 * math.Cos(math.Pi/6)), Along: 50, Plumb: true})
	near(t, "gallons an inch", float64(b), float64(a)/math.Cos(math.Pi/6), 1e-9, "an inch more on a shorter stick")
	if front, _ := l.Volume(Dip{Depth: 20, Along: 0}); front >= square {
		t.Errorf("20 in at the low front end are %g gal, at the middle %g: want less", front, square)
	}
}

func TestGaugeDoubt(t *testing.T) {
	g, err := box(t).Gauge(Lie{}, Dip{Depth: 20}, Doubt{Depth: 0.25, Shape: 0.005})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volume", float64(g.Volume), 166.2338, 1e-4, "48·40·20/231")
	near(t, "gallons an inch", float64(g.PerInch), 8.3117, 1e-4, "48·40/231")
	near(t, "doubt", float64(g.SD), 2.2380, 1e-4, "√((0.25·8.3117)² + (0.005·166.2338)²)")
	near(t, "full", float64(g.Full), 382.3377, 1e-4, "48·46·40/231")
	// Pitched by one degree and dipped at the front, the surface at the middle is
	// 20·tan 1° = 0.3491 in lower or higher.
	g, err = box(t).Gauge(Lie{}, Dip{Depth: 20}, Doubt{Pitch: 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "doubt of a degree of pitch", float64(g.SD), 0.34910*8.31169, 1e-3, "by hand")
	drum := box(t)
	if drum.Section, err = Circle(48); err != nil {
		t.Fatal(err)
	}
	if g, err = drum.Gauge(Lie{Roll: 77}, Dip{Depth: 20}, Doubt{Roll: 45}); err != nil || g.ByLie > 1e-9 {
		t.Errorf("a rolled drum is in doubt by %g gal, %v; its roll says nothing", g.ByLie, err)
	}
}

func TestRefusals(t *testing.T) {
	nan := math.NaN()
	e, c := ellipse(t), Tank{Section: ellipse(t), Length: 100}
	dip := func(d Dip) func() error {
		return func() error {
			l, err := c.Lying(Lie{})
			if err != nil {
				return err
			}
			_, err = l.Volume(d)
			return err
		}
	}
	lying := func(t Tank, l Lie) func() error { return func() error { _, err := t.Lying(l); return err } }
	for want, call := range map[string]func() error{
		"depth 67 in is outside 0 to 66 in": dip(Dip{Depth: 67}),
		"depth NaN in":                      dip(Dip{Depth: quantity.Inches(nan)}),
		"depth -1 in":                       dip(Dip{Depth: -1}),
		"101 in from the front end":         dip(Dip{Depth: 1, Along: 101}),
		"stands beside the tank":            dip(Dip{Depth: 1, Offset: 50}),
		"NaN in from the lowest line":       dip(Dip{Depth: 1, Offset: quantity.Inches(nan)}),
		"no cross-section":                  lying(Tank{Length: 10}, Lie{}),
		"length NaN in":                     lying(Tank{Section: e, Length: quantity.Inches(nan)}, Lie{}),
		"capacity -1 gal":                   lying(Tank{Section: e, Length: 10, Capacity: -1}, Lie{}),
		"pitch 90°":                         lying(c, Lie{Pitch: 90}),
		"roll NaN°":                         lying(c, Lie{Roll: quantity.Degrees(nan)}),
		"it holds nothing":                  lying(Tank{Section: e}, Lie{}),
		"front head: one that bulges by 40": lying(Tank{Section: e, Length: 10, Front: Head{Shape: Spherical, Depth: 40}}, Lie{}),
		"rear head: shape 9":                lying(Tank{Section: e, Length: 10, Rear: Head{Shape: 9, Depth: 4}}, Lie{}),
		"rear head: dish 0.4":               lying(Tank{Section: e, Length: 10, Rear: Head{Shape: Torispherical, Dish: 0.4, Knuckle: 0.06}}, Lie{}),
		"width 0 in":                        func() error { _, err := Circle(0); return err },
		"width NaN in":                      func() error { _, err := Ellipse(quantity.Inches(nan), 1); return err },
		"corner radius 40 in":               func() error { _, err := RoundedRectangle(96, 66, 40); return err },
		"use an obround":                    func() error { _, err := Oval(96, 66, 33); return err },
		"oval 60 × 66 in":                   func() error { _, err := Oval(60, 66, 20); return err },
		"depth 101 in is outside 0 to 100":  func() error { _, err := c.Standing(101); return err },
		"a doubt below 0":                   func() error { _, err := c.Gauge(Lie{}, Dip{}, Doubt{Depth: -1}); return err },
		"9999 gal is outside 0 to": func() error {
			l, err := c.Lying(Lie{})
			if err != nil {
				return err
			}
			_, err = l.Depth(9999, Dip{})
			return err
		},
	} {
		if err := call(); err == nil || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), "tank: ") {
			t.Errorf("error %q; want one of tank that says %q", err, want)
		}
	}
}

func ExampleTank_Gauge() {
	section, err := Oval(96, 66, 28)
	if err != nil {
		fmt.Println(err)
		return
	}
	c4 := Tank{Section: section, Length: 64, Capacity: 1400}
	g, err := c4.Gauge(Lie{Roll: 82, Pitch: 2}, Dip{Depth: 31, Along: 32}, Usual)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f ± %.0f gal of %.0f; one more inch is %.1f gal", g.Volume, g.SD, g.Full, g.PerInch)
	// Output: 398 ± 5 gal of 1400; one more inch is 17.2 gal
}
