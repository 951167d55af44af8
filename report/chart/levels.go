package chart

import (
	"math"
	"slices"
	"strings"
	"time"
)

// Level is one reading of the air and until when it speaks for its place.
type Level struct {
	At, Until time.Time
	Value     float64
	Text      string
	Beyond    bool // past the end of the scale: at least this much
}

// Line is a limit across the picture, with its words.
type Line struct {
	Value float64
	Word  string
}

// Mean is an average over a stretch, with its words.
type Mean struct {
	Stretch
	Value float64
	Word  string
}

// Levels is what the air of one place read against the clock: each reading held for as
// long as it speaks, the limits it is held to, and when the place was worked and no
// reading spoke for it. All times are in one zone.
type Levels struct {
	ID     string // begins every id in the picture; a page has it once
	Title  string
	Lines  []string // what is to be said of the whole, one line each
	Unit   string
	Levels []Level // in the order of time
	Limits []Line
	Unread []Stretch
	Mean   *Mean // the highest; nil where there is none to show
}

// levelsPlot is where the parts of a picture of levels stand.
type levelsPlot struct {
	*canvas
	*Levels
	clock
	level field
}

// SVG draws the levels for a width in pixels.
func (l *Levels) SVG(width float64) string {
	c := &canvas{id: l.ID, width: width}
	y := c.head(l.Title, l.Lines...)
	if !slices.ContainsFunc(l.Levels, func(v Level) bool { return drawable(v.Value) }) {
		y += lineGap
		c.text(0, y, start, note, soft, "readings: "+Unknown)
		return c.svg(y+6, l.Title, l.describe())
	}
	p := l.plot(c, y+above+10)
	p.ground()
	p.limits()
	p.mean()
	p.steps()
	p.limitWords()
	return c.svg(p.legend(c.hours(p.clock, p.level.from)), l.Title, l.describe())
}

// describe says the whole picture in words.
func (l *Levels) describe() string {
	parts := slices.Clone(l.Lines)
	for _, v := range l.Levels {
		parts = append(parts, v.At.Format("15:04")+" "+v.Text)
	}
	for _, u := range l.Unread {
		parts = append(parts, u.From.Format("15:04")+" to "+u.To.Format("15:04")+" worked and not read")
	}
	for _, m := range l.Limits {
		parts = append(parts, "limit "+m.Word)
	}
	return strings.Join(parts, "; ") + "."
}

// shown reports whether a limit lies where the readings leave it in sight.
func (l *Levels) shown(limit, peak float64) bool { return drawable(limit) && limit <= 2.5*peak }

// plot lays the picture out, its field beginning at top.
func (l *Levels) plot(c *canvas, top float64) *levelsPlot {
	p := &levelsPlot{canvas: c, Levels: l}
	var values []float64
	first, last := l.Levels[0].At, l.Levels[0].Until
	for _, v := range l.Levels {
		values = append(values, v.Value)
		last = latest(last, v.Until)
	}
	for _, u := range l.Unread {
		if u.From.Before(first) {
			first = u.From
		}
		last = latest(last, u.To)
	}
	_, peak := span(values...)
	for _, m := range l.Limits {
		if l.shown(m.Value, peak) {
			values = append(values, m.Value*1.08) // room for its words
		}
	}
	p.level = newField(top, upper, 4, values)
	left := 0.0
	for _, t := range p.level.ticks {
		left = math.Max(left, textWidth(label(t), note))
	}
	p.clock = newClock(first, last, left+6, c.width-6)
	return p
}

func latest(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// ground draws the scale, and hatches what was worked and not read.
func (p *levelsPlot) ground() {
	for _, u := range p.Unread {
		p.open(u.From.Format("15:04") + " to " + u.To.Format("15:04") + ": worked and not read")
		p.rect(p.place(u.From), p.level.to, p.place(u.To), p.level.from, p.hatch()+` fill-opacity="0.45"`)
		p.close()
	}
	for _, t := range p.level.ticks {
		look := `stroke="` + faint + `"`
		if t == 0 {
			look = `stroke="` + ink + `"`
		}
		y := p.level.at(t)
		p.line(p.clock.from, y, p.clock.to, y, look)
		p.text(p.clock.from-5, y+4, end, note, soft, label(t))
	}
	p.text(p.clock.from, p.level.to-5, start, note, soft, p.Unit)
}

// limits draws the limits that are in sight as broken lines.
func (p *levelsPlot) limits() {
	for _, m := range p.Limits {
		if y, ok := p.inSight(m); ok {
			p.path(dashed, p.clock.from, y, p.clock.to, y)
		}
	}
}

// limitWords writes what the limits are, at the right end and over all else.
func (p *levelsPlot) limitWords() {
	for _, m := range p.Limits {
		if y, ok := p.inSight(m); ok {
			p.text(p.clock.to, y-3, end, note, plain+halo, fit(m.Word, note, p.clock.to-p.clock.from))
		}
	}
}

func (p *levelsPlot) inSight(m Line) (y float64, ok bool) {
	if !drawable(m.Value) || m.Value > p.level.high {
		return 0, false
	}
	return p.level.at(m.Value), true
}

// mean draws an average as a thick line over its stretch, ended by ticks.
func (p *levelsPlot) mean() {
	if p.Mean == nil || !drawable(p.Mean.Value) {
		return
	}
	y, x1, x2 := p.level.at(p.level.within(p.Mean.Value)), p.place(p.Mean.From), p.place(p.Mean.To)
	p.open(p.Mean.Word)
	p.line(x1, y, x2, y, meanLook)
	p.line(x1, y-5, x1, y+5, meanLook)
	p.line(x2, y-5, x2, y+5, meanLook)
	p.close()
}

const meanLook = `stroke="` + doubt + `" stroke-width="2.6"`

// steps draws each reading as far as it speaks.
func (p *levelsPlot) steps() {
	for i, v := range p.Levels.Levels {
		if !drawable(v.Value) {
			continue
		}
		x1, x2, y := p.place(v.At), p.place(v.Until), p.level.at(v.Value)
		p.open(v.At.Format("15:04") + " " + v.Text)
		p.line(x1, y, x2, y, stepLook)
		if i+1 < len(p.Levels.Levels) {
			if next := p.Levels.Levels[i+1]; !next.At.After(v.Until) && drawable(next.Value) {
				p.line(x2, y, x2, p.level.at(next.Value), stepLook)
			}
		}
		if v.Beyond {
			p.path(`fill="`+ink+`"`, x1-4, y, x1, y-7, x1+4, y, x1-4, y)
		} else {
			p.rect(x1-2.5, y-2.5, x1+2.5, y+2.5, `fill="`+ink+`"`)
		}
		p.close()
	}
}

const stepLook = `stroke="` + ink + `" stroke-width="2"`

// legend says what the marks mean that are in the picture, and returns its end.
func (p *levelsPlot) legend(y float64) float64 {
	row := func(words string, glyph func(y float64)) { y = p.key(y, words, glyph) }
	row("a reading, and for how long it speaks", func(y float64) {
		p.line(3, y, 20, y, stepLook)
		p.rect(1, y-2.5, 6, y+2.5, `fill="`+ink+`"`)
	})
	if slices.ContainsFunc(p.Levels.Levels, func(v Level) bool { return v.Beyond }) {
		row("past the end of the scale: at least this much", func(y float64) { p.path(`fill="`+ink+`"`, 6, y+3, 10, y-4, 14, y+3, 6, y+3) })
	}
	if p.Mean != nil {
		row(p.Mean.Word, func(y float64) { p.line(1, y, 20, y, meanLook) })
	}
	for _, m := range p.Limits {
		if m.Value > p.level.high {
			row("limit "+m.Word+": above this picture", func(y float64) { p.path(dashed, 1, y, 20, y) })
		}
	}
	if len(p.Unread) > 0 {
		row("worked, and no reading speaks for it", func(y float64) { p.rect(1, y-5, 20, y+5, p.hatch()+` fill-opacity="0.45"`) })
	}
	return y + 5
}
