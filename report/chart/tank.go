package chart

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Outline is the cross-section of a compartment as it was measured, in any one unit of
// length. Its zero value is a shape that nobody recorded.
type Outline struct {
	Shape         string // circle, ellipse, obround, rounded or four-arc
	Width, Height float64
	Radius        float64 // of the corners of rounded, of the sides of four-arc
	Roll          float64 // degrees, clockwise
}

// Opening is a hole or outlet of a compartment, drawn by what it was for: that of vapour
// at the top, that of liquid at the bottom.
type Opening struct {
	Word   string
	Vapour bool
	Closed bool // its closing was recorded
}

// Hold is one compartment with what is in it.
type Hold struct {
	Label string
	Outline
	Share Amount   // 0 to 1 of what it can hold, or held
	Lines []string // what is said of it
	Holes []Opening
}

// Tank is the compartments of a tank in cross-section, each as it lies, with the level
// that its contents would stand at in a shell that is the same from end to end.
type Tank struct {
	ID    string // begins every id in the picture; a page has it once
	Title string
	Holds []Hold
}

// The height of a cross-section, and the least and the greatest breadth of a compartment
// with its words.
const (
	sectionHeight = 84.0
	holdWidth     = 104.0
	holdWidest    = 144.0
)

// point is a place in a picture or in a section.
type point struct{ x, y float64 }

// SVG draws the tank for a width in pixels.
func (t *Tank) SVG(width float64) string {
	c := &canvas{id: t.ID, width: width}
	c.head(t.Title)
	y := size + 10
	if len(t.Holds) == 0 {
		c.text(0, size+lineGap, start, note, soft, "compartments: "+Unknown)
		return c.svg(size+lineGap+6, t.Title, t.describe())
	}
	across := min(len(t.Holds), int(width/holdWidth))
	wide := math.Min(width/float64(across), holdWidest)
	for row := range slices.Chunk(t.Holds, across) {
		bottom := y
		for i := range row {
			bottom = math.Max(bottom, row[i].draw(c, float64(i)*wide, y, wide))
		}
		y = bottom + 12
	}
	return c.svg(t.legend(c, y-6), t.Title, t.describe())
}

// draw draws a compartment with its words below, and returns where it ends.
func (h *Hold) draw(c *canvas, x, y, wide float64) float64 {
	c.text(x+wide/2, y+size, center, size, bold, fit(h.Label, size*broad, wide-8))
	y += size + 14
	c.open(h.Label + ": " + h.says())
	h.section(c, point{x + wide/2, y + sectionHeight/2}, wide-24)
	c.close()
	y += sectionHeight + 10
	for _, words := range h.Lines {
		for _, line := range wrap(words, note, wide-8) {
			y += lineGap
			c.text(x+wide/2, y, center, note, soft, line)
		}
	}
	return y
}

// section draws the shell, what is in it, and its holes.
func (h *Hold) section(c *canvas, middle point, wide float64) {
	shell := h.Outline.shell()
	low, high := bounds(shell)
	grow := math.Min(sectionHeight/(high.y-low.y), wide/(high.x-low.x))
	for i, p := range shell {
		shell[i] = point{middle.x + (p.x-(low.x+high.x)/2)*grow, middle.y + (p.y-(low.y+high.y)/2)*grow}
	}
	if h.Share.Known && h.Share.Value > 0 && drawable(h.Share.Value) {
		level := surface(shell, math.Min(1, h.Share.Value))
		c.path(`fill="`+middleGrey+`"`, flat(below(shell, level))...)
	}
	look := `fill="none" stroke="` + ink + `" stroke-width="1.8"`
	if h.Shape == "" {
		look = `fill="none" stroke="` + ink + `" stroke-width="1.4" stroke-dasharray="5 3"`
	}
	c.path(look, flat(append(shell, shell[0]))...)
	if !h.Share.Known {
		c.text(middle.x, middle.y+4, center, size, ` fill="`+doubt+`"`, "?")
	}
	h.marks(c, shell, middle.x-wide/2, middle.x+wide/2)
}

// marks draws the openings at the top and the bottom of the shell, between left and right.
func (h *Hold) marks(c *canvas, shell []point, left, right float64) {
	low, high := bounds(shell)
	seen := map[bool]int{} // for vapour, for liquid
	for _, o := range h.Holes {
		n := seen[o.Vapour]
		if seen[o.Vapour]++; n >= 5 {
			continue // no room; the words have them all
		}
		y, edge := high.y+5, high.y
		if o.Vapour {
			y, edge = low.y-5, low.y
		}
		aside := 14 * float64((n+1)/2)
		if n%2 == 1 {
			aside = -aside
		}
		x := math.Min(math.Max(middleAt(shell, edge), left+28), right-28)
		c.opening(x+aside, y, o)
	}
}

// middleAt is the middle of the points of a shell that lie at a height.
func middleAt(shell []point, y float64) float64 {
	var on []point
	for _, p := range shell {
		if math.Abs(p.y-y) < 0.1 {
			on = append(on, p)
		}
	}
	low, high := bounds(on)
	return (low.x + high.x) / 2
}

// middleGrey is the ink of liquid.
const middleGrey = "#aab2ba"

// opening draws the mark of an opening.
func (c *canvas) opening(x, y float64, o Opening) {
	look := `fill="` + paper + `" stroke="` + ink + `" stroke-width="1.4"`
	if o.Closed {
		look = `fill="` + ink + `" stroke="` + ink + `" stroke-width="1.4"`
	}
	d := 4.0
	if o.Vapour {
		d = -d
	}
	c.path(look, x-4, y-d, x+4, y-d, x, y+d, x-4, y-d)
}

// shell is the outline as a polygon about the middle, turned by its roll. A shape that
// nobody recorded is drawn as an ellipse.
func (o Outline) shell() (out []point) {
	a, b := o.Width/2, o.Height/2
	switch {
	case o.Shape == "circle":
		a = math.Max(a, b)
		b = a
	case !(a > 0 && b > 0) || !drawable(a) || !drawable(b) || o.Shape == "":
		o.Shape, a, b = "", 4, 3
	}
	if !(a > 0) || !drawable(a) {
		a, b = 1, 1
	}
	switch o.Shape {
	case "obround":
		out = rounded(a, b, math.Min(a, b))
	case "rounded":
		out = rounded(a, b, math.Min(math.Max(0, o.Radius), math.Min(a, b)))
	case "four-arc":
		out = fourArcs(a, b, o.Radius)
	default:
		out = arc(nil, point{}, a, b, 0, 2*math.Pi)
	}
	if !drawable(o.Roll) {
		return out
	}
	sin, cos := math.Sincos(o.Roll * math.Pi / 180)
	for i, p := range out {
		out[i] = point{p.x*cos - p.y*sin, p.x*sin + p.y*cos}
	}
	return out
}

// arc adds the points of an elliptic arc about c, from one angle to another.
func arc(to []point, c point, a, b, from, until float64) []point {
	n := max(2, int(math.Ceil(math.Abs(until-from)/(math.Pi/24))))
	for i := range n {
		sin, cos := math.Sincos(from + (until-from)*float64(i)/float64(n))
		to = append(to, point{c.x + a*cos, c.y + b*sin})
	}
	return to
}

// rounded is a rectangle of half the sides a and b, its corners of radius r.
func rounded(a, b, r float64) (out []point) {
	for i, corner := range []point{{a - r, b - r}, {r - a, b - r}, {r - a, r - b}, {a - r, r - b}} {
		from := float64(i) * math.Pi / 2
		out = arc(out, corner, r, r, from, from+math.Pi/2)
		sin, cos := math.Sincos(from + math.Pi/2)
		out = append(out, point{corner.x + r*cos, corner.y + r*sin})
	}
	return out
}

// fourArcs is the oval whose sides have the radius r. That of top and bottom follows
// from the arcs meeting without a kink:
//
//	R = ((a-r)² + b² - r²) / 2(b-r)
//
// Where no such oval is, the ellipse is drawn.
func fourArcs(a, b, r float64) (out []point) {
	if !(r > 0 && r < b && b <= a) {
		return arc(nil, point{}, a, b, 0, 2*math.Pi)
	}
	big := ((a-r)*(a-r) + b*b - r*r) / (2 * (b - r))
	turn := math.Atan2(big-b, a-r)
	out = arc(out, point{a - r, 0}, r, r, -turn, turn)
	out = arc(out, point{0, b - big}, big, big, turn, math.Pi-turn)
	out = arc(out, point{r - a, 0}, r, r, math.Pi-turn, math.Pi+turn)
	return arc(out, point{0, big - b}, big, big, math.Pi+turn, 2*math.Pi-turn)
}

// bounds is the least and the greatest of x and y.
func bounds(shell []point) (low, high point) {
	low, high = shell[0], shell[0]
	for _, p := range shell {
		low = point{math.Min(low.x, p.x), math.Min(low.y, p.y)}
		high = point{math.Max(high.x, p.x), math.Max(high.y, p.y)}
	}
	return low, high
}

// below is the part of a shell below a level; down the picture is greater y.
func below(shell []point, level float64) (out []point) {
	for i, p := range shell {
		q := shell[(i+1)%len(shell)]
		if p.y >= level {
			out = append(out, p)
		}
		if (p.y >= level) != (q.y >= level) {
			out = append(out, point{p.x + (q.x-p.x)*(level-p.y)/(q.y-p.y), level})
		}
	}
	return out
}

// area is that of a polygon.
func area(shell []point) (sum float64) {
	for i, p := range shell {
		q := shell[(i+1)%len(shell)]
		sum += p.x*q.y - q.x*p.y
	}
	return math.Abs(sum) / 2
}

// surface is the level below which a share of the shell lies, by halving.
func surface(shell []point, share float64) float64 {
	low, high := bounds(shell)
	up, down, whole := low.y, high.y, area(shell)
	for range 40 {
		if m := (up + down) / 2; area(below(shell, m)) > share*whole {
			up = m
		} else {
			down = m
		}
	}
	return (up + down) / 2
}

// flat is points as their coordinates.
func flat(points []point) (xy []float64) {
	for _, p := range points {
		xy = append(xy, p.x, p.y)
	}
	return xy
}

// legend says what the marks mean that are in the picture, and returns its end.
func (t *Tank) legend(c *canvas, y float64) float64 {
	row := func(words string, glyph func(y float64)) { y = c.key(y, words, glyph) }
	some := func(is func(Hold) bool) bool { return slices.ContainsFunc(t.Holds, is) }
	hole := func(is func(Opening) bool) bool {
		return some(func(h Hold) bool { return slices.ContainsFunc(h.Holes, is) })
	}
	if some(func(h Hold) bool { return h.Share.Known }) {
		row("liquid, level drawn by its share of the volume", func(y float64) { c.rect(1, y-5, 20, y+5, `fill="`+middleGrey+`" stroke="`+ink+`"`) })
	}
	if some(func(h Hold) bool { return h.Shape == "" }) {
		row("shape and roll not recorded: drawn as an ellipse", func(y float64) { c.path(dashed, 1, y, 20, y) })
	}
	for _, m := range []struct {
		Opening
		words string
	}{
		{Opening{Vapour: true}, "hole for vapour"}, {Opening{}, "hole for liquid"},
		{Opening{Vapour: true, Closed: true}, "hole for vapour, closed"}, {Opening{Closed: true}, "hole for liquid, closed"},
	} {
		if hole(func(o Opening) bool { return o.Vapour == m.Vapour && o.Closed == m.Closed }) {
			words := m.words
			if !m.Closed {
				words += ", its closing " + Unknown
			}
			row(words, func(y float64) { c.opening(10, y, m.Opening) })
		}
	}
	return y + 5
}

// says is a compartment in words.
func (h *Hold) says() string {
	parts := slices.Clone(h.Lines)
	if h.Shape == "" {
		parts = append(parts, "shape "+Unknown)
	} else {
		parts = append(parts, h.Shape+fmt.Sprintf(", rolled %.0f°", h.Roll))
	}
	for _, o := range h.Holes {
		parts = append(parts, "hole "+o.Word+map[bool]string{true: ", closed", false: ", closing " + Unknown}[o.Closed])
	}
	return strings.Join(parts, ", ")
}

// describe says the whole picture in words.
func (t *Tank) describe() string {
	var parts []string
	for i := range t.Holds {
		parts = append(parts, t.Holds[i].Label+": "+t.Holds[i].says())
	}
	if len(parts) == 0 {
		parts = []string{"compartments: " + Unknown}
	}
	return strings.Join(parts, "; ") + "."
}
