package chart

import (
	"math"
	"slices"
	"strings"
	"time"
)

// Fill says how a bar of a lane is filled.
type Fill int

// The fills: somebody in, the same told late, named for it, at rest or elsewhere, and a
// hole in what ought to be whole. Each has a look of its own without its colour.
const (
	Solid Fill = iota
	ToldLate
	Named
	Rest
	Hole
)

// Bar is a stretch of time in a lane.
type Bar struct {
	From, To time.Time
	Open     bool // it goes on; To is where the picture ends
	Fill     Fill
	Word     string // stands in the bar where there is room, and is always said
	Detail   string // is said and nowhere written
}

// Lane is one line of bars against the clock, with moments marked on it.
type Lane struct {
	Label string
	Apart bool // begins a group of its own
	Bars  []Bar
	Marks []time.Time
}

// Lanes is who or what was where and when, lane by lane over one clock. All times are
// in one zone.
type Lanes struct {
	ID    string // begins every id in the picture; a page has it once
	Title string
	Lanes []Lane
	Means map[Fill]string // what each fill means, for the legend; only those that are there are said
	Mark  string          // what a mark means
	Worn  bool            // bars that are solid or empty wear their words as well
}

// The height of a lane, of the bars in it, and the room between groups.
const (
	laneHeight = 17.0
	barHeight  = 11.0
	apart      = 8.0
)

// fill is the look of a bar.
func (c *canvas) fill(f Fill) string {
	switch f {
	case ToldLate:
		return c.hatch() + ` stroke="` + ink + `"`
	case Named:
		return `fill="` + faint + `" stroke="` + quiet + `"`
	case Rest:
		return `fill="` + paper + `" stroke="` + middle + `"`
	case Hole:
		return c.dots() + ` stroke="` + ink + `" stroke-width="1.8"`
	}
	return `fill="` + quiet + `" stroke="` + ink + `"`
}

// SVG draws the lanes for a width in pixels.
func (l *Lanes) SVG(width float64) string {
	c := &canvas{id: l.ID, width: width}
	c.head(l.Title)
	first, last := l.ends()
	if first.IsZero() {
		c.text(0, size+lineGap, start, note, soft, Unknown)
		return c.svg(size+lineGap+6, l.Title, l.describe())
	}
	left := l.left(width)
	axis := newClock(first, last, math.Max(left, 4), width-6)
	top := size + 10
	bottom := l.bottom(top, left)
	for _, t := range axis.ticks() {
		c.line(axis.place(t), top, axis.place(t), bottom, `stroke="`+faint+`"`)
	}
	l.draw(c, axis, top, left)
	c.line(axis.from, bottom, axis.to, bottom, `stroke="`+ink+`"`)
	return c.svg(l.legend(c, c.hours(axis, bottom)), l.Title, l.describe())
}

// left is the room for labels left of the lanes; 0 where the longest would take more
// than a third of the picture, and labels stand above their lanes.
func (l *Lanes) left(width float64) float64 {
	left := 0.0
	for _, lane := range l.Lanes {
		left = math.Max(left, textWidth(lane.Label, note))
	}
	switch {
	case left <= width/3:
		return left + 6
	case width >= Wide:
		return width/3 + 6
	}
	return 0
}

// ends are the first and the last moment of all lanes.
func (l *Lanes) ends() (first, last time.Time) {
	take := func(t time.Time) {
		if first.IsZero() || t.Before(first) {
			first = t
		}
		if t.After(last) {
			last = t
		}
	}
	for _, lane := range l.Lanes {
		for _, b := range lane.Bars {
			take(b.From)
			take(b.To)
		}
		for _, m := range lane.Marks {
			take(m)
		}
	}
	return first, last
}

// bottom is where the lanes end that begin at top.
func (l *Lanes) bottom(top, left float64) float64 {
	for _, lane := range l.Lanes {
		if top += laneHeight; lane.Apart {
			top += apart
		}
		if left == 0 {
			top += lineGap
		}
	}
	return top
}

// draw draws all lanes from top down, their labels left of left.
func (l *Lanes) draw(c *canvas, axis clock, top, left float64) {
	for _, lane := range l.Lanes {
		if lane.Apart {
			c.line(0, top+apart/2, c.width, top+apart/2, `stroke="`+middle+`"`)
			top += apart
		}
		if left > 0 {
			c.text(0, top+barHeight, start, note, plain, fit(lane.Label, note, left-4))
		} else {
			c.text(0, top+barHeight, start, note, plain+halo, fit(lane.Label, note, c.width))
			top += lineGap
		}
		free := room{taken: math.Inf(-1), edge: 4}
		if len(lane.Marks) > 0 {
			free.edge = 12 // marks stand at the ends of bars
		}
		for i, b := range lane.Bars {
			c.bar(axis, b, top+2, l.Worn)
			if free.next = c.width; i+1 < len(lane.Bars) {
				free.next = axis.place(lane.Bars[i+1].From)
			}
			free.taken = c.word(axis, b, top+2, l.Worn, free)
		}
		for _, m := range lane.Marks {
			x := axis.place(m)
			c.open(lane.Label + " " + m.Format("15:04"))
			c.pointer(x, top+2)
			c.close()
		}
		top += laneHeight
	}
}

// pointer marks a moment.
func (c *canvas) pointer(x, y float64) {
	c.path(`fill="`+ink+`" stroke="`+paper+`"`, x, y+barHeight, x-3.5, y, x+3.5, y, x, y+barHeight)
}

// bar draws one bar. One that goes on has an open end.
func (c *canvas) bar(axis clock, b Bar, y float64, worn bool) {
	x1, x2 := ends(axis, b)
	c.open(b.says())
	inset := map[bool]float64{true: 2}[b.Fill == Rest && !worn]
	c.rect(x1, y+inset, x2, y+barHeight-inset, c.fill(b.Fill))
	if b.Open {
		c.path(`fill="none" stroke="`+ink+`" stroke-width="1.6"`, x2-4, y-1, x2+4, y+barHeight/2, x2-4, y+barHeight+1)
	}
	c.close()
}

// ends are the places of the ends of a bar, which is never too thin to be seen.
func ends(axis clock, b Bar) (x1, x2 float64) {
	x1 = axis.place(b.From)
	return x1, math.Max(axis.place(b.To), x1+1.5)
}

// room is where the word of a bar may stand: right of what is taken, left of the next
// bar, and short of both edges of its own bar together.
type room struct{ taken, next, edge float64 }

// word writes the word of a bar in it or, where all words are worn and it is too short,
// right of it, where that finds room. It returns what is taken then.
func (c *canvas) word(axis clock, b Bar, y float64, worn bool, free room) float64 {
	taken := free.taken
	look, wears := b.Fill.wears(worn)
	if !wears || b.Word == "" {
		return taken
	}
	x1, x2 := ends(axis, b)
	half := textWidth(b.Word, note) / 2
	switch x := (x1 + x2) / 2; {
	case 2*half+free.edge <= x2-x1 && x-half > taken:
		if b.Fill == Hole {
			c.rect(x-half-2, y+1, x+half+2, y+barHeight-1, `fill="`+paper+`"`)
		}
		c.text(x, y+barHeight-1.5, center, note, look, b.Word)
		return x + half
	case worn && b.Fill != Solid && !b.Open && x2+3 > taken && x2+3+2*half+3 <= math.Min(free.next, c.width):
		c.text(x2+3, y+barHeight-1.5, start, note, soft+halo, b.Word)
		return x2 + 3 + 2*half
	}
	return taken
}

// wears is the look of the word in a bar, and whether it has one.
func (f Fill) wears(all bool) (look string, wears bool) {
	switch f {
	case Named:
		return plain, true
	case Rest, Hole:
		return plain, all
	case Solid:
		return ` fill="` + paper + `"`, all
	}
	return "", false
}

// says is a bar in words.
func (b Bar) says() string {
	words := strings.TrimSpace(strings.TrimSpace(b.Word+" "+b.Detail) + " " + b.From.Format("15:04"))
	if b.Open {
		return words + ", goes on"
	}
	return words + " to " + b.To.Format("15:04")
}

// legend says what the fills and marks mean that are in the picture, and returns its
// end.
func (l *Lanes) legend(c *canvas, y float64) float64 {
	row := func(words string, glyph func(y float64)) { y = c.key(y, words, glyph) }
	for _, f := range []Fill{Solid, ToldLate, Named, Rest, Hole} {
		has := func(lane Lane) bool { return slices.ContainsFunc(lane.Bars, func(b Bar) bool { return b.Fill == f }) }
		if slices.ContainsFunc(l.Lanes, has) && l.Means[f] != "" {
			row(l.Means[f], func(y float64) { c.rect(1, y-5, 20, y+5, c.fill(f)) })
		}
	}
	if slices.ContainsFunc(l.Lanes, func(lane Lane) bool { return len(lane.Marks) > 0 }) {
		row(l.Mark, func(y float64) { c.pointer(10, y-5) })
	}
	return y + 5
}

// describe says the whole picture in words.
func (l *Lanes) describe() string {
	var parts []string
	for _, lane := range l.Lanes {
		var said []string
		for _, b := range lane.Bars {
			means := l.Means[b.Fill]
			said = append(said, strings.TrimSpace(means+" "+b.says()))
		}
		for _, m := range lane.Marks {
			said = append(said, m.Format("15:04"))
		}
		if len(said) == 0 {
			said = []string{Unknown}
		}
		parts = append(parts, lane.Label+": "+strings.Join(said, ", "))
	}
	return strings.Join(parts, "; ") + "."
}
