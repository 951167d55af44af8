package tank

import (
	"math"
	"slices"
)

// extent returns the lowest and the highest level of the outline.
func (s Section) extent() (low, high float64) {
	return s.levels[0], s.levels[len(s.levels)-1]
}

// levels returns those of Section.
func levels(outline []piece) (out []float64) {
	for _, p := range outline {
		out = append(out, p.at(p.a).y)
		if !p.round {
			continue
		}
		h, top := p.swing()
		if p.holds(top) {
			out = append(out, p.c.y+h)
		}
		if p.holds(top + math.Pi) {
			out = append(out, p.c.y-h)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// column returns the lowest and the highest level of the outline above and below
// the place x; ok is false where x is outside.
func (s Section) column(x float64) (low, high float64, ok bool) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range s.outline {
		for _, t := range p.crosses(x) {
			y := p.at(t).y
			low, high = min(low, y), max(high, y)
		}
	}
	return low, high, low <= high
}

// lowest returns the place of the lowest line, the middle of it where the bottom is
// flat.
func (s Section) lowest() float64 {
	bottom, top := s.extent()
	from, to := math.Inf(1), math.Inf(-1)
	near := bottom + 1e-9*(top-bottom)
	for _, p := range s.outline {
		for _, r := range p.wet(near) {
			for _, t := range r {
				from, to = min(from, p.at(t).x), max(to, p.at(t).x)
			}
		}
	}
	return (from + to) / 2
}

// holds reports whether the arc passes the angle t, give or take whole turns.
func (p piece) holds(t float64) bool {
	t += 2 * math.Pi * math.Ceil((p.a-t)/(2*math.Pi))
	return t <= p.b
}

// crosses returns where the piece passes the place x; a piece that stands upright
// at x gives its two ends.
func (p piece) crosses(x float64) (out []float64) {
	if !p.round {
		if p.u.x == 0 {
			if p.c.x == x {
				return []float64{0, 1}
			}
			return nil
		}
		if t := (x - p.c.x) / p.u.x; t >= 0 && t <= 1 {
			return []float64{t}
		}
		return nil
	}
	r, right := math.Hypot(p.u.x, p.v.x), math.Atan2(p.v.x, p.u.x)
	if !(math.Abs(x-p.c.x) <= r) || r == 0 {
		return nil
	}
	half := math.Acos((x - p.c.x) / r)
	for _, t := range []float64{right - half, right + half} {
		if p.holds(t) {
			out = append(out, t)
		}
	}
	return out
}

// at returns the place on the piece.
func (p piece) at(t float64) point {
	if !p.round {
		return p.c.plus(p.u.times(t))
	}
	sin, cos := math.Sincos(t)
	return p.c.plus(p.u.times(cos)).plus(p.v.times(sin))
}

// swing writes the height of an arc as c.y + h·cos(t − top).
func (p piece) swing() (h, top float64) { return math.Hypot(p.u.y, p.v.y), math.Atan2(p.v.y, p.u.y) }

// wet returns the ranges of t in which the piece lies below y.
func (p piece) wet(y float64) [][2]float64 {
	if p.round {
		return p.wetArc(y)
	}
	from, to := p.c.y, p.c.y+p.u.y
	switch {
	case from <= y && to <= y:
		return [][2]float64{{0, 1}}
	case from > y && to > y:
		return nil
	}
	t := (y - from) / (to - from)
	if from < y {
		return [][2]float64{{0, t}}
	}
	return [][2]float64{{t, 1}}
}

// wetArc cuts the arc at the two places where its circle passes y.
func (p piece) wetArc(y float64) (out [][2]float64) {
	h, top := p.swing()
	if y >= p.c.y+h {
		return [][2]float64{{p.a, p.b}}
	}
	if y <= p.c.y-h {
		return nil
	}
	half := math.Acos((y - p.c.y) / h) // above y from top − half to top + half
	from := top + half
	from -= 2 * math.Pi * math.Ceil((from-p.a)/(2*math.Pi)) // at or before a
	for ; from < p.b; from += 2 * math.Pi {
		if lo, hi := max(p.a, from), min(p.b, from+2*(math.Pi-half)); lo < hi {
			out = append(out, [2]float64{lo, hi})
		}
	}
	return out
}

// across is ∫ x′ dt.
func (p piece) across(_, from, to float64) float64 { return p.at(to).x - p.at(from).x }

// below is ∫ (y − y(t))·x′(t) dt.
func (p piece) below(y, from, to float64) float64 {
	if !p.round {
		mid := p.at((from + to) / 2).y
		return (y - mid) * p.u.x * (to - from)
	}
	// x′ = −ux·sin + vx·cos; the products of sin and cos integrate to ss, cc and sc.
	s0, c0 := math.Sincos(from)
	s1, c1 := math.Sincos(to)
	half, double := (to-from)/2, (s1*c1-s0*c0)/2
	ss, cc, sc := half-double, half+double, (s1*s1-s0*s0)/2
	plain := (y - p.c.y) * p.across(y, from, to)
	return plain + p.u.x*(p.u.y*sc+p.v.y*ss) - p.v.x*(p.u.y*cc+p.v.y*sc)
}
