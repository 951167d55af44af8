package cli

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tankside/events/quantity"
	"tankside/projections/calc/ground"
)

// groundFlags are the flags of ground as they were typed.
type groundFlags struct {
	ohms, limit, depth, diameter, rods, apart string
	soil, pins, pinDepth                      string
	fall, outer, inner                        string
	soils                                     bool
}

// groundCaution is what everything the command ground says is worth.
const groundCaution = "even soil and rods alike are taken, and no soil is even: it helps to decide where to go on. What counts is the reading after it, " +
	"by somebody trained to take it and by local procedure; it informs and authorises nothing"

// groundCommand says what rods are worth.
func (a *App) groundCommand(*settings) *cobra.Command {
	f := &groundFlags{}
	cmd := &cobra.Command{
		Use:   "ground",
		Short: "How many ground rods a limit takes, what soil a reading speaks for, whether it holds",
		Long: `What ground rods are worth. From a reading: whether it drains a charge, how it stands
to the limit, what soil it speaks for, how many like rods would come below the limit.
From a kind of soil, a resistivity or four pins: what a rod would read there. From three
readings by the fall of potential, at 52, 62 and 72 % of the way: whether they hold.

Static needs very little: a path below 1 megohm drains a charge. The limit of a rod, 25
ohm where none is typed, is another thing: a margin, and proof of a sound connection.

With --soils it prints what is known of soils, and what water, salt and frost do to them.
It needs no incident, and stores nothing.`,
		Example: `  tankside ground --ohms 38 --depth "5 ft"
  tankside ground --ohms 14 --rods 2 --apart "10 ft" --depth "5.5 ft"
  tankside ground --soil clay --depth "8 ft" --limit 10
  tankside ground --pins "10 ft" --ohms 5 --depth "8 ft"
  tankside ground --fall "24.2, 25, 25.4" --depth "8 ft" --outer "100 ft"`,
		Args: noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			r, err := f.reckon()
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

// add adds the flags to the command.
func (f *groundFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.SortFlags = false
	for _, d := range []struct {
		at         *string
		name, help string
	}{
		{&f.ohms, "ohms", "what the rods read, or the four `pins` of --pins"},
		{&f.limit, "limit", "`limit` of the rods (without it 25 ohm)"},
		{&f.depth, "depth", "`depth` of a rod in the earth"},
		{&f.diameter, "diameter", "`thickness` of a rod (without it 5/8 in)"},
		{&f.rods, "rods", "`number` of rods that were read together (without it 1)"},
		{&f.apart, "apart", "`distance` between two rods (without it a rod length)"},
		{&f.soil, "soil", "`kind` of soil, such as clay, or its resistivity in ohm-m"},
		{&f.pins, "pins", "`distance` between four pins in a line, by Wenner"},
		{&f.pinDepth, "pin-depth", "`depth` of the pins, where it is more than a twentieth of their distance"},
		{&f.fall, "fall", "three `readings` by the fall of potential, at 52, 62 and 72 % of the way"},
		{&f.outer, "outer", "`distance` from the rod to the outer probe"},
		{&f.inner, "inner", "`distance` from the rod to the inner probe, where it is not at 62 % of the way"},
	} {
		flags.StringVar(d.at, d.name, "", d.help)
	}
	flags.BoolVar(&f.soils, "soils", false, "print what is known of soils, water, salt and frost")
}

// groundAsked is what the flags say, in the units of the calculation.
type groundAsked struct {
	typed
	ohms, limit                   quantity.Ohms
	rod                           ground.Rod
	rods                          quantity.Count
	apart, pins, pinDepth         quantity.Feet
	outer, inner                  quantity.Feet
	soil, soilLow, soilHigh       ground.OhmMetres
	soilBy                        string
	readAlone, deep, many, spaced bool
}

// read reads the flags; whichever cannot be read first stays in err.
func (f *groundFlags) read() *groundAsked {
	q := &groundAsked{limit: ground.Target.Ohms, rods: 1, rod: ground.Rod{Diameter: ground.UsualDiameter}}
	certain(&q.typed, "ohms", f.ohms, &q.ohms)
	certain(&q.typed, "limit", f.limit, &q.limit)
	certain(&q.typed, "depth", f.depth, &q.rod.Length)
	certain(&q.typed, "diameter", f.diameter, &q.rod.Diameter)
	certain(&q.typed, "rods", f.rods, &q.rods)
	certain(&q.typed, "apart", f.apart, &q.apart)
	certain(&q.typed, "pins", f.pins, &q.pins)
	certain(&q.typed, "pin-depth", f.pinDepth, &q.pinDepth)
	certain(&q.typed, "outer", f.outer, &q.outer)
	certain(&q.typed, "inner", f.inner, &q.inner)
	q.deep, q.many, q.spaced = f.depth != "", f.rods != "", f.apart != ""
	q.readAlone = f.ohms != "" && f.pins == ""
	if n := int(q.rods); q.err == nil && (float64(q.rods) != float64(n) || n < 1 || n > ground.Most) {
		q.err = fmt.Errorf("--rods: %q is no number of rods from 1 to %d", f.rods, ground.Most)
	}
	if q.err == nil && q.limit <= 0 {
		q.err = fmt.Errorf("--limit: %q; want one above 0 ohm", f.limit)
	}
	return q
}

// reckon reads the flags and works the answer out.
func (f *groundFlags) reckon() (*grounded, error) {
	r := &grounded{Taken: []string{}, Note: groundCaution, Rods: []rodsWould{}, Soils: []soilPrinted{}, Curves: []soilCurve{}}
	if f.soils {
		r.soils()
	}
	if err := f.clash(); err != nil {
		return nil, err
	}
	q := f.read()
	if q.err != nil {
		return nil, q.err
	}
	for _, step := range []func(*groundFlags, *groundAsked) error{r.plateau, r.probes, r.earth, r.reading, r.would} {
		if err := step(f, q); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// clash reports flags that lack others, or do not go together.
func (f *groundFlags) clash() error {
	switch {
	case f.soils:
		return nil
	case f.ohms == "" && f.soil == "" && f.fall == "" && f.outer == "":
		return fmt.Errorf("say what was read: --ohms 38, or what the soil is: --soil clay, or --fall \"24, 25, 26\"; --soils lists soils")
	case f.fall != "" && f.ohms != "":
		return fmt.Errorf("--fall has the reading in it; leave --ohms out")
	case f.pins != "" && f.ohms == "":
		return fmt.Errorf("--pins needs what they read: --ohms 5")
	case f.pinDepth != "" && f.pins == "":
		return fmt.Errorf("--pin-depth goes with --pins")
	case f.pins != "" && f.soil != "":
		return fmt.Errorf("--pins measures the soil; leave --soil out")
	case f.soil != "" && f.depth == "":
		return fmt.Errorf("--soil needs how deep the rod goes: --depth \"8 ft\"")
	case f.soil != "" && f.ohms != "":
		return fmt.Errorf("--ohms says what the soil is; leave --soil out")
	case f.inner != "" && f.outer == "":
		return fmt.Errorf("--inner goes with --outer, the distance to the outer probe")
	case f.apart != "" && f.rods != "2":
		return fmt.Errorf("--apart goes with --rods 2")
	}
	return nil
}

// plateau holds three readings against each other.
func (r *grounded) plateau(f *groundFlags, q *groundAsked) error {
	if f.fall == "" {
		return nil
	}
	var ohms [3]quantity.Ohms
	parts := strings.FieldsFunc(f.fall, func(c rune) bool { return c == ',' || c == ';' || c == ' ' })
	if len(parts) != len(ohms) {
		return fmt.Errorf("--fall: %q is not three readings; write them as \"24.2, 25, 25.4\"", f.fall)
	}
	for i, part := range parts {
		if certain(&q.typed, "fall", part, &ohms[i]); q.err != nil {
			return q.err
		}
	}
	p, err := ground.PlateauOf(ohms[0], ohms[1], ohms[2])
	if err != nil {
		return err
	}
	r.Fall = &fallHolds{float64(p.Ohms), 100 * p.Spread, 100 * ground.PlateauLimit, p.Holds}
	q.ohms, q.readAlone = p.Ohms, true
	return nil
}

// probes says where the probes belong and what a reading is off where they do not
// stand there.
func (r *grounded) probes(f *groundFlags, q *groundAsked) error {
	if f.outer == "" {
		return nil
	}
	if !q.deep {
		return fmt.Errorf("--outer needs how deep the rod goes: --depth \"8 ft\"")
	}
	radius, err := q.rod.Hemisphere()
	if err != nil {
		return err
	}
	p := &probesAt{Outer: float64(q.outer), Inner: ground.Inner * float64(q.outer), Least: ground.OuterRods * float64(q.rod.Length)}
	at := ground.Inner
	if f.inner != "" {
		at = float64(q.inner / q.outer)
	}
	_, off, err := ground.FallOfPotential(1, radius, q.outer, at)
	if err != nil {
		return err
	}
	if p.Stands = at * float64(q.outer); f.inner != "" {
		p.Off = 100 * off
	}
	r.Probes = p
	return nil
}

// earth finds the resistivity of the soil.
func (r *grounded) earth(f *groundFlags, q *groundAsked) error {
	var err error
	switch {
	case f.pins != "":
		q.soil, err = ground.WennerDeep(q.pins, q.pinDepth, q.ohms)
		q.soilBy = "four pins, down to about their distance"
		if f.pinDepth == "" {
			r.Taken = append(r.Taken, "pins no deeper than a twentieth of their distance: no --pin-depth")
		}
	case f.soil != "":
		err = q.named(f.soil)
	case q.readAlone && q.deep:
		q.soil, err = q.bySoil()
		q.soilBy = "the reading, within a few rod lengths"
	}
	if err != nil || q.soil == 0 {
		return err
	}
	r.Soil = &soilIs{OhmMetres: float64(q.soil), By: q.soilBy}
	if q.soilLow > 0 {
		low, high := float64(q.soilLow), float64(q.soilHigh)
		r.Soil.Low, r.Soil.High = &low, &high
	}
	return nil
}

// named reads a kind of soil, or its resistivity.
func (q *groundAsked) named(soil string) error {
	if v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(soil, "ohm-m")), 64); err == nil {
		q.soil, q.soilBy = ground.OhmMetres(v), "typed"
		if !(v > 0 && v < 1e12) {
			return fmt.Errorf("--soil: %q; want a resistivity above 0 ohm-m", soil)
		}
		return nil
	}
	s, ok := ground.SoilNamed(soil)
	if !ok {
		return fmt.Errorf("--soil: %q is no kind of soil that is printed, nor a resistivity in ohm-m; --soils lists them", soil)
	}
	q.soil, q.soilLow, q.soilHigh = s.Typical, s.Low, s.High
	q.soilBy = fmt.Sprintf("%s, as printed: %s (%s)", s.Name, s.Source, s.Status)
	if q.soil == 0 {
		q.soil = s.High
		q.soilBy += "; the worst of it, no usual value being printed"
	}
	return nil
}

// bySoil is the soil that the reading of the rods speaks for.
func (q *groundAsked) bySoil() (ground.OhmMetres, error) {
	if q.spaced {
		return q.rod.SoilOfTwo(q.ohms, q.apart)
	}
	return q.rod.SoilOfMany(q.ohms, int(q.rods))
}
