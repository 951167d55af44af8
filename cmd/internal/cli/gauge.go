package cli

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events/quantity"
	"tankside/projections/calc/tank"
)

// gaugeFlags are the flags of gauge as they were typed.
type gaugeFlags struct {
	shape, width, height, radius, length, heads, headDepth, capacity string
	roll, pitch, depth, along, hole, shapeDoubt, chart               string
	square                                                           bool
}

// gaugeCommand says what is in a tank by the depth of the liquid.
func (a *App) gaugeCommand(*settings) *cobra.Command {
	f := &gaugeFlags{}
	cmd := &cobra.Command{
		Use:   "gauge",
		Short: "What is in a compartment that lies like this with liquid this deep",
		Long: `What is in a compartment, from the depth of its liquid and how it lies, with its
doubt and what the doubt is made of. Sizes are inside. Each takes its unit and, where
it is known, its doubt: --depth "38 1/4 ± 1/2 in", --roll "95 ± 3 deg". Without one
the stick counts as ± 0.25 in, roll as ± 2 deg, pitch as ± 1 deg and the shape as
± 0.5 % of the volume: our judgement, common practice without a source.

Where the capacity stamped on the compartment is given, the sizes only say what
share of it is full, and the length may be left out. A compartment that was strapped
takes its table with --chart: a file whose first line names the units, as "in, gal",
with a depth and a volume on each line after it.

It needs no incident, and stores nothing.`,
		Example: `  tankside gauge --shape ellipse --width 96 --height "66 in" --length "8 ft" --roll 90 --depth "38 in"
  tankside gauge --shape circle --height "7 ft" --capacity 2500 --depth 20 --pitch "4 deg" --along "10 in"
  tankside gauge --chart c4.csv --depth "31 1/2 in"`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			r, err := a.gauge(cmd, f)
			if err != nil {
				return userError{err}
			}
			if asJSON(cmd) {
				return a.printJSON(r)
			}
			return r.print(a.Out)
		},
	}
	f.add(cmd)
	return cmd
}

// add adds the flags to the command, in the order one would ask for them.
func (f *gaugeFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.SortFlags = false
	for _, d := range []struct {
		at         *string
		name, help string
	}{
		{&f.depth, "depth", "`depth` of the liquid, up from where the stick stops"},
		{&f.shape, "shape", "`form` of the cross-section: " + strings.Join(tank.Forms, ", ")},
		{&f.width, "width", "`width` inside, as the tank stands upright; of a circle its diameter"},
		{&f.height, "height", "`height` inside, as the tank stands upright; of a circle its diameter"},
		{&f.radius, "radius", "`radius` of the corners of rounded, of the sides of four-arc"},
		{&f.length, "length", "`length` of the compartment between its heads"},
		{&f.capacity, "capacity", "`volume` stamped on the compartment"},
		{&f.heads, "heads", "`form` of both heads: " + strings.Join(headNames, ", ") + " (without it flat)"},
		{&f.headDepth, "head-depth", "`depth` by which a head bulges beyond the shell"},
		{&f.roll, "roll", "`angle` about the long axis: 0 upright, 90 on its right side seen from behind, 180 on its top"},
		{&f.pitch, "pitch", "`angle` of the long axis, above 0 with the front end low (without it level ± 2 deg)"},
		{&f.along, "along", "`distance` from the front end to where the stick stops (without it anywhere along)"},
		{&f.hole, "hole", "`place` where the stick goes in, seen from behind: \"2 o'clock\", or how far right of the lowest line, \"-6 in\" (without it the highest line)"},
		{&f.shapeDoubt, "shape-doubt", "`share` of the volume that dents, baffles and heads put in doubt; with --chart of the full tank (without it 3 %)"},
		{&f.chart, "chart", "`file` with the strapping table; it is of the tank level and upright"},
	} {
		flags.StringVar(d.at, d.name, "", d.help)
	}
	flags.BoolVar(&f.square, "square", false, "the stick was held square to the shell of a pitched tank, not upright")
}

// headNames are the names of tank.Shape, in its order.
var headNames = []string{"flat", "conical", "ellipsoidal", "spherical", "torispherical"}

// gauge reads the flags and works the answer out.
func (a *App) gauge(cmd *cobra.Command, f *gaugeFlags) (*gauged, error) {
	if f.depth == "" {
		return nil, fmt.Errorf("say how deep the liquid is: --depth \"38 1/4 in\"")
	}
	if f.chart != "" {
		return a.gaugeChart(cmd, f)
	}
	if f.shape == "" {
		return nil, fmt.Errorf("say what the compartment is: --shape %s and its sizes, or --chart FILE", strings.Join(tank.Forms, "|"))
	}
	r := &reading{}
	r.read(f)
	if r.err != nil {
		return nil, r.err
	}
	if r.form.Shape != tank.CircleForm && f.roll == "" {
		return nil, fmt.Errorf("say how it lies: --roll 0 upright, 90 on its right side seen from behind, 180 on its top")
	}
	if err := r.place(f.hole); err != nil {
		return nil, err
	}
	g, err := r.form.Gauge(r.off, r.lie, r.dip, r.doubt)
	if err != nil {
		return nil, err
	}
	return r.answer(g), nil
}

// reading is what the flags say, in the units of the calculation.
type reading struct {
	form, off tank.Form
	lie       tank.Lie
	dip       tank.Dip
	doubt     tank.Doubt
	taken     []string // what was taken for want of better
	typed
}

// read reads the flags; whichever cannot be read first stays in err.
func (r *reading) read(f *gaugeFlags) {
	r.form.Shape = f.shape
	flag(&r.typed, "width", f.width, &r.form.Width, &r.off.Width)
	flag(&r.typed, "height", f.height, &r.form.Height, &r.off.Height)
	flag(&r.typed, "radius", f.radius, &r.form.Radius, &r.off.Radius)
	flag(&r.typed, "length", f.length, &r.form.Length, &r.off.Length)
	flag(&r.typed, "capacity", f.capacity, &r.form.Capacity, &r.off.Capacity)
	r.heads(f)
	r.doubt = tank.Usual
	flag(&r.typed, "depth", f.depth, &r.dip.Depth, &r.doubt.Depth)
	flag(&r.typed, "roll", f.roll, &r.lie.Roll, &r.doubt.Roll)
	if f.pitch == "" {
		r.doubt.Pitch = tank.UnreadPitch
		r.taken = append(r.taken, fmt.Sprintf("level ± %g deg: no --pitch", tank.UnreadPitch))
	}
	flag(&r.typed, "pitch", f.pitch, &r.lie.Pitch, &r.doubt.Pitch)
	r.share(f.shapeDoubt)
	r.dip.Plumb = !f.square
	flag(&r.typed, "along", f.along, &r.dip.Along, &r.doubt.Along)
	if r.err == nil && f.along == "" {
		r.middle()
	}
}

// heads reads the form of the heads.
func (r *reading) heads(f *gaugeFlags) {
	var none quantity.Inches
	flag(&r.typed, "head-depth", f.headDepth, &r.form.Heads.Depth, &none)
	shape := tank.Shape(0)
	for i, name := range headNames {
		if name == f.heads {
			shape = tank.Shape(i)
		}
	}
	switch {
	case r.err != nil:
	case f.heads != "" && headNames[shape] != f.heads:
		r.err = fmt.Errorf("--heads: %q is not known; take %s", f.heads, strings.Join(headNames, ", "))
	case none > 0:
		r.err = fmt.Errorf("--head-depth: a doubt of it is not reckoned with; put it into --shape-doubt")
	case shape == tank.Torispherical && f.headDepth != "":
		r.err = fmt.Errorf("--head-depth: a torispherical head is taken with a dish as wide as the tank and a knuckle of 6 %% of it, and has its depth by that; leave it out")
	case (shape == tank.Flat) != (f.headDepth == "") && shape != tank.Torispherical:
		r.err = fmt.Errorf("--head-depth: a flat head has none, any other bulges by so much; --heads is %s", headNames[shape])
	}
	r.form.Heads.Shape = shape
	if shape == tank.Torispherical {
		r.form.Heads.Dish, r.form.Heads.Knuckle = 1, 0.06
	}
}

// share reads the doubt of the shape.
func (r *reading) share(text string) {
	var percent, none quantity.Percent
	flag(&r.typed, "shape-doubt", text, &percent, &none)
	if r.err == nil && (none > 0 || percent < 0 || percent > 100) {
		r.err = fmt.Errorf("--shape-doubt: %q is no share from 0 to 100 %%", text)
	}
	if text != "" {
		r.doubt.Shape = float64(percent) / 100
	}
}

// middle takes the stick to stand in the middle, and anywhere along to be as likely.
func (r *reading) middle() {
	t, err := r.form.Tank()
	if err != nil {
		r.err = err
		return
	}
	r.dip.Along, r.doubt.Along = t.Length/2, t.Length/quantity.Inches(math.Sqrt(12))
	r.taken = append(r.taken, "the stick anywhere along the compartment: no --along")
}

// place finds where the stick stops below its hole.
func (r *reading) place(hole string) error {
	t, err := r.form.Tank()
	if err != nil {
		return err
	}
	l, err := t.Lying(r.lie)
	if err != nil {
		return err
	}
	if hole == "" {
		r.dip.Offset = l.High()
		r.taken = append(r.taken, "a hole at the highest line: no --hole")
		return nil
	}
	if hour, ok := strings.CutSuffix(strings.TrimSpace(hole), "o'clock"); ok {
		clock, err := strconv.ParseFloat(strings.TrimSpace(hour), 64)
		if err != nil {
			return fmt.Errorf("--hole: %q is no clock position; write it as \"2 o'clock\"", hole)
		}
		r.dip.Offset, err = l.Under(clock)
		return err
	}
	var none quantity.Inches
	flag(&r.typed, "hole", hole, &r.dip.Offset, &none)
	if r.err == nil && none > 0 {
		return fmt.Errorf("--hole: a doubt of it is not reckoned with; put it into --roll")
	}
	return r.err
}
