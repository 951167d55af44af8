package tank

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
)

const chart = `# yard tank, strapped
in, gal
0, 0
10	50.1   # read twice
20; 118
22.5 118
40 254.2
`

func TestChart(t *testing.T) {
	c, err := ParseChart(chart)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "full", float64(c.Full()), 254.2, 0, "its last row")
	for _, tt := range []struct{ depth, volume, perInch float64 }{
		{0, 0, 5.01}, {5, 25.05, 5.01}, {10, 50.1, 5.01}, {15, 84.05, 6.79}, {21, 118, 0}, {40, 254.2, 136.2 / 17.5},
	} {
		v, err := c.Volume(quantity.Inches(tt.depth))
		per, err2 := c.PerInch(quantity.Inches(tt.depth))
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		near(t, "volume", float64(v), tt.volume, 1e-9, "a straight line by hand")
		near(t, "gallons an inch", float64(per), tt.perInch, 1e-9, "a straight line by hand")
	}
	d, err := c.Depth(118)
	if err != nil || d != 20 {
		t.Errorf("118 gal stand %g in deep, %v; want the least depth, 20 in", d, err)
	}
	metric, err := ParseChart("cm, L\n0,0\n25.4,100\n")
	if err != nil {
		t.Fatal(err)
	}
	v, err := metric.Volume(10)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "litres", float64(v), 26.4172, 1e-4, "100 L / 3.785411784")
}

func TestChartRefusals(t *testing.T) {
	for text, want := range map[string]string{
		"":                          "0 rows",
		"in, gal\n1, 2\n":           "1 rows",
		"0, 0\n1, 2\n":              "line 1: \"0\", \"0\" are not the units",
		"gal, in\n":                 "line 1: \"gal\", \"in\" are not the units",
		"in, gal\n0, 0\n1, 2, 3\n":  "line 3: 3 columns",
		"in, gal\n0, 0\n\n0, 5\n":   "line 4: 0, 5: depths must rise",
		"in, gal\n0, 10\n1, 5\n":    "volumes may not fall",
		"in, gal\n0, x\n":           "volume \"x\"",
		"in, gal\nNaN, 1\n":         "depth \"NaN\"",
		"in, gal\n0, +Inf\n":        "volume \"+Inf\"",
		"in, gal\n-1, 1\n":          "depth \"-1\"",
		"in, gal\n0, 0\n1, 1,240\n": "3 columns; want depth and volume, with no comma inside a number",
	} {
		if _, err := ParseChart(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: error %v; want %q", text, err, want)
		}
	}
	c, err := ParseChart(chart)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range []quantity.Inches{-0.1, 40.1, quantity.Inches(math.NaN())} {
		if v, err := c.Volume(d); err == nil {
			t.Errorf("the chart has %g gal at %g in, want an error", v, d)
		}
	}
	if d, err := c.Depth(255); err == nil {
		t.Errorf("the chart has %g in for 255 gal, want an error", d)
	}
}

// A chart strapped off a tank reads as the tank does, to the bend between its rows.
func TestChartOfATank(t *testing.T) {
	l, err := Tank{Section: ellipse(t), Length: 100}.Lying(Lie{})
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	text.WriteString("in, gal\n")
	for depth := range 67 {
		v, err := l.Volume(Dip{Depth: quantity.Inches(depth)})
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&text, "%d, %.6f\n", depth, v)
	}
	c, err := ParseChart(text.String())
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		d := quantity.Inches(rapid.Float64Range(0, 66).Draw(t, "depth"))
		want, _ := l.Volume(Dip{Depth: d})
		got, err := c.Volume(d)
		if err != nil || math.Abs(float64(got-want)) > 2 {
			t.Fatalf("%g in: the chart has %g gal, %v, the tank %g", d, got, err, want)
		}
		if back, err := c.Depth(got); err != nil || math.Abs(float64(back-d)) > 1e-6 {
			t.Fatalf("%g gal stand %g in deep, %v; want %g", got, back, err, d)
		}
	})
}
