package chart

import (
	"math"
	"slices"
	"strings"
	"time"
)

// Pace is how much happened against the clock: moments counted over equal stretches,
// each a column, with the stretches in which there was too little marked. All times are
// in one zone and in order.
type Pace struct {
	ID      string // begins every id in the picture; a page has it once
	Title   string
	What    string // is counted, e.g. entries
	Moments []time.Time
	Gaps    []Stretch
	Gap     string // what a gap means
}

// paceHeight is the height of its field.
const paceHeight = 72.0

// step is the length of a stretch: the least round one at which columns are broad
// enough to be seen apart.
func (p *Pace) step(length time.Duration, breadth float64) time.Duration {
	fits := func(minutes int) bool {
		return length.Minutes()/float64(minutes)*6 <= breadth
	}
	for _, m := range clockSteps {
		if m >= 5 && fits(m) {
			return time.Duration(m) * time.Minute
		}
	}
	days := 1
	for !fits(days * 24 * 60) {
		days *= 2
	}
	return time.Duration(days) * 24 * time.Hour
}

// counts are how many moments fall into each stretch that has any, by its beginning,
// counted from midnight before the first.
func (p *Pace) counts(step time.Duration) (first time.Time, n []float64) {
	at := p.Moments[0]
	midnight := time.Date(at.Year(), at.Month(), at.Day(), 0, 0, 0, 0, at.Location())
	first = midnight.Add(at.Sub(midnight) / step * step)
	n = make([]float64, int(p.Moments[len(p.Moments)-1].Sub(first)/step)+1)
	for _, m := range p.Moments {
		n[int(m.Sub(first)/step)]++
	}
	return first, n
}

// SVG draws the pace for a width in pixels.
func (p *Pace) SVG(width float64) string {
	c := &canvas{id: p.ID, width: width}
	c.head(p.Title)
	if len(p.Moments) == 0 {
		c.text(0, size+lineGap, start, note, soft, p.What+": "+Unknown)
		return c.svg(size+lineGap+6, p.Title, p.What+": "+Unknown+".")
	}
	step := p.step(p.Moments[len(p.Moments)-1].Sub(p.Moments[0]), width-40)
	first, n := p.counts(step)
	f := newField(size+above+6, paceHeight, 3, n)
	left := 0.0
	for _, t := range f.ticks {
		left = math.Max(left, textWidth(label(t), note))
	}
	axis := newClock(first, first.Add(step*time.Duration(len(n))), left+6, width-6)
	for _, g := range p.Gaps {
		c.open(p.Gap + " " + g.From.Format("15:04") + " to " + g.To.Format("15:04"))
		c.rect(axis.place(g.From), f.to, axis.place(g.To), f.from, c.hatch()+` fill-opacity="0.45"`)
		c.close()
	}
	for _, t := range f.ticks {
		c.line(axis.from, f.at(t), axis.to, f.at(t), map[bool]string{true: `stroke="` + ink + `"`, false: `stroke="` + faint + `"`}[t == 0])
		c.text(axis.from-5, f.at(t)+4, end, note, soft, label(t))
	}
	c.text(axis.from, f.to-5, start, note, soft, fit(p.per(step), note, axis.to-axis.from))
	for i, v := range n {
		if from := first.Add(step * time.Duration(i)); v > 0 {
			c.open(from.Format("15:04") + ": " + label(v))
			c.rect(axis.place(from)+0.5, f.at(0), axis.place(from.Add(step))-0.5, f.at(v), `fill="`+quiet+`"`)
			c.close()
		}
	}
	return c.svg(p.legend(c, c.hours(axis, f.from)), p.Title, p.describe(step, first, n))
}

// per is what is counted, and over how long.
func (p *Pace) per(step time.Duration) string {
	switch {
	case step < time.Hour:
		return p.What + " in " + label(step.Minutes()) + " min"
	case step < 24*time.Hour:
		return p.What + " in " + label(step.Hours()) + " h"
	}
	return p.What + " in " + label(step.Hours()/24) + " d"
}

// legend says what the hatching means, and returns the end of the picture.
func (p *Pace) legend(c *canvas, y float64) float64 {
	if len(p.Gaps) == 0 {
		return y + 5
	}
	y = c.key(y, p.Gap, func(y float64) { c.rect(1, y-5, 20, y+5, c.hatch()+` fill-opacity="0.45"`) })
	return y + 5
}

// describe says the whole picture in words.
func (p *Pace) describe(step time.Duration, first time.Time, n []float64) string {
	most := slices.Max(n)
	at := first.Add(step * time.Duration(slices.Index(n, most)))
	parts := []string{label(float64(len(p.Moments))) + " " + p.What, "most: " + label(most) + " from " + at.Format("15:04")}
	for _, g := range p.Gaps {
		parts = append(parts, p.Gap+" "+g.From.Format("15:04")+" to "+g.To.Format("15:04"))
	}
	return p.per(step) + ". " + strings.Join(parts, "; ") + "."
}
