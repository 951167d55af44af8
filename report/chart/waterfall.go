package chart

import (
	"math"
	"strings"
)

// Amount is a number with its doubt, and the words in which the document has it. The
// zero Amount is unknown.
type Amount struct {
	Known     bool
	Value     float64
	Low, High float64 // bounds; infinite where there is none
	U         float64 // standard error; 0 where none is known
	Text      string  // as written; where it is empty an unknown amount is "not recorded"
}

// Look says how the bar of a step is filled.
type Look int

// The looks: what there was, what was moved, what was lost, what lies where it lay,
// and what nobody can place.
const (
	Whole Look = iota
	Moved
	Lost
	Lies
	Left
)

// Step is one bar of a waterfall.
type Step struct {
	Label string
	Look  Look
	Amount
}

// Waterfall is where an amount went: what there was, each step taking from it where
// the one before ended, and what is left. The doubt of each step stands at the end of
// its bar, the doubt of what is left at the end of the last. Steps that took more
// than there was run on below zero.
//
// Where it is not known how much there was, the steps add up from nothing instead.
type Waterfall struct {
	ID    string // begins every id in the picture; a page has it once
	Title string
	Scale string // what the axis counts
	Start Step
	Steps []Step
	End   Step
}

// words are what a step says of its amount.
func (s *Step) words() string {
	if s.Text == "" && !s.drawn() {
		return Unknown
	}
	return s.Text
}

// drawn reports whether the step has a bar.
func (s *Step) drawn() bool { return s.Known && drawable(s.Value) }

// bar is a step in its place.
type bar struct {
	*Step
	from, to float64
	sign     float64 // by which the doubt counts at its end
	label    string
	words    []string
	beside   bool // label and words share a line
	height   float64
}

// bars puts the steps in their places.
func (w *Waterfall) bars() []bar {
	out := []bar{{Step: &w.Start, sign: 1}}
	at, sign := 0.0, 1.0
	if w.Start.drawn() {
		at, sign = w.Start.Value, -1
		out[0].to = at
	}
	for i := range w.Steps {
		b := bar{Step: &w.Steps[i], from: at, to: at, sign: sign}
		if b.drawn() {
			at += sign * b.Value
			b.to = at
		}
		out = append(out, b)
	}
	last := bar{Step: &w.End, sign: 1}
	if last.drawn() {
		last.to = last.Value
	}
	return append(out, last)
}

// reach is how far the end of a bar may lie elsewhere: between which bounds, and by a
// standard error to either side.
func (b *bar) reach() (low, high, less, more float64) {
	low, high = b.Low, b.High
	if !drawable(low) {
		low = b.Value
	}
	if !drawable(high) {
		high = b.Value
	}
	u := b.U
	if !drawable(u) {
		u = 0
	}
	return b.to + b.sign*(low-b.Value), b.to + b.sign*(high-b.Value), b.to - u, b.to + u
}

// SVG draws the waterfall for a width in pixels: with its words beside the bars where
// there is room, else above them.
func (w *Waterfall) SVG(width float64) string {
	c := &canvas{id: w.ID, width: width}
	p := w.plot(c)
	y := p.top
	p.frame()
	for i := range p.bars {
		b := &p.bars[i]
		p.row(b, y)
		if i+2 < len(p.bars) { // the last bar stands for itself
			x := p.at(b.to)
			c.line(x, y+b.height-p.foot, x, y+b.height+p.head(i+1), `stroke="`+quiet+`" stroke-dasharray="2 2"`)
		}
		y += b.height
	}
	return c.svg(p.axis(y), w.Title, w.describe())
}

// describe says the whole picture in words.
func (w *Waterfall) describe() string {
	var b strings.Builder
	b.WriteString(w.Scale + ". " + w.Start.Label + " " + w.Start.words())
	for i := range w.Steps {
		b.WriteString("; less " + w.Steps[i].Label + " " + w.Steps[i].words())
	}
	b.WriteString("; " + w.End.Label + " " + w.End.words() + ".")
	return b.String()
}

// plot is where the parts of a waterfall stand.
type plot struct {
	*canvas
	scale
	ticks  []float64
	bars   []bar
	unit   string
	labels float64 // breadth of the column of labels; 0 where they stand above the bars
	words  float64 // of the column of amounts
	top    float64 // where the rows begin
	bottom float64 // where they end
	foot   float64 // from the lower edge of a bar to the end of its row

	thin, stout bool // there is a mark of doubt of this kind
}

const (
	rowGap  = 5.0
	barHigh = 13.0
	lineGap = 15.0 // from one line of words to the next
	gap     = 10.0 // between columns
)

// plot lays the picture out.
func (w *Waterfall) plot(c *canvas) *plot {
	p := &plot{canvas: c, bars: w.bars(), unit: w.Scale, foot: rowGap}
	left, right := 4.0, c.width-4
	if c.width >= Wide {
		for i := range p.bars {
			p.labels = math.Max(p.labels, broad*textWidth(p.bars[i].Label, size))
			p.words = math.Max(p.words, broad*textWidth(p.bars[i].Step.words(), size))
		}
		p.labels, p.words = math.Min(p.labels, 0.34*c.width), math.Min(p.words, 0.28*c.width)
		left, right = p.labels+gap, c.width-p.words-gap
	}
	var values []float64
	for i := range p.bars {
		b := &p.bars[i]
		p.measure(b)
		if b.drawn() {
			low, high, less, more := b.reach()
			values = append(values, b.from, b.to, low, high, less, more)
		}
	}
	low, high := span(values...)
	p.scale = scale{low, high, left, right}
	for _, t := range rounds(low, high, int((right-left)/60)) {
		if low <= t && t <= high {
			p.ticks = append(p.ticks, t)
		}
	}
	p.top = 4
	p.bottom = p.top
	for i := range p.bars {
		p.bottom += p.bars[i].height
	}
	return p
}

// measure breaks the words of a bar into lines and gives its row a height.
func (p *plot) measure(b *bar) {
	if p.labels > 0 {
		b.label, b.words, b.beside = fit(b.Label, size*broad, p.labels), wrap(b.Step.words(), size*broad, p.words), true
		b.height = math.Max(barHigh, lineGap*float64(len(b.words))) + 2*rowGap
		return
	}
	words := b.Step.words()
	b.label, b.words = fit(b.Label, size*broad, p.width), wrap(words, size*broad, p.width)
	b.beside = broad*(textWidth(b.Label, size)+textWidth(words, size))+gap <= p.width
	n := 1 + len(b.words)
	if b.beside {
		n = 1
	}
	b.height = lineGap*float64(n) + 4 + barHigh + rowGap
}

// head is the way from the top of a row to its bar.
func (p *plot) head(i int) float64 { return p.bars[i].height - p.foot - barHigh }

// row draws one step.
func (p *plot) row(b *bar, y float64) {
	p.open(b.Label + ": " + b.Step.words())
	look := plain
	if b.Look == Whole || b.Look == Left {
		look = bold
	}
	top := y + b.height - p.foot - barHigh
	switch {
	case p.labels > 0:
		p.text(p.labels, top+barHigh-2.5, end, size, look, b.label)
		for i, line := range b.words {
			p.text(p.width, top+barHigh-2.5-lineGap*float64(len(b.words)-1-i), end, size, look, line)
		}
	default:
		look += halo
		p.text(0, y+size, start, size, look, b.label)
		for i, line := range b.words {
			down := float64(i + 1)
			if b.beside {
				down = 0
			}
			p.text(p.width, y+size+lineGap*down, end, size, look, line)
		}
	}
	p.bar(b, top)
	p.close()
}

// bar draws the bar of a step with its doubt, or the gap where there is none.
func (p *plot) bar(b *bar, top float64) {
	x1, x2 := p.at(b.from), p.at(b.to)
	if !b.drawn() {
		x := math.Min(x1, p.to-18)
		p.rect(x, top, x+18, top+barHigh, `fill="`+paper+`" stroke="`+doubt+`" stroke-dasharray="3 2"`)
		p.text(x+9, top+barHigh-3, center, note, ` fill="`+doubt+`"`, "?")
		return
	}
	if math.Abs(x2-x1) < 1.5 { // as good as nothing: still a mark
		x1, x2 = x2-0.75, x2+0.75
	}
	p.rect(x1, top, x2, top+barHigh, p.fill(b.Look))
	low, high, less, more := b.reach()
	p.doubt(p.at(low), p.at(high), p.at(less), p.at(more), top+barHigh/2)
}

func (p *plot) fill(l Look) string {
	edge := ` stroke="` + ink + `"`
	switch l {
	case Moved:
		return `fill="` + middle + `"` + edge
	case Lost:
		return p.hatch() + edge
	case Lies:
		return `fill="` + faint + `"` + edge
	case Left:
		return `fill="` + paper + `" stroke="` + doubt + `" stroke-width="2"`
	}
	return `fill="` + quiet + `"` + edge
}

// doubt draws how far a bar may end elsewhere: a thin line between the bounds, a
// stout one over a standard error to either side.
func (p *plot) doubt(low, high, less, more, y float64) {
	if math.Abs(high-low) >= 2 {
		p.thin = true
		p.line(low, y, high, y, `stroke="`+paper+`" stroke-width="4"`)
		p.line(low, y, high, y, `stroke="`+ink+`" stroke-width="1.2"`)
		for _, x := range []float64{low, high} {
			p.line(x, y-4, x, y+4, `stroke="`+paper+`" stroke-width="4"`)
			p.line(x, y-4, x, y+4, `stroke="`+ink+`" stroke-width="1.2"`)
		}
	}
	if more-less >= 2 {
		p.stout = true
		p.line(less, y, more, y, `stroke="`+ink+`" stroke-width="4"`)
	}
}

// frame draws what lies behind the rows: the grid, and the ground below zero.
func (p *plot) frame() {
	if p.low < 0 {
		p.rect(p.from, p.top, p.at(0), p.bottom, p.dots())
	}
	for _, t := range p.ticks {
		look := `stroke="` + faint + `"`
		if t == 0 {
			look = `stroke="` + ink + `"`
		}
		p.line(p.at(t), p.top, p.at(t), p.bottom+4, look)
	}
}

// axis writes the scale below the rows and returns where the picture ends.
func (p *plot) axis(y float64) float64 {
	y += 4 + note + 2
	taken := math.Inf(-1)
	for _, t := range p.ticks {
		words := label(t)
		half := textWidth(words, note) / 2
		x := math.Min(math.Max(p.at(t), half), p.width-half)
		if x-half > taken+4 {
			p.text(x, y, center, note, soft, words)
			taken = x + half
		}
	}
	for _, line := range wrap(p.unit, note, p.width) {
		y += lineGap
		p.text(p.width, y, end, note, soft, line)
	}
	return p.legend(y)
}

// legend says what the marks mean that are in the picture, and returns its end.
func (p *plot) legend(y float64) float64 {
	row := func(words string, glyph func(y float64)) { y = p.key(y, words, glyph) }
	if p.low < 0 {
		row("below zero: more went than there was", func(y float64) { p.rect(1, y-5, 20, y+5, p.dots()) })
	}
	if p.thin {
		row("from the least to the most it can be", func(y float64) { p.doubt(1, 20, 0, 0, y) })
	}
	if p.stout {
		row("one standard error to either side", func(y float64) { p.doubt(0, 0, 1, 20, y) })
	}
	return y + 5
}
