package chart

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// scale takes values to places along one axis of a picture.
type scale struct {
	low, high float64 // values at its ends
	from, to  float64 // places of its ends, pixels
}

// at is the place of a value.
func (s scale) at(v float64) float64 { return s.from + (v-s.low)/(s.high-s.low)*(s.to-s.from) }

// within keeps a value to the ends of the scale.
func (s scale) within(v float64) float64 { return math.Min(s.high, math.Max(s.low, v)) }

// most is a limit to what a scale spans, far above any tank. It keeps sums finite.
const most = 1e12

// drawable reports whether a number has a place on paper.
func drawable(v float64) bool { return math.Abs(v) <= most }

// span is the least and the most of zero and the values that can be drawn.
func span(values ...float64) (low, high float64) {
	for _, v := range values {
		if drawable(v) {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	if low == high {
		high = 1
	}
	return low, high
}

// rounds are about so many round numbers from at most low to at least high.
func rounds(low, high float64, about int) (out []float64) {
	step := round((high - low) / float64(max(about, 1)))
	for i := math.Floor(low/step + 1e-9); i <= math.Ceil(high/step-1e-9); i++ {
		out = append(out, i*step)
	}
	return out
}

// round is the least of 1, 2 and 5 times a power of ten that is not below v.
func round(v float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= v*(1-1e-9) {
			return m * power
		}
	}
	return 10 * power
}

// label writes a round number of an axis, with commas between thousands.
func label(v float64) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', -1, 64)
	if math.Abs(v) > 0 && math.Abs(v) < 1 {
		s = strconv.FormatFloat(math.Abs(v), 'g', 3, 64)
	}
	whole, rest, point := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if point {
		whole += "." + rest
	}
	if v < 0 {
		return "−" + whole
	}
	return whole
}

// clockSteps are the distances of ticks on a clock, in minutes.
var clockSteps = []int{1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440}

// clock is an axis of time of day.
type clock struct {
	scale // seconds since first
	first time.Time
	form  string // of its labels
}

// newClock is an axis from one moment to another; at least a minute, whatever is asked.
func newClock(first, last time.Time, from, to float64) clock {
	length := max(last.Sub(first), time.Minute)
	c := clock{scale: scale{high: length.Seconds(), from: from, to: to}, first: first, form: "15:04"}
	if first.Format(time.DateOnly) != first.Add(length).Format(time.DateOnly) && length >= 24*time.Hour {
		c.form = "2 Jan 15:04"
	}
	return c
}

// place is where a moment lies on the axis, kept to its ends.
func (c clock) place(t time.Time) float64 { return c.at(c.within(t.Sub(c.first).Seconds())) }

// ticks are the round moments whose labels find room, counted from midnight.
func (c clock) ticks() (out []time.Time) {
	y, m, d := c.first.Date()
	midnight := time.Date(y, m, d, 0, 0, 0, 0, c.first.Location())
	room := textWidth(c.form, note) + 10
	fits := func(step int) bool { return float64(step*60)/c.high*(c.to-c.from) >= room }
	i := slices.IndexFunc(clockSteps, fits)
	step := time.Duration(24*60) * time.Minute
	if i >= 0 {
		step = time.Duration(clockSteps[i]) * time.Minute
	}
	for i < 0 && !fits(int(step/time.Minute)) {
		step *= 2
	}
	last := c.first.Add(time.Duration(c.high * float64(time.Second)))
	n := (c.first.Sub(midnight) + step - 1) / step
	for t := midnight.Add(n * step); !t.After(last); t = t.Add(step) {
		out = append(out, t)
	}
	return out
}

// hours writes the clock below y and returns its base line.
func (c *canvas) hours(axis clock, y float64) float64 {
	base, taken := y+note+6, 0.0
	for _, t := range axis.ticks() {
		words, x := t.Format(axis.form), axis.place(t)
		c.line(x, y, x, y+4, `stroke="`+quiet+`"`)
		half := textWidth(words, note) / 2
		if x = math.Min(math.Max(x, half), c.width-half); x-half < taken {
			continue // the last was moved in from the edge
		}
		c.text(x, base, center, note, soft, words)
		taken = x + half
	}
	return base
}
