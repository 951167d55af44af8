package petroleum

import (
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
	"tankside/projections/calc/published"
)

var groups = map[string]Group{"crude": Crude, "refined": Refined, "lubricant": Lubricant}

func api(r published.Row) quantity.APIGravity  { return quantity.APIGravity(r.Num("api")) }
func temp(r published.Row) quantity.Fahrenheit { return quantity.Fahrenheit(r.Num("f")) }
func group(r published.Row) Group              { return groups[r.Text("group")] }
func celsius(r published.Row) quantity.Fahrenheit {
	return quantity.Fahrenheit(32 + 1.8*r.Num("c"))
}

func product(r published.Row) Product {
	p, _ := defaults.Find(r.Text("product")) // one that is not there has no figures, and no row is about none
	return p
}

func ctl(r published.Row, rho float64, t quantity.Fahrenheit) float64 {
	return r.Ok(CTL(group(r), rho, t))
}

func hydrometer(r published.Row) quantity.APIGravity {
	g, err := GravityAt60(group(r), api(r), temp(r), r.Text("glass") == "yes")
	r.Ok(float64(g), err)
	return g
}

func density2004(r published.Row) float64 { return density(api(r), Water60In2004) }

// ctl15 goes from 15 °C to 60 °F and back: rho15 = rho60·CTL(59 F).
func ctl15(r published.Row) float64 {
	rho15, rho60 := r.Num("rho"), r.Num("rho")
	for range 20 {
		rho60 = rho15 / ctl(r, rho60, 59)
	}
	return ctl(r, rho60, celsius(r)) / ctl(r, rho60, 59)
}

// formsApart is the largest difference between the two editions.
func formsApart(r published.Row) float64 {
	most := 0.0
	for group, gravities := range map[Group][]float64{Refined: r.List("refined"), Crude: r.List("crude")} {
		for _, g := range gravities {
			for t := quantity.Fahrenheit(-50); t <= 150; t++ {
				short := r.Ok(VCF(group, quantity.APIGravity(g), t))
				full := r.Ok(CTL(group, density(quantity.APIGravity(g), Water60In2004), t))
				most = max(most, math.Abs(short-full))
			}
		}
	}
	return most
}

var checks = map[string]func(published.Row) []float64{
	"vcf": func(r published.Row) []float64 {
		return []float64{r.Ok(VCF(group(r), api(r), temp(r)))}
	},
	"vcf15": func(r published.Row) []float64 {
		return []float64{r.Ok(VCF15(group(r), r.Num("rho"), celsius(r)))}
	},
	"ctl":         func(r published.Row) []float64 { return []float64{ctl(r, density2004(r), temp(r))} },
	"ctl15":       func(r published.Row) []float64 { return []float64{ctl15(r)} },
	"forms apart": func(r published.Row) []float64 { return []float64{formsApart(r)} },
	"hydrometer":  func(r published.Row) []float64 { return []float64{float64(hydrometer(r))} },
	"hydrometer density": func(r published.Row) []float64 {
		return []float64{Density(hydrometer(r))}
	},
	"scale of 1968": func(r published.Row) (out []float64) {
		for _, t := range r.List("f") {
			out = append(out, ipts68(quantity.Fahrenheit(t)))
		}
		return out
	},
	"ticket": func(r published.Row) []float64 {
		ccf := CCF(r.Num("mf"), r.Num("ctl"), r.Num("cpl"))
		return []float64{ccf, r.Num("count") * ccf}
	},
	"ticket factor": func(r published.Row) []float64 { return []float64{CCF(r.Num("mf"), r.Num("ctl"), r.Num("cpl"))} },
	"density and expansion": func(r published.Row) []float64 {
		rho := density2004(r)
		for _, line := range rows[group(r)] {
			if rho >= line.from && rho < line.to {
				old := line.at1968(rho)
				return []float64{rho, 1e6 * r.Ok(expansion(rows, group(r), old))}
			}
		}
		return nil
	},
	"expansion 2004": func(r published.Row) []float64 {
		return []float64{1e6 * r.Ok(expansion(rows, group(r), density2004(r)))}
	},
	"constants of table 54": func(r published.Row) []float64 {
		for i, line := range rows15[group(r)] {
			if rho := r.Num("rho"); rho >= line.from && rho < line.to {
				per := rows[group(r)][i]
				if math.Abs(line.k0/per.k0-1.8) > 1e-3 || math.Abs(line.k1-1.8*per.k1) > 1e-3 || math.Abs(line.k2-1.8*per.k2) > 1e-6 {
					return nil // not 1.8 times those of °F
				}
				return []float64{line.k0, line.k1 + line.k2}
			}
		}
		return nil
	},
	"cpl": func(r published.Row) []float64 {
		return []float64{CPL(r.Num("rho"), temp(r), quantity.PSI(r.Num("psi")))}
	},
	"pounds a gallon": func(r published.Row) []float64 {
		rho := density(api(r), r.Num("water"))
		return []float64{PoundsPerGallon(rho), PoundsPerGallon(rho) * InAir(rho)}
	},
	"by weight": func(r published.Row) []float64 {
		v, u := ByWeight(quantity.Pounds(r.Num("lb")), quantity.Pounds(r.Num("lb_u")), r.Num("per"), r.Num("per_u"))
		return []float64{float64(v), float64(u)}
	},
	"gravity":          func(r published.Row) []float64 { return []float64{float64(Gravity(r.Num("rho")))} },
	"relative density": func(r published.Row) []float64 { return []float64{Density(api(r)) / Water60} },
	"net": func(r published.Row) []float64 {
		return []float64{float64(product(r).Net(quantity.Gallons(r.Num("gal")), api(r), temp(r)))}
	},
	"in air": func(r published.Row) []float64 { return []float64{r.Num("rho") / 1000 * InAir(r.Num("rho"))} },
	"tons in air": func(r published.Row) []float64 { // the guide rounds the factor to four decimals
		perM3 := math.Round(r.Num("rho")*InAir(r.Num("rho"))*10) / 1e4
		return []float64{r.Num("m3") * r.Num("vcf") * perM3}
	},
	"tons in vacuo": func(r published.Row) []float64 {
		sum, m3, water, vcf, rho := 0.0, r.List("m3"), r.List("water"), r.List("vcf"), r.List("rho")
		for i := range m3 {
			pounds := PoundsPerGallon(rho[i]) * (m3[i] - water[i]) * vcf[i] * 1000 / quantity.LitresPerGallon
			sum += pounds * 0.45359237 / 1000
		}
		return []float64{sum}
	},
	"shrinkage":       func(r published.Row) []float64 { return []float64{product(r).Alpha} },
	"shrinkage by °C": func(r published.Row) []float64 { return []float64{product(r).Alpha * 1.8} },
	"gasoline vapour": func(r published.Row) []float64 {
		a, b := GasolineVapour(r.Num("rvp"))
		return []float64{Vapour(a, b, temp(r))}
	},
	"gasoline A": func(r published.Row) []float64 { a, _ := GasolineVapour(r.Num("rvp")); return []float64{a} },
	"gasoline B": func(r published.Row) []float64 { _, b := GasolineVapour(r.Num("rvp")); return []float64{b} },
	"vapour": func(r published.Row) []float64 {
		low, high := product(r).Vapour(temp(r))
		return []float64{(low + high) / 2}
	},
	"vapour weight": func(r published.Row) []float64 { return []float64{product(r).VapourWeight} },
	"pounds":        func(r published.Row) []float64 { return []float64{product(r).PerGallon} },
}

func TestPublished(t *testing.T) {
	published.Hold(t, os.ReadFile, "petroleum.csv", 130, checks)
}

func TestLinearVCF(t *testing.T) {
	for _, tt := range []struct {
		product      string
		gross, temp  float64
		want, within float64
		source       string
	}{
		{"E10", 2500, 71, 2481.0, 0.05, "by hand: 2500·(1 − 0.00069·11)"},
		{"diesel", 950, 71, 945.2, 0.05, "by hand: 950·(1 − 0.00046·11)"},
		{"No. 2", 1120, 46, 1127.21, 0.005, "by hand: 1120·(1 + 0.00046·14)"},
		{"kerosene", 540, 46, 543.78, 0.005, "by hand: 540·(1 + 0.00050·14)"},
		{"kerosene", 526, 21.2, 536.20, 0.01, "by hand: 526·(1 + 0.00050·38.8)"},
	} {
		p, ok := defaults.Find(tt.product)
		if !ok {
			t.Fatalf("no product %q", tt.product)
		}
		got := float64(p.Net(quantity.Gallons(tt.gross), 0, quantity.Fahrenheit(tt.temp)))
		if math.Abs(got-tt.want) > tt.within {
			t.Errorf("%g gal of %s at %g F is %.3f net, want %.3f (%s)", tt.gross, tt.product, tt.temp, got, tt.want, tt.source)
		}
	}
}

// With a gravity the tables are used, and agree with the rounded shrinkage as far
// as that is good.
func TestProductWithGravity(t *testing.T) {
	for _, tt := range []struct {
		product string
		api     quantity.APIGravity
		temp    quantity.Fahrenheit
		want    float64
	}{
		{"No. 2", 33.5, 46, 1.00638}, {"No. 2", 33.5, 31, 1.01319}, {"No. 2", 33.5, 22, 1.01726},
		{"kerosene", 43, 46, 1.00703}, {"kerosene", 43, 21.2, 1.01941},
	} {
		p, _ := defaults.Find(tt.product)
		got, method := p.VCF(tt.api, tt.temp)
		if math.Abs(got-tt.want) > 6e-6 || method != "API MPMS 11.1, 1980 form" {
			t.Errorf("%s at %g API, %g F: %.5f by %s, want %.5f", tt.product, tt.api, tt.temp, got, method, tt.want)
		}
		if rounded, _ := p.VCF(0, tt.temp); math.Abs(rounded-got) > 0.001 {
			t.Errorf("%s at %g F: rounded %.5f, table %.5f", tt.product, tt.temp, rounded, got)
		}
	}
}

func TestWeight(t *testing.T) {
	for _, tt := range []struct {
		api  quantity.APIGravity
		want float64
	}{{60, 6.15129}, {58, 6.21632}, {36, 7.03410}, {44, 6.71300}, {10, 8.32843}} {
		got, _ := Product{}.Weight(tt.api)
		if math.Abs(got-tt.want) > 1e-4 { // worked with water at 999.016 kg/m³
			t.Errorf("a net gallon of %g API weighs %.5f lb in air, want %.5f (by hand)", tt.api, got, tt.want)
		}
	}
}

func TestOutsideTables(t *testing.T) {
	for _, tt := range []struct {
		api  quantity.APIGravity
		temp quantity.Fahrenheit
	}{{60, 300}, {60, -81}, {60, quantity.Fahrenheit(math.NaN())}, {200, 60}, {-20, 60}} {
		if got, err := VCF(Refined, tt.api, tt.temp); err == nil {
			t.Errorf("VCF(%g API, %g F) = %g, want an error", tt.api, tt.temp, got)
		}
	}
}

func TestFind(t *testing.T) {
	for words, want := range map[string]string{
		"E10": "E10", "No. 2": "No. 2", "diesel 925 gal stick": "diesel", "dyed diesel": "diesel", "regular gas": "gasoline",
		"kerosene 519 gal stick": "kerosene", "gasket": "", "water": "", "": "", "E85 blend": "E85", "Jet A": "kerosene",
	} {
		if got, _ := defaults.Find(words); got.Name != want {
			t.Errorf("Find(%q) = %q, want %q", words, got.Name, want)
		}
	}
}

// Warmer product shrinks more, and net and back is what went in.
func TestShrinkage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(defaults).Draw(t, "product")
		a := rapid.Float64Range(-50, 150).Draw(t, "a")
		b := rapid.Float64Range(-50, 150).Draw(t, "b")
		g := quantity.Gallons(rapid.Float64Range(1, 1e4).Draw(t, "gallons"))
		if a < b && p.Net(g, 0, quantity.Fahrenheit(a)) < p.Net(g, 0, quantity.Fahrenheit(b)) {
			t.Fatalf("%s: %g gal at %g F is less than at %g F", p.Name, g, a, b)
		}
		if back := p.Gross(p.Net(g, 0, quantity.Fahrenheit(a)), 0, quantity.Fahrenheit(a)); math.Abs(float64(back-g)) > 1e-9*float64(g) {
			t.Fatalf("%s: %g gal came back as %g", p.Name, g, back)
		}
	})
}
