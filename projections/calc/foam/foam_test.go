package foam

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

func need(r published.Row) Need {
	n, err := Required(quantity.SquareFeet(r.Num("ft2")), r.Num("rate"), quantity.Minutes(r.Or("min", 15)), quantity.Percent(r.Num("mix")))
	r.Ok(0, err)
	return n
}

func named(r published.Row) Foam {
	f, ok := Named(r.Text("foam"))
	if !ok {
		return Foam{}
	}
	return f
}

var checks = map[string]func(published.Row) []float64{
	"need": func(r published.Row) []float64 {
		n := need(r)
		return []float64{float64(n.Flow), float64(n.ConcentrateFlow), float64(n.Solution), float64(n.Concentrate), float64(n.Water)}
	},
	"water": func(r published.Row) []float64 { return []float64{float64(need(r).Water)} },
	"dilution": func(r published.Row) (out []float64) {
		for _, mix := range r.List("mix") {
			d, err := Dilution(quantity.Percent(mix))
			out = append(out, r.Ok(d, err))
		}
		return out
	},
	"solution": func(r published.Row) []float64 {
		d, err := Dilution(quantity.Percent(r.Num("mix")))
		return []float64{r.Ok(d, err) * r.Num("gal")}
	},
	"metric": func(r published.Row) []float64 { return []float64{Rate{Flow: r.Num("rate")}.SquareMetre()} },
	"lasts": func(r published.Row) (out []float64) {
		for _, mix := range r.List("mix") {
			m, err := Lasts(quantity.Gallons(r.Num("gal")), quantity.GallonsPerMinute(r.Num("gpm")), quantity.Percent(mix))
			out = append(out, r.Ok(float64(m), err))
		}
		return out
	},
	"covers": func(r published.Row) (out []float64) {
		for _, rate := range r.List("rate") {
			out = append(out, float64(Covers(quantity.GallonsPerMinute(r.Num("gpm")), rate)))
		}
		return out
	},
	"blanket": func(r published.Row) []float64 {
		foam, solution, err := Blanket(quantity.SquareFeet(r.Num("ft2")), quantity.Inches(r.Num("in")), r.Num("expansion"))
		r.Ok(0, err)
		concentrate := float64(solution) * r.Num("mix") / 100
		return []float64{float64(foam), float64(solution), concentrate}
	},
	"rate": func(r published.Row) []float64 {
		fuel := Fuel(r.Text("fuel"))
		rate, err := named(r).On(fuel)
		r.Ok(0, err)
		return []float64{rate.Flow, float64(rate.Minutes)}
	},
}

func TestPublished(t *testing.T) { published.Hold(t, os.ReadFile, "foam.csv", 28, checks) }

// A foam that does not resist alcohol has no rate on a fuel with more than 10 % of it,
// and says what to take.
func TestAlcohol(t *testing.T) {
	for _, tc := range []struct {
		foam    string
		alcohol quantity.Percent
		fits    bool
	}{
		{"AFFF 3 %", 10, true},
		{"AFFF 3 %", 10.1, false},
		{"protein", 85, false},
		{"AR-AFFF 3x6", 85, true},
		{"SFFF", 85, false},
		{"AR-SFFF", 85, true},
	} {
		f, ok := Named(tc.foam)
		if !ok {
			t.Fatalf("%q is no foam", tc.foam)
		}
		_, err := f.On(OfBlend(tc.alcohol))
		if (err == nil) != tc.fits || f.AlcoholResistant && err != nil {
			t.Errorf("%s on %g %% alcohol: error %v, want it to fit: %v", tc.foam, tc.alcohol, err, tc.fits)
		}
		if err != nil && !strings.Contains(err.Error(), "take an AR foam") {
			t.Errorf("%s: %v has no way out", tc.foam, err)
		}
	}
}

// Every foam is found by its own name, and by no other's first.
func TestNames(t *testing.T) {
	for i, name := range Names() {
		f, ok := Named(name)
		if !ok || f.Name != name {
			t.Errorf("%s is found as %q", name, f.Name)
		}
		for _, w := range Foams[i].Words {
			if f, _ := Named("drum of " + strings.ToUpper(w) + " 3 %"); f.Name != name {
				t.Errorf("%q of %s is found as %q", w, name, f.Name)
			}
		}
	}
	for _, words := range []string{"", "soap", "wetting agent"} {
		if f, ok := Named(words); ok {
			t.Errorf("%q is found as %s", words, f.Name)
		}
	}
}

// Concentrate and water make up the solution, what is on hand lasts as long as it was
// reckoned for, and twice the area takes twice of all.
func TestNeedAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		area := quantity.SquareFeet(rapid.Float64Range(10, 1e5).Draw(t, "ft2"))
		rate := rapid.Float64Range(0.05, 0.5).Draw(t, "rate")
		minutes := quantity.Minutes(rapid.Float64Range(1, 60).Draw(t, "min"))
		mix := quantity.Percent(rapid.Float64Range(0.5, 10).Draw(t, "mix"))
		n, err := Required(area, rate, minutes, mix)
		if err != nil {
			t.Fatal(err)
		}
		near := func(what string, got, want float64) {
			if math.Abs(got-want) > 1e-6*math.Abs(want) {
				t.Errorf("%s = %g, want %g", what, got, want)
			}
		}
		near("concentrate and water", float64(n.Concentrate+n.Water), float64(n.Solution))
		lasts, err := Lasts(n.Concentrate, n.Flow, mix)
		near("concentrate lasts", float64(lasts), float64(minutes))
		if err != nil {
			t.Fatal(err)
		}
		lasts, err = LastsWater(n.Water, n.Flow, mix)
		near("water lasts", float64(lasts), float64(minutes))
		if err != nil {
			t.Fatal(err)
		}
		near("area covered", float64(Covers(n.Flow, rate)), float64(area))
		twice, err := Required(2*area, rate, minutes, mix)
		near("twice the area", float64(twice.Concentrate), 2*float64(n.Concentrate))
		if err != nil {
			t.Fatal(err)
		}
	})
}

func TestRefusals(t *testing.T) {
	nan := math.NaN()
	fail := func(v any, err error) error { return err }
	for name, err := range map[string]error{
		"no area":            fail(Required(0, 0.1, 15, 3)),
		"area NaN":           fail(Required(quantity.SquareFeet(nan), 0.1, 15, 3)),
		"endless area":       fail(Required(quantity.SquareFeet(math.Inf(1)), 0.1, 15, 3)),
		"no minutes":         fail(Required(100, 0.1, 0, 3)),
		"no mix":             fail(Required(100, 0.1, 15, 0)),
		"all concentrate":    fail(Required(100, 0.1, 15, 100)),
		"mix NaN":            fail(Dilution(quantity.Percent(nan))),
		"no flow":            fail(Lasts(10, 0, 3)),
		"less than nothing":  fail(Lasts(-1, 95, 3)),
		"water of no flow":   fail(LastsWater(10, 0, 3)),
		"blanket of no foam": func() error { _, _, err := Blanket(100, 4, 0.5); return err }(),
	} {
		if err == nil || !strings.Contains(err.Error(), "want ") {
			t.Errorf("%s: error %v, want one that says what is wanted", name, err)
		}
	}
	if m, err := Lasts(0, 95, 3); m != 0 || err != nil {
		t.Errorf("nothing on hand lasts %g min, %v", m, err)
	}
}

func TestExpansionClass(t *testing.T) {
	var got []string
	for _, e := range []Expansion{8, 20, 20.1, 200, 201} {
		got = append(got, e.Class())
	}
	if want := []string{"low", "low", "medium", "medium", "high"}; !slices.Equal(got, want) {
		t.Errorf("classes %v, want %v", got, want)
	}
}

func TestAlcoholOf(t *testing.T) {
	for product, want := range map[string]quantity.Percent{
		"E10": 10, "e85": 85, "E100": 100, "fuel ethanol": 100, "UN3475": 85, "UN 1987": 100, "diesel": 0, "No. 2 heating oil": 0,
		"gasoline": -1, "": -1, "E": -1, "E999": -1, "UN1203": -1, "premium e0": 0,
	} {
		got, ok := AlcoholOf(product)
		if ok != (want >= 0) || ok && got != want {
			t.Errorf("%q has %g %%, %v; want %g", product, got, ok, want)
		}
	}
}

func TestUsualMix(t *testing.T) {
	for _, tc := range []struct {
		drum string
		fuel Fuel
		want quantity.Percent
	}{{"AR-AFFF 3x6", Polar, 6}, {"AR-AFFF 3X6", Hydrocarbon, 3}, {"AR-AFFF 3x3", Polar, 3}, {"", Polar, 3}} {
		if got := UsualMix(tc.drum, tc.fuel); got != tc.want {
			t.Errorf("%q on %s is mixed at %g %%, want %g", tc.drum, tc.fuel, got, tc.want)
		}
	}
}
