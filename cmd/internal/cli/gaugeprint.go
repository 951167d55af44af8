package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events/quantity"
	"tankside/projections/calc/tank"
)

// gauged is the answer of gauge.
type gauged struct {
	Gallons float64   `json:"gallons"` // as it lies there, at its own temperature
	U       float64   `json:"u"`
	Low     float64   `json:"low"` // about 95 in 100
	High    float64   `json:"high"`
	Full    float64   `json:"full"`
	Percent float64   `json:"percent_full"`
	PerInch float64   `json:"gallons_per_inch"`
	Doubt   []doubtOf `json:"doubt"`
	Taken   []string  `json:"taken"`
	Note    string    `json:"note"`
}

// doubtOf is one part of a doubt.
type doubtOf struct {
	What    string  `json:"what"`
	Gallons float64 `json:"u"`
}

// caution is what everything this command says is worth.
const caution = "worked out from what was typed, not measured, gross at the temperature it has; it informs and authorises nothing"

// coverage is how many standard uncertainties the interval reaches either way, for
// about 95 in 100. Source: JCGM 100 (GUM), 6.2.1.
const coverage = 2

func newGauged(g tank.Gauged, taken []string, parts ...doubtOf) *gauged {
	v, u, full := float64(g.Volume), float64(g.SD), float64(g.Full)
	out := &gauged{Gallons: v, U: u, Low: max(0, v-coverage*u), High: min(full, v+coverage*u), Full: full, Percent: 100 * v / full,
		PerInch: float64(g.PerInch), Doubt: []doubtOf{}, Taken: append([]string{}, taken...), Note: caution}
	for _, p := range parts {
		if p.Gallons > 0 {
			out.Doubt = append(out.Doubt, p)
		}
	}
	return out
}

// answer puts the parts of the doubt into words.
func (r *reading) answer(g tank.Gauged) *gauged {
	lie := fmt.Sprintf("pitch ± %.3g deg", r.doubt.Pitch)
	if r.form.Shape != tank.CircleForm {
		lie = fmt.Sprintf("roll ± %.3g deg, ", r.doubt.Roll) + lie
	}
	return newGauged(g, r.taken,
		doubtOf{fmt.Sprintf("depth ± %.3g in", r.doubt.Depth), float64(g.ByDepth)},
		doubtOf{lie, float64(g.ByLie)},
		doubtOf{fmt.Sprintf("place of the stick ± %.3g in along", r.doubt.Along), float64(g.ByPlace)},
		doubtOf{"sizes and capacity", float64(g.BySizes)},
		doubtOf{fmt.Sprintf("shape ± %.3g %% of the volume", 100*r.doubt.Shape), float64(g.ByShape)})
}

// gaugeChart reads a strapping table.
func (a *App) gaugeChart(cmd *cobra.Command, f *gaugeFlags) (*gauged, error) {
	for _, name := range []string{"shape", "width", "height", "radius", "length", "capacity", "heads", "head-depth", "roll", "pitch", "along", "hole", "square"} {
		if cmd.Flags().Changed(name) {
			return nil, fmt.Errorf("--%s does not go with --chart: a chart is of the tank level and upright; give the shape and its sizes instead of the chart, or leave --%s out", name, name)
		}
	}
	text, err := a.readWhole(f.chart)
	if err != nil {
		return nil, err
	}
	c, err := tank.ParseChart(string(text))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.chart, err)
	}
	r := &reading{doubt: tank.Doubt{Depth: tank.Usual.Depth, Shape: tank.ChartDoubt}, taken: []string{"level and upright, as the chart is"}}
	flag(&r.typed, "depth", f.depth, &r.dip.Depth, &r.doubt.Depth)
	r.share(f.shapeDoubt)
	if r.err != nil {
		return nil, r.err
	}
	g := tank.Gauged{Full: c.Full()}
	if g.Volume, err = c.Volume(r.dip.Depth); err != nil {
		return nil, err
	}
	if g.PerInch, err = c.PerInch(r.dip.Depth); err != nil {
		return nil, err
	}
	g.ByDepth, g.ByShape = g.PerInch*quantity.Gallons(r.doubt.Depth), g.Full*quantity.Gallons(r.doubt.Shape)
	g.SD = quantity.Gallons(math.Hypot(float64(g.ByDepth), float64(g.ByShape)))
	return newGauged(g, r.taken, doubtOf{fmt.Sprintf("depth ± %.3g in", r.doubt.Depth), float64(g.ByDepth)},
		doubtOf{fmt.Sprintf("chart ± %.3g %% of the full tank", 100*r.doubt.Shape), float64(g.ByShape)}), nil
}

// print writes the answer for reading.
func (g *gauged) print(w io.Writer) error {
	places := 0
	if g.U < 9.95 {
		places = 1
	}
	fmt.Fprintf(w, "IN IT  %s ± %s gal, %s %% of %s gal\n", rounded(g.Gallons, places), rounded(g.U, places), rounded(g.Percent, 0), rounded(g.Full, 0))
	fmt.Fprintf(w, "       %s to %s gal, 95 times in 100\n", rounded(g.Low, places), rounded(g.High, places))
	fmt.Fprintf(w, "       an inch more on the stick is %s gal\n\n", rounded(g.PerInch, 1))
	table := grid{heads: []string{"doubt", "gal"}, right: []int{1}}
	for _, d := range g.Doubt {
		table.add(d.What, "± "+rounded(d.Gallons, 1))
	}
	if err := table.print(w); err != nil {
		return err
	}
	if len(g.Taken) > 0 {
		fmt.Fprintf(w, "\nTaken: %s.\n", strings.Join(g.Taken, "; "))
	}
	_, err := fmt.Fprintf(w, "%s.\n", strings.ToUpper(caution[:1])+caution[1:])
	return err
}
