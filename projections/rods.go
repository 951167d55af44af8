package projections

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tankside/events/quantity"
	"tankside/projections/calc/ground"
)

// RodEstimate is what a reading of ground rods speaks for: the soil they stand in, and
// how many like them the limit would take. It takes the soil for even and the rods for
// alike, so it is a help to decide where to go on, and no reading.
type RodEstimate struct {
	Rods   []string `json:"rods"`
	Soil   Figure   `json:"soil"`     // ohm-m
	Needed Figure   `json:"needed"`   // like rods in all, where the reading is not within its limit
	Comes  Figure   `json:"comes_to"` // ohm that so many would have
	Notes  []string `json:"notes"`
}

// thinnest and thickest bound a ground rod as it is sold. Common practice, no source.
const thinnest, thickest quantity.Inches = 0.5, 1

// rodNames are the rods that a text speaks of: G1, G2.
func rodNames(text string) (out []string) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return !('A' <= r && r <= 'Z' || '0' <= r && r <= '9' || 'a' <= r && r <= 'z') }) {
		if len(word) < 2 || word[0] != 'G' || slices.Contains(out, word) {
			continue
		}
		if _, err := strconv.ParseUint(word[1:], 10, 16); err == nil {
			out = append(out, word)
		}
	}
	return out
}

// name is the first rod that the rod's own name and place speak of: of "Rod G2 10 ft
// from G1" it is G2.
func (r Rod) name() string {
	if names := rodNames(r.Rod); len(names) > 0 {
		return names[0]
	}
	return ""
}

// logged is the newest record of a rod, or of the rods of a name: one may have been
// driven deeper.
func (g *Grounding) logged(name string) Rod {
	for i := len(g.Rods) - 1; i >= 0; i-- {
		if g.Rods[i].name() == name {
			return g.Rods[i]
		}
	}
	return Rod{Rod: name, Depth: Lacking("ft", "depth of "+name)}
}

// estimate works out what a reading of rods speaks for, nil where it does not: no rods
// named, or a plate among them.
func (g *Grounding) estimate(text string, r OhmReading) *RodEstimate {
	names := rodNames(text)
	if len(names) == 0 || len(names) > ground.Most || !r.Resistance.Known || r.Resistance.Value <= 0 {
		return nil
	}
	e := &RodEstimate{Rods: names, Notes: []string{}, Needed: Lacking("rods", "a reading over its limit"), Comes: Lacking("ohm", "a reading over its limit")}
	var rods []Rod
	for _, name := range names {
		rod := g.logged(name)
		if strings.Contains(strings.ToLower(rod.Rod), "plate") {
			return nil
		}
		rods = append(rods, rod)
	}
	if e.Soil = soilOf(r.Resistance, rods); e.Soil.Known {
		e.said(rods)
	}
	if r.Limit.Known && (r.Verdict == Past || r.Verdict == Undecided) {
		e.need(r)
	}
	return e
}

// soilOf is the soil that a reading of rods speaks for, of their mean depth.
func soilOf(read Figure, rods []Rod) Figure {
	depth, from := quantity.Feet(0), read.From
	for _, rod := range rods {
		if !rod.Depth.Known || rod.Depth.Value <= 0 {
			return Lacking("ohm-m", "depth of "+rod.name())
		}
		depth += quantity.Feet(rod.Depth.Value) / quantity.Feet(len(rods))
		from = union(from, rod.At.From)
	}
	per := func(d quantity.Inches) float64 {
		rod := ground.Rod{Length: depth, Diameter: d}
		rho, err := rod.SoilOfMany(1, len(rods))
		if apart := spacing(rods); apart > 0 {
			rho, err = rod.SoilOfTwo(1, apart)
		}
		if err != nil {
			return math.NaN()
		}
		return float64(rho)
	}
	usual, thin, thick := per(ground.UsualDiameter), per(thinnest), per(thickest)
	if math.IsNaN(usual + thin + thick) {
		return Lacking("ohm-m", "rods that the formula is for")
	}
	return Range(read.Low*min(thin, thick), read.Value*usual, read.High*max(thin, thick), "ohm-m", "Dwight 1936 from the reading; even soil, rods 1/2 to 1 in thick", from...)
}

// spacing is how far the second of two rods stands from the first, 0 where there are
// not two or nobody said.
func spacing(rods []Rod) quantity.Feet {
	if len(rods) != 2 {
		return 0
	}
	if d := rods[1].Distance; d.Known {
		return quantity.Feet(d.Value)
	}
	f := strings.Fields(strings.ToLower(rods[1].Place))
	for i := 0; i+3 < len(f); i++ {
		if v, err := strconv.ParseFloat(f[i], 64); err == nil && f[i+1] == "ft" && f[i+2] == "from" && len(rodNames(strings.ToUpper(f[i+3]))) > 0 {
			return quantity.Feet(v)
		}
	}
	return 0
}

// said notes what was wetted, and where the soil is none of the kind that somebody
// named.
func (e *RodEstimate) said(rods []Rod) {
	for _, r := range rods {
		if r.Wetted != "" && r.Wetted != "no" {
			e.Notes = append(e.Notes, r.name()+" was wetted: soil as wet as it was")
		}
		printed, ok := ground.SoilNamed(r.Soil)
		if !ok || e.Soil.High >= float64(printed.Low) && e.Soil.Low <= float64(printed.High) {
			continue
		}
		e.Notes = append(e.Notes, fmt.Sprintf("told as %s, which is printed at %g to %g ohm-m", r.Soil, printed.Low, printed.High))
	}
}

// need works out how many like rods the limit would take, from the resistance of one.
func (e *RodEstimate) need(r OhmReading) {
	n := len(e.Rods)
	f, err := ground.FactorOf(n)
	if err != nil {
		return
	}
	one := r.Resistance.Value * float64(n) / f
	needed, with, err := ground.Needed(quantity.Ohms(one), quantity.Ohms(r.Limit.Value))
	from := union(r.Resistance.From, r.Limit.From)
	if err != nil {
		e.Needed = Lacking("rods", fmt.Sprintf("more than %d of them; longer rods, wet ground, a plate in water or another place do more", ground.Most))
		e.Comes = Exact(float64(with), "ohm", fmt.Sprintf("with %d of them, a rod length apart", ground.Most), from...)
		return
	}
	e.Needed = Exact(float64(needed), "rods", "like those read, a rod length apart (IEEE 142, table 14)", from...)
	e.Comes = Exact(float64(with), "ohm", "with that many", from...)
}
