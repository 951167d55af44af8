package chart

import (
	"math"
	"slices"
	"strings"
)

// Stand says how a reading stands to its limit.
type Stand int

// The stands. Each has a shape of its own.
const (
	NoLimit Stand = iota
	Within
	MayBeOver
	IsOver
)

// Dot is one reading with the limit it was held to.
type Dot struct {
	Label string // when and where
	Amount
	Limit Amount // not known where none was given
	Stand Stand
	Word  string // of the stand
}

// Dots is readings one below the other on a scale of powers of ten, since a bond may
// read a thousandth or a thousand times its limit.
type Dots struct {
	ID    string // begins every id in the picture; a page has it once
	Title string
	Lines []string // what is to be said of the whole, one line each
	Unit  string
	Dots  []Dot
	Far   *Line // a limit far from the others, for all
}

// The height of a dot with the words above it, and of the line it stands on.
const (
	dotHeight = 31.0
	dotLine   = 21.0
)

// decades is an axis of powers of ten.
type decades struct{ scale }

// newDecades is an axis that holds all values, each above 0.
func newDecades(values []float64, from, to float64) decades {
	low, high := 0.0, 0.0
	for i, v := range values {
		d := math.Log10(v)
		if i == 0 {
			low, high = math.Floor(d), math.Ceil(d)
		}
		low, high = math.Min(low, math.Floor(d)), math.Max(high, math.Ceil(d))
	}
	return decades{scale{low, math.Max(high, low+1), from, to}}
}

// place is where a value lies, kept to the ends of the axis.
func (d decades) place(v float64) float64 {
	if !(v > 0) {
		return d.from
	}
	return d.at(d.within(math.Log10(v)))
}

// placed reports whether a value has a place on a scale of powers of ten.
func placed(v float64) bool { return v > 0 && drawable(v) }

// SVG draws the dots for a width in pixels.
func (d *Dots) SVG(width float64) string {
	c := &canvas{id: d.ID, width: width}
	y := c.head(d.Title, d.Lines...)
	values := d.values()
	if len(values) == 0 {
		y += lineGap
		c.text(0, y, start, note, soft, "readings: "+Unknown)
		return c.svg(y+6, d.Title, d.describe())
	}
	axis := newDecades(values, 6, width-6)
	top := y + 10
	bottom := top + dotHeight*float64(len(d.Dots)) + 4
	d.grid(c, axis, top, bottom)
	for i := range d.Dots {
		d.Dots[i].draw(c, axis, top+dotHeight*float64(i))
	}
	base := d.labels(c, axis, bottom)
	return c.svg(d.legend(c, base), d.Title, d.describe())
}

// values are all that the axis has to hold.
func (d *Dots) values() (out []float64) {
	take := func(a Amount) {
		if a.Known && placed(a.Value) {
			out = append(out, a.Value)
		}
	}
	for _, p := range d.Dots {
		take(p.Amount)
	}
	if len(out) == 0 {
		return nil
	}
	for _, p := range d.Dots {
		take(p.Limit)
	}
	if d.Far != nil && placed(d.Far.Value) {
		out = append(out, d.Far.Value)
	}
	return out
}

// grid draws a line for each power of ten, and the far limit.
func (d *Dots) grid(c *canvas, axis decades, top, bottom float64) {
	for e := axis.low; e <= axis.high; e++ {
		c.line(axis.at(e), top, axis.at(e), bottom, `stroke="`+faint+`"`)
	}
	c.line(axis.from, bottom, axis.to, bottom, `stroke="`+ink+`"`)
	if d.Far != nil && placed(d.Far.Value) {
		x := axis.place(d.Far.Value)
		c.path(dashed, x, top, x, bottom)
	}
}

// labels writes the powers of ten below the axis where they find room.
func (d *Dots) labels(c *canvas, axis decades, bottom float64) float64 {
	base, taken := bottom+note+6, -1.0
	for e := axis.low; e <= axis.high; e++ {
		words := label(math.Pow(10, e))
		if e == axis.low {
			words += " " + d.Unit
		}
		words = fit(words, note, c.width/2)
		half := textWidth(words, note) / 2
		x := math.Min(math.Max(axis.at(e), half), c.width-half)
		c.line(axis.at(e), bottom, axis.at(e), bottom+4, `stroke="`+quiet+`"`)
		if x-half <= taken {
			continue
		}
		c.text(x, base, center, note, soft, words)
		taken = x + half + gap
	}
	return base
}

// draw draws one reading below its words.
func (p *Dot) draw(c *canvas, axis decades, top float64) {
	y := top + dotLine
	look, wide := plain, 1.0
	if p.Stand == IsOver {
		look, wide = bold, broad
	}
	words := fit(p.reads(), note*wide, axis.to*0.6)
	c.text(axis.to-4, top+note, end, note, look+halo, words)
	c.text(0, top+note, start, note, plain+halo, fit(p.Label, note, axis.to-4-textWidth(words, note)*wide-gap))
	c.open(p.Label + ": " + p.says())
	c.line(axis.from, y, axis.to, y, `stroke="`+middle+`"`)
	if p.Limit.Known && placed(p.Limit.Value) {
		x := axis.place(p.Limit.Value)
		c.line(x, y-6, x, y+6, `stroke="`+ink+`" stroke-width="2.5"`)
	}
	if p.Known && placed(p.Value) {
		x1, x2 := axis.place(p.Low), axis.place(math.Min(p.High, most))
		if x2-x1 > 1 {
			c.line(x1, y, x2, y, `stroke="`+ink+`" stroke-width="4"`)
		}
		c.stand(axis.place(p.Value), y, p.Stand)
	}
	c.close()
}

func orUnknown(words string) string {
	if words == "" {
		return Unknown
	}
	return words
}

// reads is a reading in words, how it stands included.
func (p *Dot) reads() string {
	if !p.Known || p.Word == "" {
		return orUnknown(p.Text)
	}
	return p.Text + ", " + p.Word
}

// says is a reading in words, with its limit.
func (p *Dot) says() string {
	if !p.Known || !p.Limit.Known {
		return p.reads()
	}
	return p.reads() + " of " + p.Limit.Text
}

// stand draws the shape of a stand.
func (c *canvas) stand(x, y float64, s Stand) {
	look := `fill="` + ink + `" stroke="` + paper + `"`
	switch s {
	case IsOver:
		c.path(look, x-6, y+5, x+6, y+5, x, y-6, x-6, y+5)
	case MayBeOver:
		c.path(`fill="`+paper+`" stroke="`+ink+`" stroke-width="1.6"`, x-6, y+5, x+6, y+5, x, y-6, x-6, y+5)
	case Within:
		c.rect(x-4, y-4, x+4, y+4, look)
	default:
		c.rect(x-4, y-4, x+4, y+4, `fill="`+paper+`" stroke="`+ink+`" stroke-width="1.6"`)
	}
}

// legend says what the marks mean that are in the picture, and returns its end.
func (d *Dots) legend(c *canvas, y float64) float64 {
	row := func(words string, glyph func(y float64)) { y = c.key(y, words, glyph) }
	for _, s := range []Stand{Within, IsOver, MayBeOver, NoLimit} {
		i := slices.IndexFunc(d.Dots, func(p Dot) bool { return p.Stand == s && p.Known })
		if i >= 0 {
			row(orUnknown(d.Dots[i].Word), func(y float64) { c.stand(10, y, s) })
		}
	}
	if slices.ContainsFunc(d.Dots, func(p Dot) bool { return p.Limit.Known }) {
		row("the limit then in force", func(y float64) { c.line(10, y-5, 10, y+5, `stroke="`+ink+`" stroke-width="2.5"`) })
	}
	if d.Far != nil {
		row(d.Far.Word, func(y float64) { c.path(dashed, 10, y-5, 10, y+5) })
	}
	return y + 5
}

// describe says the whole picture in words.
func (d *Dots) describe() string {
	parts := slices.Clone(d.Lines)
	for _, p := range d.Dots {
		parts = append(parts, p.Label+": "+p.says())
	}
	if d.Far != nil {
		parts = append(parts, d.Far.Word)
	}
	return strings.Join(parts, "; ") + "."
}
