package petroleum

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
)

var groups = map[string]Group{"crude": Crude, "refined": Refined, "lubricant": Lubricant}

// published reads a table of check values; a row without a source fails.
func published(t *testing.T, name string) (rows []map[string]string) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "published", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, cell := range line {
			row[all[0][i]] = cell
		}
		if row["source"] == "" {
			t.Fatalf("%s: row %q has no source", name, line)
		}
		rows = append(rows, row)
	}
	return rows
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestVCF(t *testing.T) {
	rows := published(t, "vcf.csv")
	if len(rows) < 18 {
		t.Fatalf("%d check values, want all 18", len(rows))
	}
	for _, row := range rows {
		t.Run(row["id"], func(t *testing.T) {
			got, err := VCF(groups[row["group"]], quantity.APIGravity(number(t, row["api"])), quantity.Fahrenheit(number(t, row["temp_f"])))
			want, tol := number(t, row["want"]), number(t, row["tolerance"])
			if err != nil || math.Abs(got-want) > tol {
				t.Errorf("VCF = %.8f, %v; %s gives %.8f ± %g", got, err, row["source"], want, tol)
			}
		})
	}
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
		p, ok := Find(tt.product)
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
		p, _ := Find(tt.product)
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
		if got, _ := Find(words); got.Name != want {
			t.Errorf("Find(%q) = %q, want %q", words, got.Name, want)
		}
	}
}

// Warmer product shrinks more, and net and back is what went in.
func TestShrinkage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(Products).Draw(t, "product")
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
