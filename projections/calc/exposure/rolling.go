package exposure

import (
	"math"
	"slices"
	"sort"

	"tankside/events/quantity"
)

// Rolling returns the highest average over any window of the length, which is above
// 0, and where that window begins:
//
//	max over t of (1/w)·∫ C dt from t to t+w
//
// The window is not bound to the clock. Time without a level counts as zero, so of a
// profile with gaps this is the least it can be. Between the moments at which an edge
// of the window meets an edge of the profile the sum is a parabola; its top lies where
// C(t) = C(t+w). Of several windows with the highest average it is the first that does
// not begin before the profile does. A profile without a level gives 0 at 0.
func (p Profile) Rolling(window quantity.Minutes) (highest quantity.PPM, from quantity.Minutes) {
	for _, g := range p.segments {
		if math.IsInf(g.a, 1) { // an instrument past its scale bounds nothing
			return quantity.PPM(g.a), g.From
		}
	}
	s := newSums(p)
	best := -1.0
	try := func(t float64) {
		if v := s.to(t+float64(window)) - s.to(t); v > best*(1+1e-12) || best < 0 {
			best, from = v, quantity.Minutes(t)
		}
	}
	starts := p.starts(float64(window))
	for i, t := range starts {
		try(t)
		if i+1 < len(starts) {
			if top, ok := s.top(t, starts[i+1], float64(window)); ok {
				try(top)
			}
		}
	}
	return quantity.PPM(max(best, 0) / float64(window)), from
}

// starts are the windows that have an edge on an edge of the profile, in order; one
// that begins before the profile holds no more than one that begins with it.
func (p Profile) starts(window float64) []float64 {
	var at []float64
	for _, g := range p.segments {
		from, to := float64(g.From), float64(g.To)
		at = append(at, from, to, from-window, to-window)
	}
	slices.Sort(at)
	if len(at) > 0 {
		first, _ := slices.BinarySearch(at, float64(p.segments[0].From))
		at = at[first:]
	}
	return slices.Compact(at)
}

// sums is the dose up to each edge of a profile.
type sums struct {
	segments []segment
	before   []float64 // dose before each segment
}

func newSums(p Profile) sums {
	s := sums{p.segments, make([]float64, len(p.segments))}
	for i := 1; i < len(p.segments); i++ {
		g := p.segments[i-1]
		s.before[i] = s.before[i-1] + g.mid()*float64(g.Length())
	}
	return s
}

// to is the dose up to t.
func (s sums) to(t float64) float64 {
	i := sort.Search(len(s.segments), func(i int) bool { return float64(s.segments[i].From) >= t }) - 1
	if i < 0 {
		return 0
	}
	g := s.segments[i]
	end := quantity.Minutes(math.Min(t, float64(g.To)))
	return s.before[i] + (g.a+g.at(end))/2*float64(end-g.From)
}

// level is the level at t within the segment that covers t, 0 where none does.
func (s sums) level(t float64) float64 {
	i := sort.Search(len(s.segments), func(i int) bool { return float64(s.segments[i].To) > t })
	if i == len(s.segments) || float64(s.segments[i].From) > t {
		return 0
	}
	return s.segments[i].at(quantity.Minutes(t))
}

// top is the window between a and b, which hold no edge between them, at which what is
// gained ahead just makes up for what is lost behind.
func (s sums) top(a, b, window float64) (float64, bool) {
	slope := func(t float64) float64 { return s.level(t+window) - s.level(t) }
	// The slope is straight over (a, b); two places inside it give it.
	x, y := a+(b-a)/4, a+3*(b-a)/4
	dx, dy := slope(x), slope(y)
	if dx == dy {
		return 0, false
	}
	t := x + (y-x)*dx/(dx-dy)
	return t, dx > dy && t > a && t < b
}
