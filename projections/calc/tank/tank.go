// Package tank turns the depth of liquid in a tank into its volume and back, for the
// cross-sections of road tankers and drums, lying at any roll and pitch.
//
// A Section is lines and arcs, and its area below a level is exact: no polygon
// stands for it. Along the tank the area is integrated numerically between the
// places where its law changes; the tests hold that to 1e-9 of the tank.
//
// What is exact is the shape. A shell that has been through a wreck has dents, a
// compartment has baffles, and nobody knows the roll to better than a degree or
// two: Gauge says what that does to the volume. Where the stamped capacity is known
// the geometry only says what share of it is full.
package tank

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// cubicInches are in a gallon, by definition.
const cubicInches = 231

// Tank is one tank or one compartment, by its inside.
type Tank struct {
	Section     Section
	Length      quantity.Inches // of the shell, between the heads
	Front, Rear Head
	// Capacity is the volume stamped on it; 0 if there is none. The shape is then
	// only taken for the share that is full.
	Capacity quantity.Gallons
}

// Lie is how a tank lies.
type Lie struct {
	// Roll is the turn about the long axis: 0 upright, 90 on its right side, 180 on
	// its top, seen from behind.
	Roll quantity.Degrees
	// Pitch is how far the axis leans, the front end down where it is above 0. It
	// must lie between −85 and 85; for a tank on its end see Standing.
	Pitch quantity.Degrees
}

// Dip is where a depth is measured and how.
type Dip struct {
	Depth quantity.Inches // of liquid, up from where the stick stops
	Along quantity.Inches // from the front end of the shell to where the stick stops
	// Offset is how far to the right of the tank's lowest line the stick stops, seen
	// from behind. Below a hole at the highest line of a rolled tank it is not 0: see
	// High.
	Offset quantity.Inches
	// Plumb says that the stick was held upright in a pitched tank and not square to
	// the shell.
	Plumb bool
}

// span is a stretch of the tank's axis with the scale of its section.
type span struct {
	from, to float64
	scale    func(x float64) float64
}

// Lying is a tank as it lies.
type Lying struct {
	tank     Tank
	section  Section // rolled
	spans    []span
	slope    float64 // the surface's, falling from the front
	cos      float64 // of the pitch
	whole    float64 // cubic inches
	perCubic float64 // gallons, scaled to the stamped capacity
}

// spans lists the stretches of the axis, from the front head's tip to the rear's.
func (t Tank) spans() (out []span, err error) {
	bottom, top := t.Section.extent()
	front, err := t.Front.bulges((top - bottom) / 2)
	if err != nil {
		return nil, fmt.Errorf("tank: front head: %w", err)
	}
	rear, err := t.Rear.bulges((top - bottom) / 2)
	if err != nil {
		return nil, fmt.Errorf("tank: rear head: %w", err)
	}
	for i := len(front) - 1; i >= 0; i-- {
		b := front[i]
		out = append(out, span{-b.to, -b.from, func(x float64) float64 { return b.scale(-x) }})
	}
	out = append(out, span{0, float64(t.Length), func(float64) float64 { return 1 }})
	for _, b := range rear {
		out = append(out, span{float64(t.Length) + b.from, float64(t.Length) + b.to, func(x float64) float64 { return b.scale(x - float64(t.Length)) }})
	}
	return out, nil
}

// Lying returns the tank as it lies. It fails when the tank or its lie is no shape
// there can be.
func (t Tank) Lying(l Lie) (*Lying, error) {
	switch {
	case len(t.Section.outline) == 0:
		return nil, fmt.Errorf("tank: no cross-section; take a circle, an ellipse, an obround, a rounded rectangle or an oval")
	case !(t.Length >= 0 && t.Length < 10000):
		return nil, fmt.Errorf("tank: length %g in is outside 0 to 10,000 in", t.Length)
	case !(t.Capacity >= 0 && t.Capacity < 1e6):
		return nil, fmt.Errorf("tank: stamped capacity %g gal is outside 0 to 1,000,000; leave it 0 if there is none", t.Capacity)
	case !(math.Abs(float64(l.Roll)) <= 1000):
		return nil, fmt.Errorf("tank: roll %g° is no angle; give it from -180° to 180°", l.Roll)
	case !(math.Abs(float64(l.Pitch)) <= 85):
		return nil, fmt.Errorf("tank: pitch %g° is outside -85° to 85°; a tank on its end is gauged standing", l.Pitch)
	}
	spans, err := t.spans()
	if err != nil {
		return nil, err
	}
	section := t.Section.rolled(-float64(l.Roll) * math.Pi / 180)
	sin, cos := math.Sincos(float64(l.Pitch) * math.Pi / 180)
	lying := &Lying{tank: t, section: section, spans: spans, slope: sin / cos, cos: cos}
	lying.whole = lying.cubic(math.Inf(1))
	lying.perCubic = t.perCubic(lying.whole)
	if lying.whole == 0 {
		return nil, fmt.Errorf("tank: it holds nothing; give it a length or heads")
	}
	return lying, nil
}

// perCubic is what a cubic inch of the shape counts for, in gallons.
func (t Tank) perCubic(whole float64) float64 {
	if t.Capacity > 0 {
		return float64(t.Capacity) / whole
	}
	return 1.0 / cubicInches
}

// Full returns the volume of the full tank.
func (l *Lying) Full() quantity.Gallons { return quantity.Gallons(l.whole * l.perCubic) }

// High returns the offset of the tank's highest line from its lowest: that of a
// plumb stick through a hole at the very top.
func (l *Lying) High() quantity.Inches {
	low := l.section.lowest()
	high := -l.section.rolled(math.Pi).lowest()
	return quantity.Inches(high - low)
}

// cubic returns the cubic inches below a surface that stands at the level y over the
// front end of the shell and falls from there.
func (l *Lying) cubic(y float64) float64 {
	return l.integrate(y, func(scale, level float64) float64 {
		return scale * scale * l.section.area(level/scale)
	})
}

// perInch returns the cubic inches that one more inch of depth, square to the shell,
// adds: the area of the surface seen from there.
func (l *Lying) perInch(y float64) float64 {
	return l.integrate(y, func(scale, level float64) float64 {
		return scale * l.section.chord(level/scale)
	})
}
