package tank

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tankside/events/quantity"
)

// ChartDoubt is the standard uncertainty of a volume read off a chart, as a share of
// the full tank: what a page of public oil-tank charts states of itself.
const ChartDoubt = 0.03

// Chart is a strapping table: the volume at each depth of the stick, in order. It is
// of one tank in the lie it was strapped in, which is level and upright.
type Chart struct {
	depths  []float64 // in
	volumes []float64 // gal
}

// ParseChart reads a strapping table from the text of a file. The first line names
// the units of its two columns, depth and volume; the rest are numbers, a comma or
// blanks between them:
//
//	in, gal
//	0, 0
//	1, 3.4
//
// What follows # is left out. Depths must rise; volumes may not fall. It fails, with
// the number of the line, when the text is no such table or has fewer than two rows.
func ParseChart(text string) (*Chart, error) {
	c := &Chart{}
	var depth, volume quantity.Unit
	n := 0
	for line := range strings.Lines(text) {
		n++
		line, _, _ = strings.Cut(line, "#")
		cells := strings.FieldsFunc(line, func(r rune) bool { return strings.ContainsRune(", ;\t\r\n", r) })
		var err error
		switch {
		case len(cells) == 0:
			continue
		case len(cells) != 2:
			err = fmt.Errorf("%d columns; want depth and volume, with no comma inside a number", len(cells))
		case depth.Symbol == "":
			depth, volume, err = chartUnits(cells[0], cells[1])
		default:
			err = c.add(cells[0], cells[1], depth, volume)
		}
		if err != nil {
			return nil, fmt.Errorf("tank: chart: line %d: %w", n, err)
		}
	}
	if len(c.depths) < 2 {
		return nil, fmt.Errorf("tank: chart: %d rows; it takes two to read between", len(c.depths))
	}
	return c, nil
}

func chartUnits(first, second string) (depth, volume quantity.Unit, err error) {
	depth, ok := quantity.ScaleOf[quantity.Inches]().Find(first)
	volume, known := quantity.ScaleOf[quantity.Gallons]().Find(second)
	if !ok || !known {
		return depth, volume, fmt.Errorf("%q, %q are not the units of a depth and a volume; begin with a line such as \"in, gal\"", first, second)
	}
	return depth, volume, nil
}

func (c *Chart) add(first, second string, depth, volume quantity.Unit) error {
	d, err := strconv.ParseFloat(first, 64)
	if err != nil || !(d >= 0) || math.IsInf(d, 0) {
		return fmt.Errorf("depth %q is not a number from 0 up", first)
	}
	v, err := strconv.ParseFloat(second, 64)
	if err != nil || !(v >= 0) || math.IsInf(v, 0) {
		return fmt.Errorf("volume %q is not a number from 0 up", second)
	}
	d, v = d*depth.Factor, v*volume.Factor
	if n := len(c.depths); n > 0 && (d <= c.depths[n-1] || v < c.volumes[n-1]) {
		return fmt.Errorf("%s, %s: depths must rise and volumes may not fall; put the rows in order", first, second)
	}
	c.depths, c.volumes = append(c.depths, d), append(c.volumes, v)
	return nil
}

// Full returns the last volume of the chart.
func (c *Chart) Full() quantity.Gallons { return quantity.Gallons(c.volumes[len(c.volumes)-1]) }

// Volume returns the volume at a depth, by straight lines between the rows. The
// depth must lie within the chart: nothing is carried on beyond it.
func (c *Chart) Volume(depth quantity.Inches) (quantity.Gallons, error) {
	v, _, err := c.read(depth)
	return v, err
}

// PerInch returns the gallons that one more inch of depth adds.
func (c *Chart) PerInch(depth quantity.Inches) (quantity.Gallons, error) {
	_, per, err := c.read(depth)
	return per, err
}

func (c *Chart) read(depth quantity.Inches) (v, perInch quantity.Gallons, err error) {
	d, last := float64(depth), len(c.depths)-1
	if !(d >= c.depths[0] && d <= c.depths[last]) {
		return 0, 0, fmt.Errorf("tank: depth %g in is outside the chart, %g to %g in", depth, c.depths[0], c.depths[last])
	}
	i := min(max(1, sortedPlace(c.depths, d)), last)
	per := (c.volumes[i] - c.volumes[i-1]) / (c.depths[i] - c.depths[i-1])
	return quantity.Gallons(c.volumes[i-1] + per*(d-c.depths[i-1])), quantity.Gallons(per), nil
}

// Depth returns the depth at a volume within the chart, the least where several have
// the same.
func (c *Chart) Depth(v quantity.Gallons) (quantity.Inches, error) {
	g, last := float64(v), len(c.volumes)-1
	if !(g >= c.volumes[0] && g <= c.volumes[last]) {
		return 0, fmt.Errorf("tank: %g gal is outside the chart, %g to %g gal", v, c.volumes[0], c.volumes[last])
	}
	i := sortedPlace(c.volumes, g)
	if c.volumes[i] == g {
		return quantity.Inches(c.depths[i]), nil
	}
	share := (g - c.volumes[i-1]) / (c.volumes[i] - c.volumes[i-1])
	return quantity.Inches(c.depths[i-1] + share*(c.depths[i]-c.depths[i-1])), nil
}

// sortedPlace is the place of the first value that is not below v.
func sortedPlace(sorted []float64, v float64) int {
	i, _ := slices.BinarySearch(sorted, v)
	return i
}
