package ground

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
	"tankside/projections/calc/published"
)

// rod is the rod of a row, in feet and inches or in metres.
func rod(r published.Row) Rod {
	return Rod{
		Length:   quantity.Feet(r.Or("ft", r.Or("m", 0)/foot)),
		Diameter: quantity.Inches(r.Or("in", r.Or("d_m", 0)/inch)),
	}
}

func soilOf(r published.Row) OhmMetres { return OhmMetres(r.Num("rho")) }

func single(r published.Row) float64 {
	ohms, err := rod(r).Resistance(soilOf(r))
	return r.Ok(float64(ohms), err)
}

func two(r published.Row, lengths float64) float64 {
	d := rod(r)
	ohms, err := d.Two(soilOf(r), d.Length*quantity.Feet(lengths))
	return r.Ok(float64(ohms), err)
}

func wenner(r published.Row) float64 {
	rho, err := WennerDeep(quantity.Feet(r.Or("ft", r.Or("cm", 0)/100/foot)), quantity.Feet(r.Or("deep_ft", 0)), quantity.Ohms(r.Or("ohm", 1)))
	return r.Ok(float64(rho), err)
}

var curves = map[string]Curve{"top soil": TopSoil, "sandy loam": SandyLoam, "salt": Salted, "frost": Frost, "salted frost": SaltedFrost}

var checks = map[string]func(published.Row) []float64{
	"rod": func(r published.Row) []float64 { return []float64{single(r)} },
	"two rods": func(r published.Row) (out []float64) {
		for _, lengths := range r.List("lengths") {
			out = append(out, two(r, lengths))
		}
		return out
	},
	"two rods, ft": func(r published.Row) (out []float64) {
		for _, apart := range r.List("apart") {
			ohms, err := rod(r).Two(soilOf(r), quantity.Feet(apart))
			out = append(out, r.Ok(float64(ohms), err))
		}
		return out
	},
	"half of one": func(r published.Row) []float64 { return []float64{two(r, r.Num("lengths")) / single(r)} },
	"factor": func(r published.Row) []float64 {
		return []float64{float64(Together(quantity.Ohms(r.Num("ohm")), int(r.Num("n")), r.Num("factor")))}
	},
	"rods": func(r published.Row) (out []float64) {
		for _, n := range r.List("n") {
			ohms, err := Many(quantity.Ohms(r.Num("ohm")), int(n))
			out = append(out, r.Ok(float64(ohms), err))
		}
		return out
	},
	"factors": func(r published.Row) (out []float64) {
		for _, n := range r.List("n") {
			f, err := FactorOf(int(n))
			out = append(out, r.Ok(f, err))
		}
		return out
	},
	"longer, thicker": func(r published.Row) []float64 {
		d, one := rod(r), single(r)
		long, err := Rod{2 * d.Length, d.Diameter}.Resistance(soilOf(r))
		r.Ok(0, err)
		thick, err := Rod{d.Length, 2 * d.Diameter}.Resistance(soilOf(r))
		r.Ok(0, err)
		return []float64{float64(long) / one, float64(thick) / one}
	},
	"soil": func(r published.Row) []float64 {
		rho, err := rod(r).Soil(quantity.Ohms(r.Num("ohm")))
		return []float64{r.Ok(float64(rho), err)}
	},
	"wenner":          func(r published.Row) []float64 { return []float64{wenner(r)} },
	"wenner, ohm-cm":  func(r published.Row) []float64 { return []float64{100 * wenner(r)} },
	"inner":           func(published.Row) []float64 { return []float64{Inner} },
	"inner of a line": func(r published.Row) []float64 { return []float64{Inner * r.Num("ft")} },
	"fall": func(r published.Row) (out []float64) {
		for _, p := range r.List("p") {
			_, off, err := FallOfPotential(soilOf(r), quantity.Feet(r.Num("r_m")/foot), quantity.Feet(r.Num("d_m")/foot), p)
			out = append(out, 100*r.Ok(off, err))
		}
		return out
	},
	"falls": func(r published.Row) (out []float64) {
		for _, to := range r.List("to") {
			f, err := curves[r.Text("curve")].Falls(r.Num("from"), to)
			out = append(out, r.Ok(f, err))
		}
		return out
	},
	"printed soil": func(r published.Row) []float64 {
		s, ok := SoilNamed(r.Text("words"))
		if !ok {
			return nil
		}
		return []float64{100 * float64(s.Low), 100 * float64(s.Typical), 100 * float64(s.High)}
	},
	"spark": func(r published.Row) []float64 {
		u, err := Spark(r.Num("mj")/1000, Farads(r.Num("pf")*1e-12))
		return []float64{r.Ok(u, err)}
	},
	"drains": func(r published.Row) []float64 {
		return []float64{float64(Drains(quantity.Ohms(r.Num("ohm")), TankTruck))}
	},
	"standing": func(r published.Row) []float64 {
		return []float64{Standing(ChargingCurrent, quantity.Ohms(r.Num("ohm")))}
	},
	"limits": func(published.Row) []float64 {
		return []float64{float64(Static.Ohms), float64(Bond.Ohms), float64(Target.Ohms)}
	},
}

func TestPublished(t *testing.T) { published.Hold(t, os.ReadFile, "ground.csv", 45, checks) }

var rods = rapid.Custom(func(t *rapid.T) Rod {
	return Rod{quantity.Feet(rapid.Float64Range(2, 40).Draw(t, "ft")), quantity.Inches(rapid.Float64Range(0.4, 1.5).Draw(t, "in"))}
})

// ohms works a resistance out that must not fail.
func ohms(t *rapid.T, r quantity.Ohms, err error) float64 {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return float64(r)
}

// Longer and thicker rods read less; two read between half of one and one, the less
// the farther apart; the two forms meet at one length within what their cut costs.
func TestRodsFall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rods.Draw(t, "rod")
		rho := OhmMetres(rapid.Float64Range(1, 1e4).Draw(t, "rho"))
		of := func(r Rod) float64 { v, err := r.Resistance(rho); return ohms(t, v, err) }
		at := func(lengths float64) float64 {
			v, err := r.Two(rho, r.Length*quantity.Feet(lengths))
			return ohms(t, v, err)
		}
		one := of(r)
		if longer, thicker := of(Rod{r.Length * 1.2, r.Diameter}), of(Rod{r.Length, r.Diameter * 1.2}); longer >= one || thicker >= one {
			t.Fatalf("one rod %g, longer %g, thicker %g ohm", one, longer, thicker)
		}
		last := one
		for _, lengths := range []float64{0.1, 0.3, 0.6, 0.9, 1.1, 2, 5, 50} {
			v := at(lengths)
			if step := lengths == 1.1; v <= one/2 || v >= last*1.05 || !step && v >= last {
				t.Fatalf("two rods %g lengths apart read %g ohm, before it %g; one %g", lengths, v, last, one)
			}
			last = v
		}
		if near, far := at(0.999999), at(1.000001); math.Abs(near-far) > 0.05*far {
			t.Fatalf("at one length the forms give %g and %g ohm", near, far)
		}
		rho2, err := r.SoilOfTwo(quantity.Ohms(at(2)), r.Length*2)
		if err != nil || math.Abs(float64(rho2/rho)-1) > 1e-6 {
			t.Fatalf("soil back from two rods %g, %v, want %g", rho2, err, rho)
		}
	})
}

// The rods that are needed are enough, and one fewer is not.
func TestNeeded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		one := quantity.Ohms(rapid.Float64Range(0.5, 1000).Draw(t, "one"))
		limit := quantity.Ohms(rapid.Float64Range(0.5, 100).Draw(t, "limit"))
		n, with, err := Needed(one, limit)
		if err != nil {
			if most, _ := Many(one, Most); most <= limit || !strings.Contains(err.Error(), "another place") {
				t.Fatalf("%v, and %d rods come to %g of %g ohm", err, Most, most, limit)
			}
			return
		}
		if with > limit {
			t.Fatalf("%d rods of %g ohm come to %g, over %g", n, one, with, limit)
		}
		if n > 1 {
			if fewer, _ := Many(one, n-1); fewer <= limit {
				t.Fatalf("%d rods are said to be needed, and %d come to %g of %g ohm", n, n-1, fewer, limit)
			}
		}
	})
}

// More rods never read more, up to the last published factor.
func TestManyFalls(t *testing.T) {
	last := quantity.Ohms(math.Inf(1))
	for n := 1; n <= Most; n++ {
		ohms, err := Many(100, n)
		if err != nil || ohms >= last {
			t.Errorf("%d rods read %g ohm, %v; one fewer %g", n, ohms, err, last)
		}
		last = ohms
	}
}

// The scene of the second rod: 38 ohm with one, 14 with two.
func TestSoilOfTheScene(t *testing.T) {
	one, err := Rod{5, UsualDiameter}.Soil(38)
	if err != nil || math.Abs(float64(one)-64.47) > 0.01 {
		t.Errorf("one rod speaks for %g ohm-m, %v, want 64.47", one, err)
	}
	n, with, err := Needed(38, 25)
	if err != nil || n != 2 || math.Abs(float64(with)-22.04) > 0.001 {
		t.Errorf("38 ohm wants %d rods and comes to %g ohm, %v; want 2 and 22.04", n, with, err)
	}
	if n, _, err := Needed(240, 25); err != nil || n != 20 {
		t.Errorf("240 ohm wants %d rods, %v; want 20", n, err)
	}
}

func TestPlateau(t *testing.T) {
	for _, tc := range []struct {
		a, b, c quantity.Ohms
		holds   bool
	}{
		{24.2, 25, 25.4, true},
		{95, 100, 100, true}, // 5 % is within
		{94.9, 100, 100, false},
		{20, 25, 33, false},
	} {
		p, err := PlateauOf(tc.a, tc.b, tc.c)
		if err != nil || p.Holds != tc.holds || p.Ohms != tc.b {
			t.Errorf("%g %g %g: %+v, %v; want it to hold: %v", tc.a, tc.b, tc.c, p, err, tc.holds)
		}
	}
}

// A rod's hemisphere has the rod's resistance.
func TestHemisphere(t *testing.T) {
	r := Rod{8, 0.625}
	radius, err := r.Hemisphere()
	if err != nil {
		t.Fatal(err)
	}
	want, err := r.Resistance(100)
	if got := 100 / (2 * math.Pi * float64(radius) * foot); err != nil || math.Abs(got-float64(want)) > 1e-9 {
		t.Errorf("hemisphere of %g ft has %g ohm, the rod %g, %v", radius, got, want, err)
	}
}

func TestSoilWords(t *testing.T) {
	for words, want := range map[string]string{
		"gravel": "gravel, sand, stones, little clay", "Clay with sand": "clay or loam with sand and gravel",
		"loam": "clay, shale, gumbo, loam", "top soil": "surface loam", "peat": "",
	} {
		if s, ok := SoilNamed(words); s.Name != want || ok != (want != "") {
			t.Errorf("%q is %q, want %q", words, s.Name, want)
		}
	}
	for _, s := range Soils {
		if !(s.Low > 0 && s.Low < s.High) || s.Typical != 0 && (s.Typical < s.Low || s.Typical > s.High) || s.Source == "" || s.Status == "" {
			t.Errorf("%+v is out of order", s)
		}
	}
	for _, c := range curves {
		if !slices.IsSortedFunc(c.Points, func(a, b Point) int { return int(math.Copysign(1, a.X-b.X)) }) || c.Source == "" || c.Status == "" {
			t.Errorf("%+v is out of order", c)
		}
	}
}

func TestRefusals(t *testing.T) {
	nan := math.NaN()
	fail := func(_ any, err error) error { return err }
	r := Rod{8, 0.625}
	for name, err := range map[string]error{
		"no length":         fail(Rod{0, 0.625}.Resistance(100)),
		"soil NaN":          fail(r.Resistance(OhmMetres(nan))),
		"endless soil":      fail(r.Resistance(OhmMetres(math.Inf(1)))),
		"a plate":           fail(Rod{0.1, 24}.Resistance(100)),
		"rods in one hole":  fail(r.Two(100, 0)),
		"apart NaN":         fail(r.Two(100, quantity.Feet(nan))),
		"no reading":        fail(r.Soil(0)),
		"reading of two":    fail(r.SoilOfTwo(quantity.Ohms(nan), 8)),
		"no rods":           fail(FactorOf(0)),
		"too many rods":     fail(Many(10, 25)),
		"soil of 25":        fail(r.SoilOfMany(10, 25)),
		"wenner of nothing": fail(Wenner(0, 5)),
		"pins upward":       fail(WennerDeep(10, -1, 5)),
		"probe inside":      func() error { _, _, err := FallOfPotential(100, 1, 100, 0.005); return err }(),
		"probe beyond":      func() error { _, _, err := FallOfPotential(100, 1, 100, 1); return err }(),
		"no plateau":        fail(PlateauOf(0, 1, 1)),
		"beyond a curve":    fail(Frost.At(-40)),
		"from beyond it":    fail(TopSoil.Falls(0, 10)),
		"spark off nothing": fail(Spark(1, 0)),
		"no limit":          func() error { _, _, err := Needed(10, 0); return err }(),
	} {
		if err == nil || !strings.HasPrefix(err.Error(), "ground: ") {
			t.Errorf("%s: error %v, want one", name, err)
		}
	}
}
