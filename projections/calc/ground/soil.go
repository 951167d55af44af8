package ground

import (
	"fmt"
	"math"
	"strings"

	"tankside/events/quantity"
)

// Soil is what is printed of a kind of soil.
type Soil struct {
	Name               string
	Words              []string // how a scribe says it, lower case; the first soil that has one is meant
	Low, Typical, High OhmMetres
	Source, Status     string
}

const (
	bureau    = "a ground-testing handbook; figures of US Bureau of Standards Technologic Paper 108 (from memory)"
	handbooks = "a second ground-testing handbook"
)

// Soils are the resistivities printed for kinds of soil, the mixed ones first. Typical
// is 0 where only a range is printed. What is under a tank may be none of them: they
// span a factor of a hundred, and a reading goes before them all.
var Soils = []Soil{
	{"clay or loam with sand and gravel", []string{"clay and gravel", "clay with", "loam with", "mixed"}, 10.2, 158, 1350, bureau, "seen"},
	{"ashes, cinders, brine waste", []string{"fill", "ash", "cinder", "brine"}, 5.9, 23.7, 70, bureau, "seen"},
	{"gravel, sand, stones, little clay", []string{"gravel", "sand", "stone"}, 590, 940, 4580, bureau, "seen"},
	{"clay, shale, gumbo, loam", []string{"clay", "gumbo", "loam", "shale"}, 3.4, 40.6, 163, bureau, "seen"},
	{"surface loam", []string{"topsoil", "top soil"}, 1, 0, 50, handbooks, "seen"},
	{"limestone", []string{"limestone", "rock"}, 100, 0, 10000, handbooks, "seen"},
}

// SoilNamed finds the kind of soil that somebody's words speak of.
func SoilNamed(words string) (Soil, bool) {
	words = strings.ToLower(words)
	for _, s := range Soils {
		for _, w := range s.Words {
			if strings.Contains(words, w) {
				return s, true
			}
		}
	}
	return Soil{}, false
}

// Curve is how the resistivity of one soil goes with something. The points stand in
// the order of X.
type Curve struct {
	Of, By         string // the soil, and what X is
	Points         []Point
	Source, Status string
}

// Point is one point of a curve.
type Point struct {
	X   float64
	Rho OhmMetres
}

// The curves. What they are good for is the ratio between two points: how much water,
// salt or frost may do.
var (
	TopSoil = Curve{
		"top soil", "moisture, % by weight",
		[]Point{{2.5, 2500}, {5, 1650}, {10, 530}, {15, 210}, {20, 120}, {30, 100}}, "a ground-testing handbook", "seen",
	}
	SandyLoam = Curve{
		"sandy loam", "moisture, % by weight",
		[]Point{{2.5, 1500}, {5, 430}, {10, 220}, {15, 130}, {20, 100}, {30, 80}}, "a ground-testing handbook; 185 ohm-m at 10 % in an older print", "seen",
	}
	Salted = Curve{
		"sandy loam with 15 % moisture", "salt, % of the weight of the moisture",
		[]Point{{0, 107}, {0.1, 18}, {1, 4.6}, {5, 1.9}, {10, 1.3}, {20, 1}}, "ground-testing handbooks", "memory",
	}
	// Frost jumps at 0 °C, where the water turns to ice: 138 ohm-m as water.
	Frost = Curve{
		"sandy loam with 15.2 % moisture", "temperature, °C",
		[]Point{{-15, 3300}, {-5, 790}, {0, 300}, {10, 99}, {20, 72}}, "ground-testing handbooks", "memory",
	}
	SaltedFrost = Curve{
		"soil with 20 % moisture, salt 5 % of it", "temperature, °C",
		[]Point{{-13, 14.4}, {-5, 3.12}, {0, 1.9}, {10, 1.42}, {20, 1.1}}, "a ground-testing handbook", "seen",
	}
)

// SaltCaution goes with every word on salt.
const SaltCaution = "salt and other chemicals in the ground need the environmental authority's consent"

// At returns the resistivity at x, straight between the logarithms of two points.
// Beyond the points nothing is known, and it is an error.
func (c Curve) At(x float64) (OhmMetres, error) {
	for i, p := range c.Points {
		if x == p.X {
			return p.Rho, nil
		}
		if i > 0 && x > c.Points[i-1].X && x < p.X {
			q := c.Points[i-1]
			return q.Rho * OhmMetres(math.Pow(float64(p.Rho/q.Rho), (x-q.X)/(p.X-q.X))), nil
		}
	}
	return 0, fmt.Errorf("ground: %s at %s %g; known from %g to %g", c.Of, c.By, x, c.Points[0].X, c.Points[len(c.Points)-1].X)
}

// Falls returns by what the resistivity is divided on the way from one x to another:
// 20 from dry top soil to wet.
func (c Curve) Falls(from, to float64) (float64, error) {
	a, err := c.At(from)
	if err != nil {
		return 0, err
	}
	b, err := c.At(to)
	return float64(a / b), err
}

// Wenner returns the resistivity of soil by four pins in a line, a apart, that are no
// deeper than a/20:
//
//	ρ = 2π·a·R
//
// It is that of the soil down to a depth of about a. Spacing and reading are above 0.
// Source: Wenner 1915; ASTM G57.
func Wenner(a quantity.Feet, read quantity.Ohms) (OhmMetres, error) { return WennerDeep(a, 0, read) }

// WennerDeep is Wenner with pins of a depth b, 0 or more:
//
//	ρ = 4π·a·R/(1 + 2a/√(a² + 4b²) − a/√(a² + b²))
//
// Source: Wenner 1915.
func WennerDeep(a, b quantity.Feet, read quantity.Ohms) (OhmMetres, error) {
	if !(a > 0 && b >= 0 && read > 0) || math.IsInf(float64(a)*float64(read), 0) || math.IsInf(float64(b), 0) {
		return 0, fmt.Errorf("ground: four pins %g ft apart, %g ft deep, reading %g ohm; want spacing and reading above 0 and a depth of 0 or more", a, b, read)
	}
	w, d := float64(a)*foot, float64(b)*foot
	return OhmMetres(4 * math.Pi * w * float64(read) / (1 + 2*w/math.Hypot(w, 2*d) - w/math.Hypot(w, d))), nil
}
