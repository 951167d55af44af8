package chart

import (
	"math"
	"slices"
	"strings"
	"time"
)

// Flag says that the rate of a stretch does not fit, and how.
type Flag int

// The flags: nothing to ask about, too little, too much, and a register that went
// down. Each has a shape of its own.
const (
	Fits Flag = iota
	TooLittle
	TooMuch
	WentDown
)

// Point is what a meter showed at a moment.
type Point struct {
	At    time.Time
	Value float64
}

// Span is a stretch between two readings that follow each other.
type Span struct {
	From, To Point
	Rate     Amount // by the meter
	Expected Amount // what its pump should have run at
	Flag     Flag
	Word     string // what is said of it where it is flagged
}

// Stretch is a time from one moment to another.
type Stretch struct{ From, To time.Time }

// Leg is one run of a pump against the clock: what the meter showed, as steps since
// nobody looked between readings, and below it the rate of each stretch beside the
// rate that a sound meter would have shown. All times are in one zone.
type Leg struct {
	ID       string // begins every id in the picture; a page has it once
	Title    string
	Lines    []string // what is to be said of the whole, one line each
	Unit     string   // of the meter
	RateUnit string
	Points   []Point
	Spans    []Span
	Held     []Stretch // when the pump was held
}

// The heights of the two fields, and the room for words above each.
const (
	upper = 120.0
	lower = 64.0
	above = 18.0
)

// field is one of the two fields of a leg, over the clock they share.
type field struct {
	scale
	ticks []float64
}

// newField is a field that holds zero and all values, between round numbers.
func newField(top, height float64, about int, values []float64) field {
	low, high := span(values...)
	ticks := rounds(low, high, about)
	return field{scale{ticks[0], ticks[len(ticks)-1], top + height, top}, ticks}
}

// legPlot is where the parts of a leg stand.
type legPlot struct {
	*canvas
	*Leg
	clock
	volume, rate field
}

// SVG draws the leg for a width in pixels.
func (l *Leg) SVG(width float64) string {
	c := &canvas{id: l.ID, width: width}
	y := c.head(l.Title, l.Lines...)
	points := slices.DeleteFunc(slices.Clone(l.Points), func(p Point) bool { return !drawable(p.Value) })
	if len(points) == 0 {
		y += lineGap
		c.text(0, y, start, note, soft, "readings of the meter: "+Unknown)
		return c.svg(y+6, l.Title, l.describe())
	}
	p := l.plot(c, points, y+above+10)
	p.grid()
	p.held()
	p.flags(p.volume.to - 5)
	p.rates()
	p.steps(points)
	return c.svg(p.legend(p.hours(p.clock, p.rate.from)), l.Title, l.describe())
}

// describe says the whole picture in words.
func (l *Leg) describe() string {
	parts := slices.Clone(l.Lines)
	for _, p := range l.Points {
		parts = append(parts, p.At.Format("15:04")+" "+label(p.Value)+" "+l.Unit)
	}
	for _, s := range l.Spans {
		if s.Flag != Fits {
			parts = append(parts, s.From.At.Format("15:04")+" to "+s.To.At.Format("15:04")+" "+s.Word+": "+s.Rate.Text+", expected "+s.Expected.Text)
		}
	}
	return strings.Join(parts, "; ") + "."
}

// plot lays the picture out, its first field beginning at top.
func (l *Leg) plot(c *canvas, points []Point, top float64) *legPlot {
	p := &legPlot{canvas: c, Leg: l}
	var volumes, rates []float64
	for _, q := range points {
		volumes = append(volumes, q.Value)
	}
	for _, s := range l.Spans {
		if s.Expected.Known {
			volumes, rates = append(volumes, s.shouldEnd()), append(rates, s.Expected.Value)
		}
		if s.Rate.Known {
			rates = append(rates, s.Rate.Value)
		}
	}
	p.volume = newField(top, upper, 4, volumes)
	p.rate = newField(top+upper+above, lower, 3, rates)
	left := 0.0
	for _, t := range slices.Concat(p.volume.ticks, p.rate.ticks) {
		left = math.Max(left, textWidth(label(t), note))
	}
	p.clock = newClock(points[0].At, points[len(points)-1].At, left+6, c.width-6)
	return p
}

// shouldEnd is what the meter would have shown at the end of the stretch.
func (s *Span) shouldEnd() float64 {
	return s.From.Value + s.Expected.Value*s.To.At.Sub(s.From.At).Minutes()
}

// grid draws the scales of both fields.
func (p *legPlot) grid() {
	for _, f := range []struct {
		field
		unit string
	}{{p.volume, p.Unit}, {p.rate, p.RateUnit}} {
		for _, t := range f.ticks {
			look := `stroke="` + faint + `"`
			if t == 0 {
				look = `stroke="` + ink + `"`
			}
			y := f.at(t)
			p.line(p.clock.from, y, p.clock.to, y, look)
			p.text(p.clock.from-5, y+4, end, note, soft, label(t))
		}
		p.text(p.clock.from, f.to-5, start, note, soft, f.unit)
	}
}

// held marks when the pump was held.
func (p *legPlot) held() {
	for _, h := range p.Held {
		p.rect(p.place(h.From), p.volume.to, p.place(h.To), p.volume.from, p.dots())
	}
}

// flags marks the stretches that do not fit, with the word above at y wherever there
// is room; neighbours of one word share it.
func (p *legPlot) flags(y float64) {
	taken := p.clock.from + textWidth(p.Unit, note)
	for i := 0; i < len(p.Spans); i++ {
		first := p.Spans[i]
		if first.Flag == Fits {
			continue
		}
		p.flag(first)
		for i+1 < len(p.Spans) && p.Spans[i+1].Flag == first.Flag && p.Spans[i+1].Word == first.Word {
			i++
			p.flag(p.Spans[i])
		}
		half := textWidth(first.Word, size) * broad / 2
		x := (p.place(first.From.At) + p.place(p.Spans[i].To.At)) / 2
		x = math.Max(taken+gap+half, math.Min(x, p.width-half))
		if x+half <= p.width {
			p.text(x, y, center, size, bold, first.Word)
			taken = x + half
		}
	}
}

// flag marks one stretch.
func (p *legPlot) flag(s Span) {
	x1, x2 := p.place(s.From.At), p.place(s.To.At)
	p.rect(x1, p.volume.to, x2, p.volume.from, p.hatch()+` fill-opacity="0.45"`)
	p.mark((x1+x2)/2, p.volume.to+8, s.Flag)
}

// mark draws the shape of a flag.
func (p *legPlot) mark(x, y float64, f Flag) {
	look := `fill="` + ink + `" stroke="` + paper + `"`
	switch f {
	case TooLittle:
		p.path(look, x-6, y-5, x+6, y-5, x, y+5, x-6, y-5)
	case TooMuch:
		p.path(look, x-6, y+5, x+6, y+5, x, y-5, x-6, y+5)
	case WentDown:
		p.path(look, x-6, y, x, y-6, x+6, y, x, y+6, x-6, y)
	}
}

// dashed is the look of what should have been.
const dashed = `fill="none" stroke="` + ink + `" stroke-width="1.4" stroke-dasharray="5 3"`

// rates draws the rate of each stretch as a bar and what it should have been as a
// broken line.
func (p *legPlot) rates() {
	for _, s := range p.Spans {
		x1, x2 := p.place(s.From.At), p.place(s.To.At)
		if s.Rate.Known && drawable(s.Rate.Value) {
			p.open(s.From.At.Format("15:04") + " to " + s.To.At.Format("15:04") + ": " + s.Rate.Text)
			look := `fill="` + faint + `" stroke="` + quiet + `"`
			if s.Flag != Fits {
				look = p.hatch() + ` stroke="` + ink + `"`
			}
			p.rect(x1, p.rate.at(0), x2, p.rate.at(s.Rate.Value), look)
			p.close()
		}
		if s.Expected.Known && drawable(s.shouldEnd()) {
			y := p.rate.at(s.Expected.Value)
			p.path(dashed, x1, y, x2, y)
			p.path(dashed, x1, p.volume.at(s.From.Value), x2, p.volume.at(s.shouldEnd()))
		}
	}
}

// steps draws what the meter showed: each reading holds until the next.
func (p *legPlot) steps(points []Point) {
	var xy []float64
	for i, q := range points {
		x := p.place(q.At)
		if i > 0 {
			xy = append(xy, x, p.volume.at(points[i-1].Value))
		}
		xy = append(xy, x, p.volume.at(q.Value))
	}
	p.path(`fill="none" stroke="`+ink+`" stroke-width="2"`, xy...)
	for _, q := range points {
		x, y := p.place(q.At), p.volume.at(q.Value)
		p.rect(x-2.5, y-2.5, x+2.5, y+2.5, `fill="`+ink+`"`)
	}
}

// legend says what the marks mean that are in the picture, and returns its end.
func (p *legPlot) legend(y float64) float64 {
	row := func(words string, glyph func(y float64)) { y = p.key(y, words, glyph) }
	row("the meter, as it was read", func(y float64) {
		p.path(`fill="none" stroke="`+ink+`" stroke-width="2"`, 1, y+3, 10, y+3, 10, y-3, 20, y-3)
	})
	if slices.ContainsFunc(p.Spans, func(s Span) bool { return s.Expected.Known }) {
		row("what it should have counted", func(y float64) { p.path(dashed, 1, y, 20, y) })
	}
	for _, f := range []Flag{TooLittle, TooMuch, WentDown} {
		if i := slices.IndexFunc(p.Spans, func(s Span) bool { return s.Flag == f }); i >= 0 {
			row(p.Spans[i].Word, func(y float64) { p.mark(10, y, f) })
		}
	}
	if len(p.Held) > 0 {
		row("pump held", func(y float64) { p.rect(1, y-6, 20, y+4, p.dots()) })
	}
	return y + 5
}
