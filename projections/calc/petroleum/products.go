package petroleum

import (
	"slices"
	"strings"

	"tankside/events/quantity"
)

// Product is what the trade takes for granted about a product when nobody has
// measured it.
type Product struct {
	Name      string
	Names     []string // how a scribe or a paper writes it, lower case
	Group     Group    // of expansion
	Alpha     float64  // shrinkage for each °F, where no gravity is known
	PerGallon float64  // lb in air for each net gallon
	PerU      float64  // standard uncertainty of PerGallon
	Blend     bool     // outside the tables: always by Alpha
}

// Products is the list of known products, most particular names first. Alphas are
// rounded common practice; pounds a gallon are ordinary trade figures (from
// memory) and give way to a gravity from the paper.
var Products = []Product{
	{Name: "E85", Names: []string{"e85", "flex fuel"}, Alpha: 0.00062, PerGallon: 6.53, PerU: 0.05, Blend: true},
	{Name: "ethanol", Names: []string{"ethanol", "e100", "denatured alcohol"}, Alpha: 0.00061, PerGallon: 6.59, PerU: 0.03, Blend: true},
	{Name: "E10", Names: []string{"e10", "e15"}, Alpha: 0.00069, PerGallon: 6.22, PerU: 0.06},
	{Name: "kerosene", Names: []string{"kerosene", "k-1", "no. 1", "number one", "jet a", "jet fuel", "jet"}, Alpha: 0.00050, PerGallon: 6.75, PerU: 0.06},
	{Name: "No. 2", Names: []string{"no. 2", "no 2", "number two", "heating oil", "fuel oil", "home heat"}, Alpha: 0.00046, PerGallon: 7.14, PerU: 0.06},
	{Name: "diesel", Names: []string{"diesel", "ulsd", "dyed diesel", "biodiesel", "b5", "b20"}, Alpha: 0.00046, PerGallon: 7.04, PerU: 0.08},
	{Name: "gasoline", Names: []string{"gasoline", "gas", "petrol", "unleaded", "regular", "premium"}, Alpha: 0.00069, PerGallon: 6.17, PerU: 0.06},
}

// WaterPerGallon is the weight of a gallon of fresh water in air, in lb (ordinary
// handbook figure).
const WaterPerGallon = 8.34

// Find returns the product that words name. It fails when they name none.
func Find(words string) (Product, bool) {
	said := " " + strings.ToLower(words) + " "
	for _, p := range Products {
		if slices.ContainsFunc(p.Names, func(n string) bool { return hasWord(said, n) }) {
			return p, true
		}
	}
	return Product{}, false
}

// hasWord reports whether name stands in s between characters that are neither
// letters nor digits.
func hasWord(s, name string) bool {
	for from := 0; ; {
		i := strings.Index(s[from:], name)
		if i < 0 {
			return false
		}
		i += from
		if !letter(s[i-1]) && !letter(s[i+len(name)]) {
			return true
		}
		from = i + 1
	}
}

func letter(b byte) bool { return b >= 'a' && b <= 'z' || b >= '0' && b <= '9' }

// VCF returns the factor that reduces the product at t to 60 °F and the method:
// by the tables where a gravity is known and they hold the product, else by its
// rounded shrinkage. api is 0 when no gravity is known.
func (p Product) VCF(api quantity.APIGravity, t quantity.Fahrenheit) (vcf float64, method string) {
	if api != 0 && !p.Blend {
		if f, err := VCF(p.Group, api, t); err == nil {
			return f, "API MPMS 11.1, 1980 form"
		}
	}
	return LinearVCF(p.Alpha, t), "rounded shrinkage, common practice"
}

// Net returns the volume at 60 °F of g gallons of the product at t.
func (p Product) Net(g quantity.Gallons, api quantity.APIGravity, t quantity.Fahrenheit) quantity.NetGallons {
	f, _ := p.VCF(api, t)
	return quantity.NetGallons(float64(g) * f)
}

// Gross returns the volume at t of n gallons at 60 °F.
func (p Product) Gross(n quantity.NetGallons, api quantity.APIGravity, t quantity.Fahrenheit) quantity.Gallons {
	f, _ := p.VCF(api, t)
	return quantity.Gallons(float64(n) / f)
}

// Weight returns what a net gallon of the product weighs in air, in lb, with its
// standard uncertainty: by the gravity where one is known, else the trade's figure.
// In air a scale shows less than the mass by the buoyancy
//
//	(1 − 1.2/ρ)/(1 − 1.2/8000)
//
// with ρ in kg/m³. Source: OIML practice (from memory).
func (p Product) Weight(api quantity.APIGravity) (perGallon, u float64) {
	if api == 0 {
		return p.PerGallon, p.PerU
	}
	rho := Density(api)
	const poundsPerGallon = quantity.LitresPerGallon / 1000 / 0.45359237 // of 1 kg/m³, exact
	return rho * poundsPerGallon * (1 - 1.2/rho) / (1 - 1.2/8000), 0.01
}
