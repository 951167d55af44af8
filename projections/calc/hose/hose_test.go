package hose

import (
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
	"tankside/projections/calc/petroleum"
	"tankside/projections/calc/published"
)

func liquid(r published.Row) Liquid {
	for _, l := range Liquids {
		if r.Has("liquid", l.Name) {
			return l
		}
	}
	return Liquid{Density: r.Num("rho"), Viscosity: r.Or("mu", 0.001)}
}

func loss(r published.Row) quantity.PSI {
	p, err := Loss(quantity.GallonsPerMinute(r.Num("gpm")), quantity.Inches(r.Num("d")), quantity.Feet(r.Num("ft")), liquid(r), Smooth)
	r.Ok(0, err)
	return p
}

// flow gives speed, Reynolds number and friction factor.
func flow(r published.Row) []float64 {
	d, l := r.Num("d"), liquid(r)
	v := Velocity(quantity.GallonsPerMinute(r.Num("gpm")), quantity.Inches(d))
	re := l.Density * v * d * inch / l.Viscosity
	return []float64{v, re, Friction(re, Smooth/(d*inch))}
}

var limits = map[string]Charging{"AnyNFPA": AnyNFPA, "Middling": Middling, "Least": Least}

var checks = map[string]func(published.Row) []float64{
	"loss":               func(r published.Row) []float64 { return []float64{float64(loss(r))} },
	"flow":               flow,
	"friction of a flow": func(r published.Row) []float64 { return flow(r)[2:] },
	"head":               func(r published.Row) []float64 { return []float64{float64(Head(loss(r), liquid(r))) * foot} },
	"head of water, m": func(r published.Row) []float64 {
		return []float64{float64(Head(quantity.PSI(r.Num("pa")/psi), Liquid{Density: 1000})) * foot}
	},
	"friction": func(r published.Row) []float64 { return []float64{Friction(r.Num("re"), r.Num("rough"))} },
	"pipe, Pa": func(r published.Row) []float64 {
		d := quantity.Inches(r.Num("d_m") / inch)
		q := FlowAt(r.Num("kg_s")/r.Num("rho")/bore(d), d)
		p, err := Loss(q, d, quantity.Feet(r.Num("m")/foot), liquid(r), 0)
		return []float64{r.Ok(float64(p), err) * psi}
	},
	"lift": func(r published.Row) []float64 {
		a, b := petroleum.GasolineVapour(r.Num("rvp"))
		vapour := quantity.PSI(petroleum.Vapour(a, b, quantity.Fahrenheit(r.Num("f"))))
		return []float64{foot * float64(Lift(Air(0), vapour, liquid(r), quantity.Feet(r.Num("friction_m")/foot), quantity.Feet(r.Num("need_ft"))))}
	},
	"npsh, ft": func(r published.Row) []float64 { // what is static lifts: a height of less than nothing
		water := Liquid{Density: 999.016 * r.Num("sg")}
		return []float64{r.Num("static_ft") + float64(Lift(quantity.PSI(r.Num("air")), quantity.PSI(r.Num("vapour")), water, quantity.Feet(r.Num("loss_ft")), 0))}
	},
	"air":   func(r published.Row) []float64 { return []float64{float64(Air(quantity.Feet(r.Num("ft")))) * psi} },
	"start": func(r published.Row) []float64 { return []float64{float64(FlowAt(Slow, quantity.Inches(r.Num("d"))))} },
	"fastest": func(r published.Row) []float64 {
		v, q := Fastest(quantity.Inches(r.Num("d")), Charging(r.Num("limit")))
		return []float64{v, float64(q)}
	},
	"limit": func(r published.Row) []float64 { return []float64{float64(limits[r.Text("name")])} },
	"relaxation": func(r published.Row) (out []float64) {
		for _, k := range r.List("ps_m") {
			out = append(out, float64(Relaxation(r.Num("eps"), k)))
		}
		return out
	},
}

func TestPublished(t *testing.T) { published.Hold(t, os.ReadFile, "hose.csv", 42, checks) }

// More flow, a longer or a narrower hose takes more pressure; twice the length twice
// as much.
func TestLossGrows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := quantity.GallonsPerMinute(rapid.Float64Range(30, 300).Draw(t, "gpm"))
		d := quantity.Inches(rapid.Float64Range(1, 4).Draw(t, "d"))
		length := quantity.Feet(rapid.Float64Range(5, 300).Draw(t, "ft"))
		l := rapid.SampledFrom(Liquids).Draw(t, "liquid")
		loss := func(q quantity.GallonsPerMinute, d quantity.Inches, length quantity.Feet) float64 {
			p, err := Loss(q, d, length, l, Smooth)
			if err != nil {
				t.Fatal(err)
			}
			return float64(p)
		}
		p := loss(q, d, length)
		if !(p > 0 && loss(q*1.1, d, length) > p && loss(q, d*0.9, length) > p) {
			t.Fatalf("%g gpm, %g in, %g ft: %g psi is not less than with more flow or less bore", q, d, length, p)
		}
		if twice := loss(q, d, length*2); math.Abs(twice-2*p) > 1e-9*p {
			t.Fatalf("twice the length takes %g psi, want %g", twice, 2*p)
		}
		v, most := Fastest(d, Least)
		if v > 7 || v*float64(d)*inch > 0.25+1e-12 || math.Abs(Velocity(most, d)-v) > 1e-12 {
			t.Fatalf("%g in may run at %g m/s, %g gpm", d, v, most)
		}
	})
}

func TestLossRefusals(t *testing.T) {
	nan := math.NaN()
	for name, loss := range map[string]func() (quantity.PSI, error){
		"no diameter":  func() (quantity.PSI, error) { return Loss(100, 0, 100, Liquids[0], Smooth) },
		"no density":   func() (quantity.PSI, error) { return Loss(100, 2, 100, Liquid{}, Smooth) },
		"flow NaN":     func() (quantity.PSI, error) { return Loss(quantity.GallonsPerMinute(nan), 2, 100, Liquids[0], Smooth) },
		"length NaN":   func() (quantity.PSI, error) { return Loss(100, 2, quantity.Feet(nan), Liquids[0], Smooth) },
		"backward":     func() (quantity.PSI, error) { return Loss(-1, 2, 100, Liquids[0], Smooth) },
		"rough as NaN": func() (quantity.PSI, error) { return Loss(1, 2, 100, Liquids[0], nan) },
	} {
		if p, err := loss(); err == nil {
			t.Errorf("%s: %g psi, want an error", name, p)
		}
	}
	if p, err := Loss(0, 2, 100, Liquids[0], Smooth); p != 0 || err != nil {
		t.Errorf("no flow takes %g psi, %v", p, err)
	}
}
