package loss

import (
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
	"tankside/projections/calc/published"
	"tankside/projections/calc/tank"
)

func in(metres float64) quantity.Inches { return quantity.Inches(metres / inch) }

// level is a hole in a tank with upright walls, of a plan area in m².
func level(r published.Row) Leak {
	gallons := quantity.Gallons(r.Num("plan_m2") * inch / gallon)
	return Leak{Diameter: quantity.Inches(r.Num("hole")), Edge: edge(r), PerInch: func(quantity.Inches) quantity.Gallons { return gallons }}
}

func edge(r published.Row) Edge { c := r.Num("c"); return Edge{"", c, c, c} }

// cylinder is a hole at the bottom of a lying cylinder.
func cylinder(r published.Row) Leak {
	s, err := tank.Circle(in(r.Num("d_m")))
	r.Ok(0, err)
	l, err := tank.Tank{Section: s, Length: in(r.Num("l_m"))}.Lying(tank.Lie{})
	r.Ok(0, err)
	return Leak{Diameter: quantity.Inches(r.Num("hole")), Edge: edge(r), PerInch: func(head quantity.Inches) quantity.Gallons {
		per, err := l.PerInch(tank.Dip{Depth: head})
		return quantity.Gallons(r.Ok(float64(per), err))
	}}
}

func seconds(r published.Row, l Leak) []float64 {
	t, err := l.Time(in(r.Num("from_m")), in(r.Num("to_m")))
	return []float64{r.Ok(float64(t.Best), err) * 60}
}

func pool(r published.Row) Pool {
	return Pool{
		Area: quantity.SquareFeet(r.Num("ft2")), Wind: quantity.MPH(r.Num("m_s") / mileHour), Weight: r.Num("mw"),
		Vapour: r.Num("mmhg") / torrPSI, Liquid: quantity.Fahrenheit(r.Num("k")*1.8 - 459.67), PerGallon: 6.2,
	}
}

func fuel(r published.Row) Fuel {
	for _, f := range Fuels {
		if r.Has("fuel", f.Name) {
			return f
		}
	}
	return Fuel{Flux: r.Num("flux"), KBeta: r.Num("kbeta"), Density: 740}
}

var readings = map[string]exchange{"usual": usual, "other": other}

var checks = map[string]func(published.Row) []float64{
	"flow": func(r published.Row) []float64 {
		return []float64{float64(Flow(quantity.Inches(r.Num("hole")), r.Num("c"), in(r.Num("head_m"))))}
	},
	"drain a box":      func(r published.Row) []float64 { return seconds(r, level(r)) },
	"drain a cylinder": func(r published.Row) []float64 { return seconds(r, cylinder(r)) },
	"pool": func(r published.Row) []float64 {
		depth := in(r.Num("mm") / 1000)
		a, err := PoolArea(quantity.Gallons(r.Num("gal")), Ground{"", depth, depth, depth})
		r.Ok(0, err)
		back, err := PoolVolume(a.Best, Ground{"", depth, depth, depth})
		if math.Abs(r.Ok(float64(back.Best), err)-r.Num("gal")) > 1e-9 {
			return nil
		}
		return []float64{squareMetres(a.Best)}
	},
	"pool, ft2": func(r published.Row) []float64 {
		depth := in(r.Num("mm") / 1000)
		a, err := PoolArea(quantity.Gallons(r.Num("gal")), Ground{"", depth, depth, depth})
		return []float64{r.Ok(float64(a.Best), err)}
	},
	"epa":    func(r published.Row) []float64 { return []float64{pool(r).epa()} },
	"mackay": func(r published.Row) []float64 { return []float64{pool(r).mackay(usual, r.Num("sc"))} },
	"transfer": func(r published.Row) []float64 {
		return []float64{readings[r.Text("reading")].velocity(r.Num("m_s"), r.Num("m"), r.Num("sc"))}
	},
	"flux": func(r published.Row) []float64 {
		k := usual.velocity(r.Num("m_s"), r.Num("m"), r.Num("sc"))
		p := Pool{Area: quantity.SquareFeet(math.Pi / 4 * r.Num("m") * r.Num("m") / (foot * foot)), Wind: quantity.MPH(r.Num("m_s") / mileHour), Weight: r.Num("mw"), Vapour: r.Num("pa") / pascalPSI, Liquid: quantity.Fahrenheit(r.Num("k")*1.8 - 459.67)}
		return []float64{k, p.mackay(usual, r.Num("sc")) * pound / 60 / squareMetres(p.Area)}
	},
	"fire":          func(r published.Row) []float64 { return []float64{fuel(r).rate(r.Num("m"))} },
	"fire, figures": func(r published.Row) []float64 { f := fuel(r); return []float64{f.Flux, f.Density, f.KBeta} },
	"fire, kW": func(r published.Row) []float64 {
		area := quantity.SquareFeet(r.Num("ft2"))
		return []float64{fuel(r).rate(across(area)) * squareMetres(area) * r.Num("kj_kg")}
	},
	"fire, seconds": func(r published.Row) []float64 {
		b, err := fuel(r).Burned(quantity.SquareFeet(r.Num("m2")/(foot*foot)), 1)
		return []float64{r.Num("gal") / r.Ok(float64(b.Best), err) * 60}
	},
}

func TestPublished(t *testing.T) {
	published.Hold(t, os.ReadFile, "loss.csv", 36, checks)
}

// drum draws a leak at the bottom of a lying drum and a head in it.
func drum(t *rapid.T) (Leak, quantity.Inches) {
	d := rapid.Float64Range(20, 100).Draw(t, "diameter")
	return Leak{
		Diameter: quantity.Inches(rapid.Float64Range(0.1, 4).Draw(t, "hole")),
		Edge:     rapid.SampledFrom(Edges).Draw(t, "edge"),
		PerInch: func(head quantity.Inches) quantity.Gallons { // 100 in long
			h := min(float64(head), d)
			return quantity.Gallons(2 * math.Sqrt(h*(d-h)) * 100 / 231)
		},
	}, quantity.Inches(d * rapid.Float64Range(0.05, 1).Draw(t, "head"))
}

// A leak lets out more as time goes on, never more than stood above the hole, and
// at first at the rate of Flow.
func TestLostOverTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, head := drum(t)
		empty, err := l.Time(head, 0)
		if err != nil {
			t.Fatal(err)
		}
		all := quantity.Gallons(l.fall(float64(head), 0).gallons[panels])
		a := quantity.Minutes(rapid.Float64Range(0.01, 0.9).Draw(t, "a")) * empty.Best
		early, err := l.Lost(head, a)
		if err != nil {
			t.Fatal(err)
		}
		late, err := l.Lost(head, a*1.05)
		if err != nil {
			t.Fatal(err)
		}
		if !(early.Low <= early.Best && early.Best <= early.High && early.Best < late.Best && late.High <= all*(1+1e-9)) {
			t.Fatalf("%g min: %v; 5 %% later %v; %g gal stood above the hole", a, early, late, all)
		}
		if first := Flow(l.Diameter, l.Edge.Best, head); float64(early.Best) > float64(first)*float64(a)*(1+1e-6) {
			t.Fatalf("%g gal in %g min, more than the %g gpm of the beginning", early.Best, a, first)
		}
		if gone, err := l.Lost(head, empty.High*2); err != nil || math.Abs(float64(gone.Low-all)) > 1e-6*float64(all) {
			t.Fatalf("an empty tank has lost %v of %g gal, %v", gone, all, err)
		}
	})
}

// Time splits: from a to b and from b to c is from a to c.
func TestTimeSplits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l, head := drum(t)
		mid := head * quantity.Inches(rapid.Float64Range(0, 1).Draw(t, "mid"))
		whole, err := l.Time(head, 0)
		first, err1 := l.Time(head, mid)
		second, err2 := l.Time(mid, 0)
		if err != nil || err1 != nil || err2 != nil {
			t.Fatal(err, err1, err2)
		}
		if math.Abs(float64(first.Best+second.Best-whole.Best)) > 1e-6*float64(whole.Best) {
			t.Fatalf("%g min and %g min are not %g min", first.Best, second.Best, whole.Best)
		}
	})
}

// A chart may say that a stretch of depth holds nothing; the fall then skips it.
func TestTankWithAnEmptyStretch(t *testing.T) {
	l := Leak{Diameter: 1, Edge: Edges[0], PerInch: func(head quantity.Inches) quantity.Gallons {
		if head > 4 && head < 9 {
			return 0
		}
		return 10
	}}
	for _, minutes := range []quantity.Minutes{0, 1, 5, 10, 1e6} {
		b, err := l.Lost(16, minutes)
		if err != nil || !(b.Low >= 0 && b.High < 111) || minutes == 0 && b.High != 0 || minutes == 1e6 && math.Abs(float64(b.Best)-110) > 1 {
			t.Errorf("after %g min: %v, %v; 110 gal stood above the hole", minutes, b, err)
		}
	}
}

func TestNoTimeNoLoss(t *testing.T) {
	l := Leak{Diameter: 1, Edge: Edges[0], PerInch: func(head quantity.Inches) quantity.Gallons {
		if head > 4 {
			return 0
		}
		return 10
	}}
	for minutes, least := range map[quantity.Minutes]quantity.Gallons{0: 0, 0.1: 0.5} {
		if b, err := l.Lost(8, minutes); err != nil || !(b.Low >= least && b.High <= least*10) {
			t.Errorf("after %g min: %v, %v", minutes, b, err)
		}
	}
}

// A pool loses more in time, on a wider area, in more wind, and never over half.
func TestEvaporation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Pool{
			Area: quantity.SquareFeet(rapid.Float64Range(1, 1e4).Draw(t, "area")), Wind: quantity.MPH(rapid.Float64Range(1, 30).Draw(t, "wind")),
			Liquid: 60, Vapour: rapid.Float64Range(0.005, 12).Draw(t, "vapour"), Weight: 66, PerGallon: 6.2,
		}
		v := quantity.Gallons(rapid.Float64Range(1, 5000).Draw(t, "gallons"))
		minutes := quantity.Minutes(rapid.Float64Range(0, 600).Draw(t, "minutes"))
		lost := func(p Pool, m quantity.Minutes) Band[quantity.Gallons] {
			b, err := p.Evaporated(v, m)
			if err != nil {
				t.Fatal(err)
			}
			return b
		}
		b := lost(p, minutes)
		if !(0 <= b.Low && b.Low <= b.Best && b.Best <= b.High && b.High <= v/2) || b.Source == "" {
			t.Fatalf("%g gal after %g min: %v", v, minutes, b)
		}
		wider, windier := p, p
		wider.Area *= 2
		windier.Wind *= 2
		for _, more := range []Band[quantity.Gallons]{lost(p, minutes*2), lost(wider, minutes), lost(windier, minutes)} {
			if more.Low < b.Low || more.Best < b.Best || more.High < b.High {
				t.Fatalf("more time, area or wind: %v, less than %v", more, b)
			}
		}
	})
}

// By hand: 100 gal at 1 gpm lose 12.5 gal in 12.5 min, then half a gallon a minute,
// to 50 gal.
func TestEvaporatedByHand(t *testing.T) {
	p := Pool{Area: 1000, Wind: 4, Liquid: 60, Vapour: 6, Weight: 66}
	p.PerGallon = 1
	rate, err := p.Rate()
	if err != nil {
		t.Fatal(err)
	}
	p.PerGallon = float64(rate.Best) // 1 gpm now
	for minutes, want := range map[quantity.Minutes]float64{0: 0, 10: 10, 12.5: 12.5, 32.5: 22.5, 87.5: 50, 500: 50} {
		b, err := p.Evaporated(100, minutes)
		if err != nil || math.Abs(float64(b.Best)-want) > 1e-9 {
			t.Errorf("after %g min: %v, %v; want %g gal", minutes, b, err, want)
		}
	}
}

// A pool of diesel hardly evaporates: below 1.5 % an hour on 5 mm of depth, where
// gasoline loses half.
func TestDieselStays(t *testing.T) {
	p := Pool{Area: 1000, Wind: 5, Liquid: 60, Vapour: 0.0061, Weight: 130, PerGallon: 7.04}
	v, err := PoolVolume(p.Area, Grounds[1])
	if err != nil {
		t.Fatal(err)
	}
	b, err := p.Evaporated(v.Best, 60)
	if err != nil || b.High > v.Best*0.015 {
		t.Errorf("of %g gal of diesel %v evaporate in an hour, %v", v.Best, b, err)
	}
}

// Every rule of thumb is in order, so that no band is upside down.
func TestTablesAreInOrder(t *testing.T) {
	for _, e := range Edges {
		if err := (Leak{Diameter: 1, Edge: e}).check(1, 0); err != nil {
			t.Errorf("%s: %v", e.Name, err)
		}
		if b := FlowBand(1, e, 40); !(b.Low < b.Best && b.Best < b.High) {
			t.Errorf("%s: %v", e.Name, b)
		}
	}
	for _, g := range Grounds {
		if !g.sound() || math.Abs(float64(g.High/g.Best)-2) > 1e-12 || math.Abs(float64(g.Best/g.Low)-2) > 1e-12 {
			t.Errorf("%s: %g, %g, %g in; want a factor of 2 each way", g.Name, g.Low, g.Best, g.High)
		}
	}
	if got := Flow(1, 0.61, -3); got != 0 {
		t.Errorf("a hole above the liquid lets out %g gpm", got)
	}
}

func TestRefusals(t *testing.T) {
	nan := math.NaN()
	hole := Leak{Diameter: 1, Edge: Edges[0], PerInch: func(quantity.Inches) quantity.Gallons { return 1 }}
	wide := hole
	wide.Diameter = 0
	bare := hole
	bare.Edge = Edge{}
	for want, call := range map[string]func() error{
		"hole 0 in across":       func() error { _, err := wide.Time(10, 0); return err },
		"edge 0, 0, 0":           func() error { _, err := bare.Time(10, 0); return err },
		"from 5 in to 10 in":     func() error { _, err := hole.Time(5, 10); return err },
		"to -1 in":               func() error { _, err := hole.Time(5, -1); return err },
		"from NaN in":            func() error { _, err := hole.Lost(quantity.Inches(nan), 1); return err },
		"a leak of NaN min":      func() error { _, err := hole.Lost(5, quantity.Minutes(nan)); return err },
		"pool of 0 ft2":          func() error { _, err := PoolVolume(0, Grounds[0]); return err },
		"pool of 0 gal":          func() error { _, err := PoolArea(0, Grounds[0]); return err },
		"0 to 0 in deep":         func() error { _, err := PoolArea(10, Ground{}); return err },
		"vapour pressure 0 psia": func() error { _, err := Pool{}.Rate(); return err },
		"vapour pressure 15":     func() error { _, err := Pool{Vapour: 15}.Rate(); return err },
		"in 0 mph": func() error {
			_, err := Pool{Vapour: 5, Area: 1, Weight: 66, PerGallon: 6, Liquid: 60}.Evaporated(10, 1)
			return err
		},
		"after NaN min": func() error {
			_, err := Pool{Vapour: 5, Area: 1, Wind: 2, Weight: 66, PerGallon: 6, Liquid: 60}.Evaporated(10, quantity.Minutes(nan))
			return err
		},
		"fire of 0 ft2": func() error { _, err := Fuels[0].Burned(0, 1); return err },
	} {
		if err := call(); err == nil || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), "loss: ") {
			t.Errorf("error %v; want one of loss that says %q", err, want)
		}
	}
}
