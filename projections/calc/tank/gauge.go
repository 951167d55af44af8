package tank

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// foot returns the level at which the stick of a dip stops, that of the tank's wall
// above it, and what an inch on the stick is square to the shell.
func (l *Lying) foot(d Dip) (bottom, top, inch float64, err error) {
	if !(d.Along >= 0 && d.Along <= l.tank.Length) {
		return 0, 0, 0, fmt.Errorf("tank: the stick stands %g in from the front end; want 0 to %g in", d.Along, l.tank.Length)
	}
	bottom, top, ok := l.section.column(l.section.lowest() + float64(d.Offset))
	if !ok {
		return 0, 0, 0, fmt.Errorf("tank: a stick %g in from the lowest line stands beside the tank; measure the offset again", d.Offset)
	}
	if d.Plumb {
		return bottom, top, 1 / l.cos, nil
	}
	return bottom, top, 1, nil
}

// surface returns the level of the liquid over the front end of the shell.
func (l *Lying) surface(d Dip) (level, inch float64, err error) {
	bottom, top, inch, err := l.foot(d)
	if err != nil {
		return 0, 0, err
	}
	if most := (top - bottom) / inch; !(d.Depth >= 0 && float64(d.Depth) <= most+1e-9) {
		return 0, 0, fmt.Errorf("tank: depth %g in is outside 0 to %.4g in, the height of the tank at the stick", d.Depth, most)
	}
	return bottom + float64(d.Depth)*inch + l.slope*float64(d.Along), inch, nil
}

// Volume returns the volume of liquid that a dip shows, at the liquid's temperature.
// A dip of 0 is the volume that lies below the foot of the stick elsewhere in the
// tank: nothing, unless the tank is pitched or the stick stands beside the lowest
// line. It fails when the stick or its depth is outside the tank.
func (l *Lying) Volume(d Dip) (quantity.Gallons, error) {
	y, _, err := l.surface(d)
	if err != nil {
		return 0, err
	}
	return l.gallons(y), nil
}

func (l *Lying) gallons(y float64) quantity.Gallons {
	return quantity.Gallons(l.cubic(y) * l.perCubic)
}

// PerInch returns the gallons that one more inch on the stick adds:
//
//	dV/dh = ∫ chord(x) dx / 231
//
// Times the doubt of the depth it is the doubt of the volume.
func (l *Lying) PerInch(d Dip) (quantity.Gallons, error) {
	y, inch, err := l.surface(d)
	if err != nil {
		return 0, err
	}
	return quantity.Gallons(l.perInch(y) * inch * l.perCubic), nil
}

// Depth returns the depth that a stick at the place of the dip shows when the tank
// holds v; the dip's own depth is not read. Below 0 the foot of the stick stands
// dry, by so much; above the tank's height there the stick is drowned. v must lie
// between 0 and the full tank.
func (l *Lying) Depth(v quantity.Gallons, d Dip) (quantity.Inches, error) {
	full := l.Full()
	if !(v >= 0 && v <= full*(1+1e-12)) {
		return 0, fmt.Errorf("tank: %g gal is outside 0 to %.6g gal, the full tank", v, full)
	}
	bottom, _, inch, err := l.foot(d)
	if err != nil {
		return 0, err
	}
	low, high := l.reach()
	// The highest surface of an empty tank, the lowest of a full one.
	y := halve(low, high, func(y float64) bool {
		if v < full/2 {
			return l.gallons(y) <= v
		}
		return l.gallons(y) < v*(1-1e-13)
	})
	return quantity.Inches((y - l.slope*float64(d.Along) - bottom) / inch), nil
}

// reach returns surfaces, by their level over the front end, that lie below and
// above all of the tank.
func (l *Lying) reach() (low, high float64) {
	bottom, top := l.section.extent()
	first, last := l.spans[0].from*l.slope, l.spans[len(l.spans)-1].to*l.slope
	return bottom + min(first, last) - 1, top + max(first, last) + 1
}

// Doubt is how well things are known, as standard uncertainties.
type Doubt struct {
	Depth       quantity.Inches
	Along       quantity.Inches
	Roll, Pitch quantity.Degrees
	Shape       float64 // share of the volume: dents, heads, baffles, the chart
}

// Usual is the doubt of a stick and an inclinometer on a tank with flat heads. All
// are our judgement, common practice without a source.
var Usual = Doubt{Depth: 0.25, Roll: 2, Pitch: 1, Shape: 0.005}

// UnreadPitch is the standard uncertainty of the pitch of a tank that is taken to
// lie level because nobody read it: our judgement, common practice without a source.
const UnreadPitch quantity.Degrees = 2

// Gauged is what a dip says.
type Gauged struct {
	Volume  quantity.Gallons
	SD      quantity.Gallons // standard uncertainty: the parts below in quadrature
	Full    quantity.Gallons
	PerInch quantity.Gallons // that one more inch on the stick adds
	// The parts of SD: of the depth, of where the stick stands, of roll and pitch, of
	// the shape, and of its sizes where Form.Gauge was told how well they are known.
	ByDepth, ByPlace, ByLie, ByShape, BySizes quantity.Gallons
}

// Gauge returns the volume that a dip shows and its doubt: that of the depth by
// PerInch, that of roll, pitch and the stick's place by how much the volume changes
// when either is off by its doubt, that of the shape as a share.
func (t Tank) Gauge(lie Lie, d Dip, u Doubt) (Gauged, error) {
	if !(u.Depth >= 0 && u.Along >= 0 && u.Roll >= 0 && u.Pitch >= 0 && u.Shape >= 0) {
		return Gauged{}, fmt.Errorf("tank: a doubt below 0: depth %g in, along %g in, roll %g°, pitch %g°, shape %g", u.Depth, u.Along, u.Roll, u.Pitch, u.Shape)
	}
	l, err := t.Lying(lie)
	if err != nil {
		return Gauged{}, err
	}
	v, err := l.Volume(d)
	if err != nil {
		return Gauged{}, err
	}
	g := Gauged{Volume: v, Full: l.Full()}
	if g.PerInch, err = l.PerInch(d); err != nil {
		return Gauged{}, err
	}
	g.ByDepth, g.ByShape = g.PerInch*quantity.Gallons(u.Depth), v*quantity.Gallons(u.Shape)
	roll := t.change(v, d, Lie{lie.Roll - u.Roll, lie.Pitch}, Lie{lie.Roll + u.Roll, lie.Pitch})
	pitch := t.change(v, d, Lie{lie.Roll, lie.Pitch - u.Pitch}, Lie{lie.Roll, lie.Pitch + u.Pitch})
	g.ByLie = hypot(roll, pitch)
	g.ByPlace = t.place(lie, d, u)
	g.SD = hypot(hypot(g.ByDepth, g.ByShape), hypot(g.ByLie, g.ByPlace))
	return g, nil
}

// place is how much the volume changes when the stick stands further along, or back,
// by the doubt of its place. In a level tank that is nothing; but where neither the
// place nor the pitch is well known, the doubt is that of the two together.
func (t Tank) place(lie Lie, d Dip, u Doubt) (most quantity.Gallons) {
	if u.Along == 0 {
		return 0
	}
	for _, pitch := range []quantity.Degrees{lie.Pitch - u.Pitch, lie.Pitch, lie.Pitch + u.Pitch} {
		l, err := t.Lying(Lie{lie.Roll, pitch})
		if err != nil {
			continue
		}
		here, ok := l.shown(d)
		for _, along := range []quantity.Inches{d.Along - u.Along, d.Along + u.Along} {
			moved := d
			moved.Along = min(max(along, 0), t.Length)
			if there, also := l.shown(moved); ok && also {
				most = max(most, gap(here, there))
			}
		}
	}
	return most
}

// shown is the volume that a dip shows, where the stick does not stand beside the
// tank. The depth may be more than the tank is high.
func (l *Lying) shown(d Dip) (quantity.Gallons, bool) {
	bottom, _, inch, err := l.foot(d)
	return l.gallons(bottom + float64(d.Depth)*inch + l.slope*float64(d.Along)), err == nil
}

// change is the larger of the two changes of v when the tank lies otherwise. Where
// it cannot lie so, or the stick would stand beside the tank, there is none.
func (t Tank) change(v quantity.Gallons, d Dip, lies ...Lie) (most quantity.Gallons) {
	for _, lie := range lies {
		l, err := t.Lying(lie)
		if err != nil {
			continue
		}
		if w, ok := l.shown(d); ok {
			most = max(most, gap(v, w))
		}
	}
	return most
}

func gap(a, b quantity.Gallons) quantity.Gallons {
	return quantity.Gallons(math.Abs(float64(a - b)))
}

func hypot(a, b quantity.Gallons) quantity.Gallons {
	return quantity.Gallons(math.Hypot(float64(a), float64(b)))
}

// Standing returns the volume in a tank that stands upright on its front end, by the
// depth above the lowest point of that end.
func (t Tank) Standing(depth quantity.Inches) (quantity.Gallons, error) {
	l, err := t.Lying(Lie{})
	if err != nil {
		return 0, err
	}
	from, to := l.spans[0].from, l.spans[len(l.spans)-1].to
	if !(depth >= 0 && float64(depth) <= to-from+1e-9) {
		return 0, fmt.Errorf("tank: depth %g in is outside 0 to %.4g in, the tank's length with its heads", depth, to-from)
	}
	below := from + float64(depth)
	var cut []span
	for _, s := range l.spans {
		if s.from < below {
			cut = append(cut, span{s.from, min(s.to, below), s.scale})
		}
	}
	l.spans = cut
	return l.gallons(math.Inf(1)), nil
}
