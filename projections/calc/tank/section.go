package tank

import (
	"fmt"
	"math"

	"tankside/events/quantity"
)

// point is a place in the plane of a cross-section, or a direction, in inches: x to
// the right, y up, the origin on the tank's axis.
type point struct{ x, y float64 }

func (p point) turned(by float64) point {
	s, c := math.Sincos(by)
	return point{c*p.x - s*p.y, s*p.x + c*p.y}
}

func (p point) plus(q point) point    { return point{p.x + q.x, p.y + q.y} }
func (p point) times(f float64) point { return point{f * p.x, f * p.y} }

// piece is a part of an outline, run through counterclockwise: the straight line
// from c to c + u, or, where round, the arc c + u·cos t + v·sin t for t from a to b.
type piece struct {
	c, u, v point
	a, b    float64
	round   bool
}

// Section is the inside of a tank's cross-section, upright. Use one of Circle,
// Ellipse, Obround, RoundedRectangle and Oval; the zero Section holds nothing.
type Section struct {
	outline []piece
	levels  []float64 // at which an outline begins, ends or changes its law, lowest first
}

func newSection(outline ...piece) Section {
	return Section{outline, levels(outline)}
}

func line(from, to point) piece { return piece{c: from, u: to.plus(from.times(-1)), b: 1} }

func arc(c point, r, from, to float64) piece {
	return piece{c: c, u: point{r, 0}, v: point{0, r}, a: from, b: to, round: true}
}

// Circle returns a round section. The diameter is inside and above 0.
func Circle(diameter quantity.Inches) (Section, error) { return Ellipse(diameter, diameter) }

// Ellipse returns an elliptical section of the given width and height, inside and
// above 0.
func Ellipse(width, height quantity.Inches) (Section, error) {
	if err := sizes(width, height); err != nil {
		return Section{}, err
	}
	u, v := point{float64(width) / 2, 0}, point{0, float64(height) / 2}
	return newSection(piece{u: u, v: v, b: 2 * math.Pi, round: true}), nil
}

// Obround returns a section of two half circles joined by straight sides, standing
// where it is higher than wide, lying where it is wider.
func Obround(width, height quantity.Inches) (Section, error) {
	return RoundedRectangle(width, height, min(width, height)/2)
}

// RoundedRectangle returns a rectangle with corners of the given radius, from 0 for
// a box to half the smaller side for an obround.
func RoundedRectangle(width, height, radius quantity.Inches) (Section, error) {
	if err := sizes(width, height); err != nil {
		return Section{}, err
	}
	if !(radius >= 0 && radius <= min(width, height)/2) {
		return Section{}, fmt.Errorf("tank: corner radius %g in is outside 0 to %g in, half the smaller side", radius, min(width, height)/2)
	}
	r, w, h := float64(radius), float64(width)/2, float64(height)/2
	x, y := w-r, h-r // centres of the corners
	return newSection(
		line(point{-x, -h}, point{x, -h}), arc(point{x, -y}, r, -math.Pi/2, 0),
		line(point{w, -y}, point{w, y}), arc(point{x, y}, r, 0, math.Pi/2),
		line(point{x, h}, point{-x, h}), arc(point{-x, y}, r, math.Pi/2, math.Pi),
		line(point{-w, y}, point{-w, -y}), arc(point{-x, -y}, r, math.Pi, 3*math.Pi/2),
	), nil
}

// Oval returns the section of four arcs that most road tankers have: sides of the
// given radius, and a crown and a belly whose larger arcs run smoothly into them.
// With a = W/2 − r and b = H/2 the large arcs have the radius
//
//	R = (a² + b² − r²)/(2·(b − r))
//
// The section must be at least as wide as high and the radius below half the
// height. Source: two circles that touch from within; our derivation.
func Oval(width, height, side quantity.Inches) (Section, error) {
	if err := sizes(width, height); err != nil {
		return Section{}, err
	}
	if !(side > 0 && side < height/2) || width < height {
		return Section{}, fmt.Errorf("tank: oval %g × %g in with side radius %g in: want it as wide as high or wider and the radius below half the height; with half of it, use an obround", width, height, side)
	}
	r, a, b := float64(side), float64(width)/2-float64(side), float64(height)/2
	big := (a*a + b*b - r*r) / (2 * (b - r))
	phi := math.Atan2(a, big-b) // from the vertical to where the arcs meet
	return newSection(
		arc(point{0, big - b}, big, -math.Pi/2-phi, -math.Pi/2+phi),
		arc(point{a, 0}, r, -math.Pi/2+phi, math.Pi/2-phi),
		arc(point{0, b - big}, big, math.Pi/2-phi, math.Pi/2+phi),
		arc(point{-a, 0}, r, math.Pi/2+phi, 3*math.Pi/2-phi),
	), nil
}

func sizes(width, height quantity.Inches) error {
	if !(width > 0 && height > 0 && width < 1000 && height < 1000) {
		return fmt.Errorf("tank: width %g in and height %g in must be above 0 and below 1,000 in", width, height)
	}
	return nil
}

// Area returns the whole area in square inches.
func (s Section) Area() float64 { return s.area(math.Inf(1)) }

// rolled returns the outline as it lies when the tank has rolled by so many radians.
func (s Section) rolled(by float64) Section {
	out := make([]piece, len(s.outline))
	for i, p := range s.outline {
		p.c, p.u, p.v = p.c.turned(by), p.u.turned(by), p.v.turned(by)
		out[i] = p
	}
	return newSection(out...)
}

// area returns the area below the level y. For an outline run through
// counterclockwise it is, by Green's theorem,
//
//	∮ max(0, y − y(t))·x′(t) dt
func (s Section) area(y float64) float64 { return s.sum(y, piece.below) }

// chord returns the width of the liquid's surface at the level y: the derivative of
// area, ∮ x′(t) dt over what lies below y.
func (s Section) chord(y float64) float64 { return s.sum(y, piece.across) }

func (s Section) sum(y float64, of func(p piece, y, from, to float64) float64) (sum float64) {
	low, high := s.extent()
	if y <= low {
		return 0
	}
	for _, p := range s.outline {
		for _, r := range p.wet(min(y, high)) {
			sum += of(p, min(y, high), r[0], r[1])
		}
	}
	return max(0, sum)
}
