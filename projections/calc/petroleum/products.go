package petroleum

import (
	"cmp"
	"math"
	"strings"

	"tankside/events/quantity"
)

// Product is what the trade takes for granted about a product when nobody has
// measured it.
type Product struct {
	Name      string
	Source    string   // who says so
	AlphaBy   string   // who says Alpha, where that is somebody else
	Names     []string // how a scribe or a paper writes it, lower case
	Group     Group    // of expansion
	Alpha     float64  // shrinkage for each °F, where no gravity is known
	AlphaU    float64  // standard uncertainty of Alpha
	TableU    float64  // the same of the tables' shrinkage; 0 is usual
	PerGallon float64  // lb in air for each net gallon
	PerU      float64  // standard uncertainty of PerGallon
	Blend     bool     // outside the tables: always by Alpha

	API             quantity.APIGravity // ordinary gravity, 0 where gravity says nothing
	RVPLow, RVPHigh float64             // Reid vapour pressure through the year, psi
	VapourA         float64             // of Vapour, for products with no RVP
	VapourB         float64
	VapourWeight    float64 // of a mole of the vapour, g
	Fill            float64 // share of a tank that may be filled when the temperature is not known
}

// tableU is the standard uncertainty of the tables, for each °F: ±0.05 % of the
// volume at 100 °F with 95 % confidence (from memory, API MPMS chapter 11.1, 1980).
const tableU = 6e-6

// trade is the source of a figure that has none: every yard and every pocket guide
// has it, and nobody says from where.
const trade = "common practice"

// defaults are the products as the trade has them. Alphas are
// rounded common practice, with doubts that take in the range of the trade;
// those of ethanol are of flow-computer manuals (0.00114 for each °C), and E10 has
// been printed as 0.000714, more than any gasoline of the tables has: hence its
// greater TableU. Pounds a gallon and gravities are ordinary trade figures, Reid
// pressures those of ASTM D4814 and D5798 (all from memory), and give way to the
// paper. Vapours are of US EPA AP-42, table 7.1-2. Fill is trade practice.
var defaults = Table{
	{
		Name: "E85", Source: "flow-computer manuals", Names: []string{"e85", "flex fuel"}, Alpha: 0.00064, AlphaU: 0.00003, PerGallon: 6.53, PerU: 0.05, Blend: true,
		RVPLow: 5.5, RVPHigh: 15, VapourWeight: 50, Fill: 0.93,
	},
	{
		Name: "ethanol", Source: "flow-computer manuals", Names: []string{"ethanol", "e100", "denatured alcohol"}, Alpha: 0.00063, AlphaU: 0.00003, PerGallon: 6.59, PerU: 0.03, Blend: true,
		Fill: 0.93,
	},
	{
		Name: "E10", Source: trade, Names: []string{"e10", "e15"}, Alpha: 0.00069, AlphaU: 0.00004, TableU: 0.00005, PerGallon: 6.22, PerU: 0.06,
		API: 58.5, RVPLow: 7, RVPHigh: 15, VapourWeight: 66, Fill: 0.93,
	},
	{
		Name: "kerosene", Source: trade, Names: []string{"kerosene", "k-1", "no. 1", "number one", "jet a", "jet fuel", "jet"}, Alpha: 0.00050, AlphaU: 0.00002, PerGallon: 6.75, PerU: 0.06,
		API: 43, VapourA: 12.390, VapourB: 8933, VapourWeight: 130, Fill: 0.95,
	},
	{
		Name: "No. 2", Source: trade, Names: []string{"no. 2", "no 2", "number two", "heating oil", "fuel oil", "home heat"}, Alpha: 0.00046, AlphaU: 0.00001, PerGallon: 7.14, PerU: 0.06,
		API: 34, VapourA: 12.101, VapourB: 8907, VapourWeight: 130, Fill: 0.95,
	},
	{
		Name: "diesel", Source: trade, Names: []string{"diesel", "ulsd", "dyed diesel", "biodiesel", "b5", "b20"}, Alpha: 0.00046, AlphaU: 0.00001, PerGallon: 7.04, PerU: 0.08,
		API: 36, VapourA: 12.101, VapourB: 8907, VapourWeight: 130, Fill: 0.95,
	},
	{
		Name: "gasoline", Source: trade, Names: []string{"gasoline", "gas", "petrol", "unleaded", "regular", "premium"}, Alpha: 0.00069, AlphaU: 0.00002, PerGallon: 6.17, PerU: 0.06,
		API: 60, RVPLow: 7, RVPHigh: 15, VapourWeight: 66, Fill: 0.93,
	},
}

// WaterPerGallon is the weight of a gallon of fresh water in air, in lb (ordinary
// handbook figure).
const WaterPerGallon = 8.34

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

// byTables is the method of VCF where the tables were used.
const byTables = "API MPMS 11.1, 1980 form"

// VCF returns the factor that reduces the product at t to 60 °F and the method:
// by the tables where a gravity is known and they hold the product, else by its
// rounded shrinkage. api is 0 when no gravity is known.
func (p Product) VCF(api quantity.APIGravity, t quantity.Fahrenheit) (vcf float64, method string) {
	if api != 0 && !p.Blend {
		if f, err := VCF(p.Group, api, t); err == nil {
			return f, byTables
		}
	}
	return LinearVCF(p.Alpha, t), "rounded shrinkage, " + cmp.Or(p.AlphaBy, p.Source)
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

// VCFU returns the standard uncertainty of VCF: the doubt of the shrinkage times
// the degrees from 60 °F. The doubt of the thermometer is not in it.
func (p Product) VCFU(api quantity.APIGravity, t quantity.Fahrenheit) float64 {
	u := p.AlphaU
	if _, method := p.VCF(api, t); method == byTables {
		u = max(tableU, p.TableU)
	}
	return u * math.Abs(float64(t)-60)
}

// Weight returns what a net gallon of the product weighs in air, in lb, with its
// standard uncertainty: by the gravity where one is known, else the trade's figure.
func (p Product) Weight(api quantity.APIGravity) (perGallon, u float64) {
	if api == 0 {
		return p.PerGallon, p.PerU
	}
	rho := Density(api)
	return PoundsPerGallon(rho) * InAir(rho), 0.01
}

// ByWeight returns the net volume of a load by its weight in air and the weight of a
// net gallon, with its standard uncertainty:
//
//	u² = (u_w² + (V·u_p)²)/p²
//
// The weights are in lb, that of a gallon above 0. Source: JCGM 100 (GUM), 5.1.2, errors taken as
// independent.
func ByWeight(weight, weightU quantity.Pounds, perGallon, perGallonU float64) (volume, u quantity.NetGallons) {
	volume = quantity.NetGallons(float64(weight) / perGallon)
	return volume, quantity.NetGallons(math.Hypot(float64(weightU), float64(volume)*perGallonU) / perGallon)
}
