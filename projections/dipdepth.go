package projections

import (
	"fmt"
	"math"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections/calc/tank"
)

// gauging is what was told of the tank's shape and lie: what turns the depth of a
// dip into gallons.
type gauging struct {
	parts map[string]measured // by compartment, "" for the tank as a whole
	seen  lie                 // by the size-up, where nobody measured it
}

// measured is what was measured of a tank or of one compartment.
type measured struct {
	lie
	shape                                          string
	width, height, radius, length, capacity, along Figure
}

// lie is how a tank lies, in degrees.
type lie struct{ roll, pitch Figure }

func (g *gauging) apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.Mishap:
		g.seen.pitch = saidLast(k.Pitch, e, g.seen.pitch)
	case kinds.SizedUp:
		g.seen.roll = saidLast(k.Roll, e, g.seen.roll)
		g.seen.pitch = saidLast(k.Pitch, e, g.seen.pitch)
	case kinds.TankMeasured:
		c := orElse(k.Compartment, compartmentOf(e.Where))
		m := g.parts[c]
		m.shape = orElse(k.Shape, m.shape)
		m.width, m.height = saidLast(k.Width, e, m.width), saidLast(k.Height, e, m.height)
		m.radius, m.length = saidLast(k.Radius, e, m.radius), saidLast(k.Length, e, m.length)
		m.capacity, m.along = saidLast(k.Capacity, e, m.capacity), saidLast(k.Along, e, m.along)
		m.roll, m.pitch = saidLast(k.Roll, e, m.roll), saidLast(k.Pitch, e, m.pitch)
		if g.parts == nil {
			g.parts = map[string]measured{}
		}
		g.parts[c] = m
	}
}

// saidLast is what the entry says, else what was said before.
func saidLast[Q quantity.Quantity](a quantity.Amount[Q], e *events.Entry, before Figure) Figure {
	if !a.Said() {
		return before
	}
	return FigureOf(a, "measured", e.Seq)
}

// of is what is known of a compartment: by its own measurement, then by that of the
// tank, then by the size-up. Length and capacity are a compartment's own or none.
func (g *gauging) of(compartment string) measured {
	m, whole := g.parts[compartment], g.parts[""]
	m.shape = orElse(m.shape, whole.shape)
	m.width, m.height, m.radius = firstKnown(m.width, whole.width), firstKnown(m.height, whole.height), firstKnown(m.radius, whole.radius)
	m.roll, m.pitch = firstKnown(m.roll, whole.roll, g.seen.roll), firstKnown(m.pitch, whole.pitch, g.seen.pitch)
	return m
}

func firstKnown(fs ...Figure) Figure {
	for _, f := range fs {
		if f.Known {
			return f
		}
	}
	return Figure{}
}

// gallons turns the depth of liquid in a compartment, in inches, into its volume. A
// bound on the depth is one on the volume. The stick is taken to stand below the
// highest line, where it was said along the compartment or else anywhere; where that leaves doubt, the doubt is
// in the figure. Where something is missing the volume is unknown and says what.
func (g *gauging) gallons(compartment string, depth Figure) Gross {
	m := g.of(compartment)
	form, off := m.form()
	if missing := m.missing(compartment); missing != "" {
		return noGross(missing)
	}
	r := stick{form: form, off: off, how: "dip, " + fmt.Sprintf("%.4g in of depth", depth.Value)}
	r.lies(m)
	if err := r.stands(m.along); err != nil {
		return noGross("what fits the dip of " + compartment + ": " + err.Error())
	}
	r.doubt.Depth = quantity.Inches(sigmaOf(depth, float64(tank.Usual.Depth)))
	best, err := form.Gauge(off, r.lie, r.at(depth.Value), r.doubt)
	if err != nil {
		return noGross("a depth that fits " + compartment + ": " + err.Error())
	}
	f := Range(r.bound(depth.Low, depth.Value, best), float64(best.Volume), r.bound(depth.High, depth.Value, best), "gal", r.how,
		union(depth.From, m.from())...)
	f.U = float64(best.SD)
	return Gross{f}
}

// above is how many gallons an inch of head holds over an opening in a compartment, by
// its shape: the opening lies so far below the surface of the load as the head says, at
// the bottom where the load is not known. nil where the shape or the lie is not known.
func (g *gauging) above(compartment string, load Gross, head float64) func(quantity.Inches) quantity.Gallons {
	m := g.of(compartment)
	if compartment == "" || m.missing(compartment) != "" {
		return nil
	}
	form, off := m.form()
	r := stick{form: form, off: off}
	r.lies(m)
	if r.stands(m.along) != nil {
		return nil
	}
	up := 0.0
	if depth, err := r.lying.Depth(quantity.Gallons(load.Value), r.dip); load.Known && err == nil {
		up = math.Max(0, float64(depth)-head)
	}
	return func(h quantity.Inches) quantity.Gallons {
		per, _ := r.lying.PerInch(r.at(up + float64(h))) // nothing above the tank
		return per
	}
}

// missing names what has to be known before a depth says anything, "" when all is.
func (m measured) missing(compartment string) string {
	switch {
	case m.shape == "":
		return "shape and sizes of " + compartment + ", to turn its depth into gallons"
	case !m.length.Known && !m.capacity.Known:
		return "length or capacity of " + compartment + ", to turn its depth into gallons"
	case !m.roll.Known && m.shape != tank.CircleForm:
		return "how far the tank has rolled, to turn the depth in " + compartment + " into gallons"
	}
	return ""
}

// Section is the cross-section of a compartment as it lies, as far as it was measured.
type Section struct {
	Shape    string `json:"shape,omitempty"` // left out where nobody said
	Width    Figure `json:"width"`           // in, inside, as are the next two
	Height   Figure `json:"height"`
	Radius   Figure `json:"radius"`   // of the corners of rounded, of the sides of four-arc
	Roll     Figure `json:"roll"`     // deg, 0 upright, 90 on its right side, seen from behind
	Capacity Figure `json:"capacity"` // gal
}

// section is what was told of the cross-section of a compartment.
func (g *gauging) section(compartment string) Section {
	m := g.of(compartment)
	or := func(f Figure, unit, what string) Figure {
		if !f.Known {
			return Lacking(unit, what+" of "+compartment)
		}
		return f
	}
	return Section{
		m.shape, or(m.width, "in", "width"), or(m.height, "in", "height"), or(m.radius, "in", "radius"),
		or(m.roll, "deg", "roll"), or(m.capacity, "gal", "capacity"),
	}
}

// form is the tank as calc has it, with the doubt of each size.
func (m measured) form() (form, off tank.Form) {
	form.Shape = m.shape
	for _, s := range []struct {
		f        Figure
		size, by *quantity.Inches
	}{
		{m.width, &form.Width, &off.Width}, {m.height, &form.Height, &off.Height},
		{m.radius, &form.Radius, &off.Radius}, {m.length, &form.Length, &off.Length},
	} {
		*s.size, *s.by = quantity.Inches(s.f.Value), quantity.Inches(sigmaOf(s.f, 0))
	}
	form.Capacity, off.Capacity = quantity.Gallons(m.capacity.Value), quantity.Gallons(sigmaOf(m.capacity, 0))
	return form, off
}

// from lists the entries that the shape and the lie come from.
func (m measured) from() (all []events.Seq) {
	for _, f := range []Figure{m.width, m.height, m.radius, m.length, m.capacity, m.along, m.roll, m.pitch} {
		all = union(all, f.From)
	}
	return all
}

// sigmaOf is the standard uncertainty of a figure: as stated, else that of its
// range, anything in it being as likely (JCGM 100 (GUM), 4.3.7), else the usual one.
func sigmaOf(f Figure, usual float64) float64 {
	switch width := f.High - f.Low; {
	case f.U > 0:
		return f.U
	case width > 0 && !math.IsInf(width, 0):
		return width / math.Sqrt(12)
	}
	return usual
}

// stick is a dip in a tank as it lies.
type stick struct {
	form, off tank.Form
	lie       tank.Lie
	doubt     tank.Doubt
	dip       tank.Dip
	lying     *tank.Lying
	how       string // how the volume was found, with what was taken for want of better
}

// lies takes roll and pitch as read; a pitch that nobody read is taken as level, with
// a greater doubt.
func (s *stick) lies(m measured) {
	s.doubt = tank.Usual
	s.lie = tank.Lie{Roll: quantity.Degrees(m.roll.Value), Pitch: quantity.Degrees(m.pitch.Value)}
	s.doubt.Roll = quantity.Degrees(sigmaOf(m.roll, float64(tank.Usual.Roll)))
	s.doubt.Pitch = quantity.Degrees(sigmaOf(m.pitch, float64(tank.Usual.Pitch)))
	if !m.pitch.Known {
		s.doubt.Pitch = tank.UnreadPitch
		s.how = join(s.how, fmt.Sprintf("pitch not recorded, taken as level ± %g deg", tank.UnreadPitch))
	}
}

// stands puts the stick below the highest line: where it was said along the compartment,
// else in the middle with anywhere along it as likely.
func (s *stick) stands(along Figure) error {
	t, err := s.form.Tank()
	if err != nil {
		return err
	}
	if s.lying, err = t.Lying(s.lie); err != nil {
		return err
	}
	s.dip = tank.Dip{Along: t.Length / 2, Offset: s.lying.High(), Plumb: true}
	s.doubt.Along = t.Length / quantity.Inches(math.Sqrt(12))
	if along.Known {
		s.dip.Along, s.doubt.Along = quantity.Inches(along.Value), quantity.Inches(sigmaOf(along, 0))
	}
	return nil
}

func (s *stick) at(depth float64) tank.Dip {
	d := s.dip
	d.Depth = quantity.Inches(depth)
	return d
}

// bound is the volume at a bound of the depth: nothing below none, the full tank
// where there is no upper bound.
func (s *stick) bound(depth, best float64, g tank.Gauged) float64 {
	if depth == best {
		return float64(g.Volume)
	}
	if depth <= 0 {
		return 0
	}
	v, err := s.lying.Volume(s.at(depth))
	if err != nil {
		return float64(g.Full)
	}
	return float64(v)
}
