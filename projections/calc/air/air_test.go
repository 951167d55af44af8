package air

import (
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
	"tankside/projections/calc/published"
)

// parts reads a mixture from the lists of a row.
func parts(r published.Row, name string) (out []Part) {
	second := r.List(name)
	for i, x := range r.List("x") {
		out = append(out, Part{Share: x, Factor: second[i], Limit: second[i]})
	}
	return out
}

// factor is the one factor of a row, which the table gives without bounds.
func factor(r published.Row) float64 {
	f, ok := FactorFor(r.Text("met"), r.Text("cal"))
	if !ok || f.Low != f.High {
		return math.NaN()
	}
	return f.Low
}

func gas(r published.Row) Gas {
	g, ok := GasNamed(r.Text("gas"))
	if !ok {
		return Gas{LEL: quantity.Percent(math.NaN())}
	}
	return g
}

var checks = map[string]func(published.Row) []float64{
	"corrected": func(r published.Row) []float64 {
		f := 0.0
		if f = r.Or("factor", 0); f == 0 {
			f = factor(r)
		}
		v, err := Corrected(quantity.PercentLEL(r.Num("shown")), f)
		return []float64{r.Ok(float64(v), err)}
	},
	"factor": func(r published.Row) []float64 { return []float64{factor(r)} },
	"there and back": func(r published.Row) []float64 {
		a, _ := FactorFor(r.Text("met"), r.Text("cal"))
		b, _ := FactorFor(r.Text("cal"), r.Text("met"))
		return []float64{a.Mid() * b.Mid()}
	},
	"bracket": func(r published.Row) []float64 {
		f, _ := FactorFor(r.Text("met"), r.Text("cal"))
		return []float64{f.Low, f.High}
	},
	"pid":         func(r published.Row) []float64 { return []float64{r.Num("shown") * r.Num("factor")} },
	"pid of gas":  func(r published.Row) []float64 { return []float64{r.Num("shown") * gas(r).PID} },
	"mixture":     func(r published.Row) []float64 { return []float64{r.Ok(MixtureFactor(parts(r, "cf")))} },
	"mix limit":   func(r published.Row) []float64 { return []float64{r.Ok(MixtureLimit(parts(r, "tlv")))} },
	"mix reading": mixReading,
	"lel":         func(r published.Row) []float64 { return []float64{float64(gas(r).LEL)} },
	"lel to ppm": func(r published.Row) []float64 {
		return []float64{float64(LELPPM(quantity.PercentLEL(r.Num("share")), gas(r).LEL))}
	},
	"ppm to lel": func(r published.Row) []float64 {
		return []float64{float64(PPMLEL(quantity.PPM(r.Num("ppm")), gas(r).LEL))}
	},
	"weight": func(r published.Row) []float64 {
		return []float64{Weight(quantity.PPM(r.Num("ppm")), gas(r).Mole)}
	},
	"oxygen": func(r published.Row) (out []float64) {
		for _, v := range r.List("o2") {
			out = append(out, yes(Oxygen(quantity.Percent(v))))
		}
		return out
	},
	"flammable": func(r published.Row) (out []float64) {
		for _, v := range r.List("share") {
			out = append(out, yes(Flammable(quantity.PercentLEL(v))))
		}
		return out
	},
}

// mixReading is the reading at which a mixture is at its limit, and its parts then.
func mixReading(r published.Row) []float64 {
	cf := r.Ok(MixtureFactor(parts(r, "cf")))
	limit := r.Ok(MixtureLimit(parts(r, "tlv")))
	out := []float64{limit / cf}
	for _, x := range r.List("x") {
		out = append(out, limit*x)
	}
	return out
}

func yes(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

func TestPublished(t *testing.T) { published.Hold(t, os.ReadFile, "air.csv", 30, checks) }

// TestReciprocal: a factor and its inverse, one gas as the other, agree as the
// catalogue rounds them.
func TestReciprocal(t *testing.T) {
	for _, a := range calibrations {
		for _, b := range calibrations {
			x, ok := FactorFor(a, b)
			y, back := FactorFor(b, a)
			if !ok || !back {
				continue // propane has a column but no row
			}
			if p := x.Mid() * y.Mid(); math.Abs(p-1) > 0.02 {
				t.Errorf("%s on %s times %s on %s = %g, want 1 ± 0.02", a, b, b, a, p)
			}
		}
	}
}

func TestFactorFor(t *testing.T) {
	for _, tt := range []struct {
		met, calibrated string
		low, high       float64
		ok              bool
	}{
		{"pentane", "pentane 50 % LEL", 1, 1, true},
		{"n-hexane", "Methane", 2.86, 2.86, true},
		{"xylenes", "methane", 2.5, 2.5, true},
		{"gasoline", "methane", 1.6, 2.6, true},
		{"gasoline", "propane", 0, 0, false}, // no such row in print
		{"diesel", "methane", 0, 0, false},
		{"pentane", "isobutylene", 0, 0, false},
	} {
		f, ok := FactorFor(tt.met, tt.calibrated)
		if f.Low != tt.low || f.High != tt.high || ok != tt.ok {
			t.Errorf("%s on %s: %g to %g, %t; want %g to %g, %t", tt.met, tt.calibrated, f.Low, f.High, ok, tt.low, tt.high, tt.ok)
		}
	}
}

func TestRefuses(t *testing.T) {
	for name, err := range map[string]error{
		"no factor":       fault(Corrected(10, 0)),
		"a factor of NaN": fault(Corrected(10, math.NaN())),
		"shares of 0.9":   fault(MixtureFactor([]Part{{Share: 0.9, Factor: 1}})),
		"a part without":  fault(MixtureLimit([]Part{{Share: 1}})),
	} {
		if err == nil {
			t.Errorf("%s was taken", name)
		}
	}
}

func fault[T any](_ T, err error) error { return err }

// What is turned into another unit comes back; a mixture's factor lies between those
// of its parts.
func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ppm := quantity.PPM(rapid.Float64Range(0, 1e5).Draw(t, "ppm"))
		g := rapid.SampledFrom(Gases).Draw(t, "gas")
		if back := LELPPM(PPMLEL(ppm, g.LEL), g.LEL); math.Abs(float64(back-ppm)) > 1e-9*float64(ppm)+1e-12 {
			t.Fatalf("%g ppm of %s comes back as %g", ppm, g.Name, back)
		}
		if g.Mole > 0 {
			if back := OfWeight(Weight(ppm, g.Mole), g.Mole); math.Abs(float64(back-ppm)) > 1e-9*float64(ppm)+1e-12 {
				t.Fatalf("%g ppm of %s comes back by weight as %g", ppm, g.Name, back)
			}
		}
		x := rapid.Float64Range(0, 1).Draw(t, "share")
		a, b := rapid.Float64Range(0.1, 10).Draw(t, "a"), rapid.Float64Range(0.1, 10).Draw(t, "b")
		cf, err := MixtureFactor([]Part{{Share: x, Factor: a}, {Share: 1 - x, Factor: b}})
		if err != nil || cf < min(a, b)*(1-1e-9) || cf > max(a, b)*(1+1e-9) {
			t.Fatalf("%g of %g and the rest of %g: %g, %v", x, a, b, cf, err)
		}
	})
}
