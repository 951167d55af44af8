package projections

import (
	"slices"
	"time"
)

// Report is the quality of the log as its JSON shows it.
type Report struct {
	Entries     int            `json:"entries"`
	MedianDelay Figure         `json:"median_delay"` // s, from happening to being told
	Late        []Late         `json:"late"`
	SoftShare   Figure         `json:"soft_share"` // % of entries whose time is a range or an order
	Revised     []Revised      `json:"revised"`
	Struck      []Dropped      `json:"struck"`
	Joined      []Dropped      `json:"joined"`
	Clocks      []ClockFound   `json:"clocks"`
	Outages     []Outage       `json:"outages"`
	SilentGaps  []Gap          `json:"silent_gaps"`
	Doubts      []Disagreement `json:"doubts"`
	OpenDoubts  int            `json:"open_doubts"`
	Sessions    []Session      `json:"sessions"`
	Unplaced    []Note         `json:"unplaced"`
	Faults      []Note         `json:"faults"`
	Unknown     []Note         `json:"unknown_kinds"`
	Notes       []Note         `json:"notes"`
}

// Report works out the quality as at now.
func (q *Quality) Report(now time.Time) Report {
	r := Report{
		Entries: q.Entries, MedianDelay: q.medianDelay(), Late: list(q.Late), SoftShare: Lacking("%", "an entry"),
		Revised: list(q.Revised), Struck: list(q.Struck), Joined: list(q.Joined), Clocks: q.found(), Outages: q.outagesAt(now),
		SilentGaps: list(q.SilentGaps(now)), Doubts: list(q.Doubts), OpenDoubts: len(q.doubts), Sessions: list(q.Sessions),
		Unplaced: list(q.Unplaced), Faults: list(q.Faults), Unknown: list(q.Unknown), Notes: list(q.Notes),
	}
	if q.Entries > 0 {
		r.SoftShare = Exact(100*float64(q.Soft)/float64(q.Entries), "%", "share of entries")
	}
	return r
}

func (q *Quality) medianDelay() Figure {
	if len(q.delays) == 0 {
		return Lacking("s", "an entry with a time of its own")
	}
	d := slices.Sorted(slices.Values(q.delays))
	return Exact((d[(len(d)-1)/2]+d[len(d)/2]).Seconds()/2, "s", "median")
}

func (q *Quality) found() []ClockFound {
	out := slices.Clone(list(q.Clocks))
	for i := range out {
		if q.clocks[out[i].Device] == i {
			out[i].Moved = q.moved[out[i].Device]
		}
	}
	return out
}

func (q *Quality) outagesAt(now time.Time) []Outage {
	out := slices.Clone(list(q.Outages))
	for i := range out {
		out[i].Minutes = Elapsed(out[i].Start, out[i].End, now)
	}
	return out
}

// SilentGaps returns the times longer than SilentAfter, while the log was open, in
// which nothing was told.
func (q *Quality) SilentGaps(now time.Time) []Gap {
	var out []Gap
	told := slices.Clone(q.told)
	slices.SortStableFunc(told, func(a, b toldAt) int { return a.at.Compare(b.at) })
	for i, from := range told {
		end, to := now, Moment{}
		if i+1 < len(told) {
			end, to = told[i+1].at, told[i+1].moment()
		}
		if end.Sub(from.at) <= SilentAfter || !q.openAt(from.at) {
			continue
		}
		g := Gap{Interval: Interval{from.moment(), to}, Limit: Exact(SilentAfter.Minutes(), "min", "common practice, no source")}
		g.Minutes = Elapsed(g.Start, g.End, now)
		g.Over = over(g.Minutes, g.Limit)
		out = append(out, g)
	}
	return out
}

// openAt reports whether the log was open at t: a log that was never logged open
// counts as open.
func (q *Quality) openAt(t time.Time) bool {
	for _, s := range slices.Backward(q.Sessions) {
		if s.Start.Best.After(t) {
			continue
		}
		return s.End.IsZero() || s.End.Best.After(t)
	}
	return true
}
