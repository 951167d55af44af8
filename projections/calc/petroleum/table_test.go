package petroleum

import (
	"math"
	"strings"
	"testing"

	"tankside/events/quantity"
)

// A product put into the table stands before those that its words also name, and one of
// a name that is there stands in its place.
func TestTableWith(t *testing.T) {
	blend := Product{Name: "winter diesel", Names: []string{"winter diesel"}}
	own := Defaults().With(blend)
	if got, _ := own.Find("winter diesel, dyed"); got.Name != "winter diesel" {
		t.Errorf("winter diesel is found as %q", got.Name)
	}
	if got, _ := Defaults().Find("winter diesel"); got.Name != "diesel" {
		t.Errorf("the trade's table was changed: it finds %q", got.Name)
	}
	blend.Fill = 0.9
	if again := own.With(blend); len(again) != len(own) || again[again.Named("Winter Diesel")].Fill != 0.9 {
		t.Errorf("put in again: %d products and a fill of %g; want %d and 0.9", len(again), again[0].Fill, len(own))
	}
	if got, _ := Table(nil).Find("ULSD"); got.Name != "diesel" {
		t.Errorf("the nil table finds %q; want the trade's diesel", got.Name)
	}
}

func TestDefaultsPassTheirCheck(t *testing.T) {
	for _, p := range Defaults() {
		if err := p.Check(); err != nil {
			t.Error(err)
		}
	}
}

func TestProductCheck(t *testing.T) {
	for _, tt := range []struct {
		spoil func(*Product)
		want  string
	}{
		{func(p *Product) { p.Name = " " }, "has no name"},
		{func(p *Product) { p.Names = nil }, "no aliases"},
		{func(p *Product) { p.Names = []string{"Diesel"} }, "lower case"},
		{func(p *Product) { p.Source = "" }, "say who says so"},
		{func(p *Product) { p.Alpha = 0.046 }, "shrinkage 0.046 is outside"},
		{func(p *Product) { p.PerGallon = 0.845 }, "weight 0.845 is outside 4 to 12 lb a gallon"},
		{func(p *Product) { p.Fill = 95 }, "filled 95 is outside"},
		{func(p *Product) { p.API = 845 }, "gravity 845 is outside -5 to 100 API"},
		{func(p *Product) { p.RVPLow, p.RVPHigh = 9, 7 }, "high 7 is outside 9 to 40 psi"},
		{func(p *Product) { p.PerU = math.NaN() }, "NaN"},
	} {
		p, _ := Defaults().Find("diesel")
		tt.spoil(&p)
		if err := p.Check(); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%+v: %v; want an error containing %q", p, err, tt.want)
		}
	}
}

// With a gravity come the weight and the shrinkage that the tables have for it: at
// 35 API, 849.85 kg/m3, 103.8720/rho² + 0.2701/rho.
func TestOfGravity(t *testing.T) {
	diesel, _ := Defaults().Find("diesel")
	p, err := diesel.OfGravity(35)
	if err != nil {
		t.Fatal(err)
	}
	rho := 141.5 / 166.5 * 999.012
	if want := 103.8720/(rho*rho) + 0.2701/rho; math.Abs(p.Alpha-want) > 1e-12 {
		t.Errorf("shrinkage = %g, want %g", p.Alpha, want)
	}
	if math.Abs(p.PerGallon-7.076) > 0.01 {
		t.Errorf("weight = %g lb a gallon; the trade's tables have 7.076 in air", p.PerGallon)
	}
	if _, method := p.VCF(0, 80); !strings.Contains(method, "35 API") {
		t.Errorf("method %q does not say by which gravity", method)
	}
	for _, g := range []quantity.APIGravity{166000, -131.5, quantity.APIGravity(math.NaN())} {
		if _, err := diesel.OfGravity(g); err == nil || !strings.Contains(err.Error(), "is outside -5 to 100 API") {
			t.Errorf("%g API: %v; want a refusal", g, err)
		}
	}
	e85, _ := Defaults().Find("E85")
	if p, err := e85.OfGravity(48); err != nil || p.Alpha != e85.Alpha {
		t.Errorf("a blend at 48 API shrinks by %g, %v; want %g, which no table has", p.Alpha, err, e85.Alpha)
	}
}
