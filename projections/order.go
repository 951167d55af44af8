package projections

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// clock writes the time of day for a note.
func clock(t time.Time) string {
	if t.Second() == 0 {
		return t.Format("15:04")
	}
	return t.Format(time.TimeOnly)
}

// add appends to a list that may grow long. It doubles the room where append would
// add a quarter, so that a long log is not copied over and over.
func add[T any](l []T, v T) []T {
	if len(l) == cap(l) {
		l = slices.Grow(l, len(l)+4)
	}
	return append(l, v)
}

// setIn puts a value into a map, which it makes where there is none.
func setIn[K comparable, V any](m map[K]V, key K, v V) map[K]V {
	if m == nil {
		m = map[K]V{}
	}
	m[key] = v
	return m
}

// natural orders names so that P2A comes before P10A: digits by their number, the
// rest by letter.
func natural(a, b string) int {
	for a != "" && b != "" {
		da, db := digits(a), digits(b)
		if da > 0 && db > 0 {
			x, y := strings.TrimLeft(a[:da], "0"), strings.TrimLeft(b[:db], "0")
			if d := cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(x, y)); d != 0 {
				return d
			}
			a, b = a[da:], b[db:]
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}

// merge returns the stretches covered by at least one interval; those that touch
// become one. An open interval leaves its stretch open.
func merge(intervals []Interval) []Interval {
	var out []Interval
	for _, i := range inOrder(intervals) {
		if n := len(out); n > 0 && (out[n-1].End.IsZero() || !i.Start.Best.After(out[n-1].End.Best)) {
			last := &out[n-1]
			if !last.End.IsZero() && (i.End.IsZero() || i.End.Best.After(last.End.Best)) {
				last.End = i.End
			}
			continue
		}
		out = append(out, i)
	}
	return out
}

// inOrder sorts by start, then end, then the entries that open and close, so that the
// order in which the intervals were gathered does not matter.
func inOrder(intervals []Interval) []Interval {
	out := slices.Clone(intervals)
	slices.SortFunc(out, func(a, b Interval) int {
		return cmp.Or(a.Start.Best.Compare(b.Start.Best), a.End.Best.Compare(b.End.Best), slices.Compare(a.Start.From, b.Start.From), slices.Compare(a.End.From, b.End.From))
	})
	return out
}

// without returns what is left of the stretches when the cuts are taken out; both
// must be merged. Open ends run to now.
func without(stretches, cuts []Interval, now time.Time) []Interval {
	var out []Interval
	for _, s := range stretches {
		for len(cuts) > 0 && !cuts[0].Until(now).After(s.Start.Best) {
			cuts = cuts[1:] // nor does it reach any later stretch
		}
		for _, c := range cuts {
			if !c.Until(now).After(s.Start.Best) {
				continue
			}
			if !c.Start.Best.Before(s.Until(now)) {
				break
			}
			if c.Start.Best.After(s.Start.Best) {
				out = append(out, Interval{s.Start, c.Start})
			}
			if s.Start = c.End; c.End.IsZero() {
				break
			}
		}
		if !s.Start.IsZero() && s.Start.Best.Before(s.Until(now)) {
			out = append(out, s)
		}
	}
	return out
}
