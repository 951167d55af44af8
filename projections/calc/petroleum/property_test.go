package petroleum

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
)

// anyProduct draws a group, a gravity in its range and a temperature.
func anyProduct(t *rapid.T) (Group, quantity.APIGravity, quantity.Fahrenheit) {
	group := rapid.SampledFrom([]Group{Refined, Crude, Lubricant}).Draw(t, "group")
	g := rapid.Float64Range(-9, map[Group]float64{Refined: 99, Crude: 99, Lubricant: 44}[group]).Draw(t, "api")
	return group, quantity.APIGravity(g), quantity.Fahrenheit(rapid.Float64Range(-50, 150).Draw(t, "f"))
}

// The editions agree to 2e-4 wherever they hold: very light products at −50 °F are
// the worst, and what is carried on the road is within 2e-5 (row V22).
func TestEditionsAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		group, g, f := anyProduct(t)
		short, err := VCF(group, g, f)
		full, err2 := CTL(group, Density(g), f)
		if err != nil || err2 != nil || math.Abs(short-full) > 2e-4 {
			t.Fatalf("%v %g API at %g F: %.6f, %v by the short form, %.6f, %v by the full", group, g, f, short, err, full, err2)
		}
	})
}

// Warmer liquid takes more room, by both forms.
func TestWarmerIsLarger(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		group, g, f := anyProduct(t)
		warmer := f + quantity.Fahrenheit(rapid.Float64Range(0.1, 50).Draw(t, "warmer"))
		a, _ := VCF(group, g, f)
		b, _ := VCF(group, g, warmer)
		c, _ := CTL(group, Density(g), f)
		d, _ := CTL(group, Density(g), warmer)
		if !(b < a && d < c) {
			t.Fatalf("%v %g API: %g and %g F give %g and %g, %g and %g", group, g, f, warmer, a, b, c, d)
		}
	})
}

// A gravity worked out from a reading at t is the one that reads so at t. Where two
// groups meet the answer may lie on the step, which is below 5e-4 of the density.
func TestReadingComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		group, g, f := anyProduct(t)
		vcf, _ := VCF(group, g, f)
		reading := Gravity(Density(g) * vcf)
		got, err := GravityAt60(group, reading, f, false)
		if err != nil {
			t.Skip("a reading whose answer lies on the edge of the tables")
		}
		if math.Abs(Density(got)/Density(g)-1) > 5e-4 {
			t.Fatalf("%v %g API reads %g at %g F, which gives %g", group, g, reading, f, got)
		}
		if at60, err := GravityAt60(group, g, 60, true); err != nil || math.Abs(float64(at60-g)) > 1e-9 {
			t.Fatalf("%g API read at 60 F gives %g, %v", g, at60, err)
		}
	})
}

func TestGravityAndDensity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, g, _ := anyProduct(t)
		if back := Gravity(Density(g)); math.Abs(float64(back-g)) > 1e-9 {
			t.Fatalf("%g API came back as %g", g, back)
		}
	})
}

func TestRefusals(t *testing.T) {
	nan := quantity.Fahrenheit(math.NaN())
	for name, call := range map[string]func() error{
		"300 F":       func() error { _, err := CTL(Refined, 740, 300); return err },
		"NaN":         func() error { _, err := CTL(Refined, 740, nan); return err },
		"500.0 kg/m3": func() error { _, err := CTL(Refined, 500, 60); return err },
		"NaN kg/m3":   func() error { _, err := VCF15(Refined, math.NaN(), 60); return err },
		"-81 F":       func() error { _, err := VCF15(Refined, 740, -81); return err },
		"200 API":     func() error { _, err := GravityAt60(Refined, 200, 80, true); return err },
		"-30 API":     func() error { _, err := GravityAt60(Refined, -30, 80, true); return err },
		"NaN F":       func() error { _, err := GravityAt60(Refined, 60, nan, true); return err },
	} {
		if err := call(); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: error %v does not name it", name, err)
		}
	}
}

// The doubt of a factor is nothing at 60 °F and grows away from it; that of E10 is
// the greater one also by the tables.
func TestDoubtOfFactor(t *testing.T) {
	for _, p := range defaults {
		if u := p.VCFU(p.API, 60); u != 0 {
			t.Errorf("%s: doubt %g at 60 F, want 0", p.Name, u)
		}
		if p.AlphaU == 0 || !(p.VCFU(0, 90) > p.VCFU(0, 70)) {
			t.Errorf("%s: the doubt does not grow with the distance from 60 F", p.Name)
		}
	}
	e10, _ := defaults.Find("E10")
	gasoline, _ := defaults.Find("gasoline")
	if got := e10.VCFU(58.5, 70) * 8500; math.Abs(got-4.25) > 1e-9 {
		t.Errorf("8,500 gal of E10 ten degrees off are in doubt by %g gal, want 4.25 by hand", got)
	}
	if got := gasoline.VCFU(60, 100); math.Abs(got-2.4e-4) > 1e-12 {
		t.Errorf("gasoline at 100 F by the tables: doubt %g, want 2.4e-4", got)
	}
}

// A product with no figures has no vapour pressure that could pass for none.
func TestVapourIsABand(t *testing.T) {
	for _, p := range defaults {
		low, high := p.Vapour(60)
		if p.VapourWeight > 0 != (low > 0) || low > high {
			t.Errorf("%s: vapour pressure %g to %g psia", p.Name, low, high)
		}
	}
}
