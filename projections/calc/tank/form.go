package tank

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tankside/events/quantity"
)

// The names of the sections a Form may have.
const (
	CircleForm  = "circle"
	EllipseForm = "ellipse"
	ObroundForm = "obround"
	RoundedForm = "rounded"  // a rectangle with rounded corners
	FourArcForm = "four-arc" // the oval of most road tankers
)

// Forms lists the names, plainest first.
var Forms = []string{CircleForm, EllipseForm, ObroundForm, RoundedForm, FourArcForm}

// Form is a tank or a compartment as a crew writes it down: a name and the sizes it
// needs, all inside. What was not measured is 0.
type Form struct {
	Shape         string
	Width, Height quantity.Inches // of a circle either is the diameter
	Radius        quantity.Inches // of the corners of rounded, of the sides of four-arc
	Length        quantity.Inches // may be left out where the capacity is known and the heads are flat
	Heads         Head            // both ends
	Capacity      quantity.Gallons
}

// sizes are the lengths of a form, by place, so that each can be told apart from
// its doubt in another form.
func (f *Form) sizes() []*quantity.Inches {
	return []*quantity.Inches{&f.Width, &f.Height, &f.Radius, &f.Length}
}

// Tank returns the tank of the form. It fails when a size is missing, or when they
// are no shape there can be.
func (f Form) Tank() (Tank, error) {
	section, err := f.section()
	if err != nil {
		return Tank{}, err
	}
	t := Tank{Section: section, Length: f.Length, Front: f.Heads, Rear: f.Heads, Capacity: f.Capacity}
	if f.Length == 0 {
		if f.Capacity == 0 || f.Heads.Shape != Flat {
			return Tank{}, fmt.Errorf("tank: no length; give it, or for flat heads the stamped capacity")
		}
		t.Length = quantity.Inches(float64(f.Capacity) * cubicInches / section.Area())
	}
	return t, nil
}

func (f Form) section() (Section, error) {
	if err := f.missing(); err != nil {
		return Section{}, err
	}
	switch f.Shape {
	case CircleForm:
		return Circle(max(f.Width, f.Height))
	case EllipseForm:
		return Ellipse(f.Width, f.Height)
	case ObroundForm:
		return Obround(f.Width, f.Height)
	case RoundedForm:
		return RoundedRectangle(f.Width, f.Height, f.Radius)
	}
	return Oval(f.Width, f.Height, f.Radius)
}

// missing names the sizes that the form's shape needs and was not given.
func (f Form) missing() error {
	if !slices.Contains(Forms, f.Shape) {
		return fmt.Errorf("tank: shape %q is not known; take %s", f.Shape, strings.Join(Forms, ", "))
	}
	if f.Shape == CircleForm {
		switch {
		case f.Width == 0 && f.Height == 0:
			return fmt.Errorf("tank: a circle needs its height, which is its diameter")
		case f.Width != 0 && f.Height != 0 && f.Width != f.Height:
			return fmt.Errorf("tank: %g in wide and %g in high is no circle; take ellipse", f.Width, f.Height)
		}
		return nil
	}
	var lack []string
	for _, need := range []struct {
		what  string
		v     quantity.Inches
		never bool
	}{{"width", f.Width, false}, {"height", f.Height, false}, {"radius", f.Radius, f.Shape != RoundedForm && f.Shape != FourArcForm}} {
		if need.v == 0 && !need.never {
			lack = append(lack, need.what)
		}
	}
	if len(lack) > 0 {
		return fmt.Errorf("tank: %s needs its %s", f.Shape, strings.Join(lack, " and "))
	}
	return nil
}

// Gauge returns what Tank.Gauge does, with the doubt of the sizes besides: off holds
// the standard uncertainty of each length and of the capacity, 0 for one that counts
// as exact.
func (f Form) Gauge(off Form, lie Lie, d Dip, u Doubt) (Gauged, error) {
	t, err := f.Tank()
	if err != nil {
		return Gauged{}, err
	}
	g, err := t.Gauge(lie, d, u)
	if err != nil {
		return Gauged{}, err
	}
	if f.Capacity > 0 {
		g.BySizes = g.Volume * off.Capacity / f.Capacity
	}
	for i, s := range off.sizes() {
		if *s > 0 && *f.sizes()[i] > 0 {
			g.BySizes = hypot(g.BySizes, f.changed(g.Volume, i, *s, lie, d))
		}
	}
	g.SD = hypot(g.SD, g.BySizes)
	return g, nil
}

// changed is the larger of the two changes of v when a size is off by so much. A
// size the tank cannot have, or one at which the stick stands outside, has none.
func (f Form) changed(v quantity.Gallons, size int, by quantity.Inches, lie Lie, d Dip) (most quantity.Gallons) {
	for _, by := range []quantity.Inches{-by, by} {
		other := f
		*other.sizes()[size] += by
		t, err := other.Tank()
		if err != nil {
			continue
		}
		l, err := t.Lying(lie)
		if err != nil {
			continue
		}
		if w, err := l.Volume(d); err == nil {
			most = max(most, quantity.Gallons(math.Abs(float64(w-v))))
		}
	}
	return most
}

// Under returns the offset from the lowest line at which a stick stops that goes in
// at a clock position of the shell as it lies, seen from behind, 12 straight above
// the axis. It must be above 9 or below 3: a stick goes in from above.
func (l *Lying) Under(clock float64) (quantity.Inches, error) {
	if !(clock >= 0 && clock < 3 || clock > 9 && clock <= 12) {
		return 0, fmt.Errorf("tank: a stick cannot go in at %g o'clock; want a hole above 9 and below 3", clock)
	}
	sin, cos := math.Sincos(clock * math.Pi / 6)
	bottom, top := l.section.extent()
	wall := halve(0, 100*(top-bottom), func(r float64) bool {
		_, high, ok := l.section.column(r * sin)
		return ok && r*cos <= high
	})
	return quantity.Inches(wall*sin - l.section.lowest()), nil
}
