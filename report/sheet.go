package report

import (
	"slices"

	"tankside/projections"
)

// Source is a limit that something was held against.
type Source struct {
	For   string
	Limit *projections.Threshold
}

// Sources are the limits that findings and timers were held against, each once.
func (d Document) Sources() (out []Source) {
	add := func(what string, t *projections.Threshold) {
		same := func(s Source) bool {
			return s.For == what && s.Limit.Value == t.Value && s.Limit.Unit == t.Unit && s.Limit.Source == t.Source
		}
		if t != nil && !slices.ContainsFunc(out, same) {
			out = append(out, Source{what, t})
		}
	}
	for _, f := range d.State.Findings {
		add(f.Rule, f.Limit)
	}
	for _, u := range d.State.Due {
		add(u.Rule, u.Limit)
	}
	for _, u := range d.State.Duties {
		add(u.Rule, u.Limit)
	}
	return out
}

// Candidates are the findings a chief would look at first: the serious ones, the
// earliest first, no more than three.
func (d Document) Candidates() (out []projections.Finding) {
	for _, f := range d.State.Findings {
		if f.Severity == projections.Serious && len(out) < 3 {
			out = append(out, f)
		}
	}
	return out
}

// Stamp is a benchmark as the date and time it has on a form; the zero Moment where
// nobody recorded it.
func (d Document) Stamp(benchmark string) projections.Moment {
	for _, b := range d.State.Benchmarks {
		if b.Name == benchmark {
			return b.At
		}
	}
	return projections.Moment{}
}

// Occurred is when the mishap happened.
func (d Document) Occurred() projections.Moment { return d.Stamp("mishap") }

// Discovered is when a leak or a spill was first seen.
func (d Document) Discovered() (first projections.Moment) {
	for _, r := range slices.Concat(d.Told("leak_seen"), d.Told("spill_seen")) {
		if first.IsZero() || r.At.Best.Before(first.Best) {
			first = r.At
		}
	}
	return first
}

// TripCount is how many trips into the hot zone there were.
func (d Document) TripCount() (n int) {
	for _, p := range d.State.People {
		n += p.Number
	}
	return n
}

// LongestTrip is the longest stay of anybody in the hot zone.
func (d Document) LongestTrip() (longest projections.Figure) {
	for _, p := range d.State.People {
		if p.Longest.Known && (!longest.Known || p.Longest.Value > longest.Value) {
			longest = p.Longest
		}
	}
	return longest
}

// Chief is what the chief wrote for a part of the report, nil while it is not written.
func (d Document) Chief(section string) *projections.Written {
	for i, w := range d.State.Review.Sections {
		if w.Section == section {
			return &d.State.Review.Sections[i]
		}
	}
	return nil
}
