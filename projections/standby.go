package projections

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// Backup is a pair named to stand by. Its stretch ends when another is named or
// when one of the pair goes in.
type Backup struct {
	Interval
	Pair    string   `json:"pair"`
	Persons []string `json:"persons"`
	EndedBy string   `json:"ended_by,omitempty"`
}

func (p *People) backup(e *events.Entry, k kinds.BackupReady) {
	p.endBackup(e, "another backup named")
	who := namedIn(k.Person, k.Pressures)
	if len(who) == 0 {
		who = p.pair(k.Pair)
	}
	for _, key := range who {
		p.person(key)
	}
	p.Backups = append(p.Backups, Backup{Interval: Interval{Start: MomentOf(e)}, Pair: k.Pair, Persons: list(who)})
}

func (p *People) endBackup(e *events.Entry, why string) {
	if n := len(p.Backups); n > 0 && p.Backups[n-1].End.IsZero() {
		p.Backups[n-1].End, p.Backups[n-1].EndedBy = MomentOf(e), why
	}
}

// breakBackup ends the backup when one who stands by goes in.
func (p *People) breakBackup(e *events.Entry, who []string) {
	n := len(p.Backups)
	if n == 0 || !p.Backups[n-1].End.IsZero() {
		return
	}
	for _, key := range who {
		if slices.Contains(p.Backups[n-1].Persons, key) {
			p.endBackup(e, key+" went in")
			return
		}
	}
}

// Unbacked returns the stretches during which somebody was in and no backup stood
// by name.
func (p *People) Unbacked(now time.Time) []Interval { return p.unbacked(p.Occupied(), now) }

func (p *People) unbacked(occupied []Interval, now time.Time) []Interval {
	var backed []Interval
	for _, b := range p.Backups {
		backed = append(backed, b.Interval)
	}
	return without(occupied, merge(backed), now)
}

// RollCall is everybody in the hot zone counted.
type RollCall struct {
	At      Moment   `json:"at"`
	In      Figure   `json:"in"`
	Seen    Figure   `json:"seen"`
	Tags    Figure   `json:"tags_turned"`
	Logged  int      `json:"logged"` // persons in by the log
	Missing []string `json:"missing,omitempty"`
	Why     string   `json:"why,omitempty"`
}

func (p *People) roll(e *events.Entry, k kinds.RollCall) {
	r := RollCall{
		At: MomentOf(e), In: FigureOf(k.In, "", e.Seq), Seen: FigureOf(k.Seen, "", e.Seq), Tags: FigureOf(k.TagsTurned, "", e.Seq),
		Logged: p.open, Missing: k.Missing, Why: k.Why,
	}
	p.RollCalls = add(p.RollCalls, r)
	if r.In.Known && (float64(r.Logged) < r.In.Low || float64(r.Logged) > r.In.High) {
		p.note(e, "roll call at %s counts %v in, the log has %d", clock(e.Time()), k.In, r.Logged)
	}
	if r.In.Known && r.Seen.Known && r.Seen.High < r.In.Low {
		p.note(e, "roll call at %s: %v in but only %v answered or seen", clock(e.Time()), k.In, k.Seen)
	}
	if r.Tags.Known && r.In.Known && r.Tags.Low > r.In.High {
		p.note(e, "roll call at %s: %v tags are turned and %v are in", clock(e.Time()), k.TagsTurned, k.In)
	}
}

// Gap is a stretch with somebody in and no roll call, with the rule then in force.
type Gap struct {
	Interval
	Minutes Figure `json:"minutes"`
	Limit   Figure `json:"limit"`
	Over    Figure `json:"over"` // minutes past the limit; negative when within
}

// RollGaps returns every stretch, with somebody in, from one roll call to the next;
// the first runs from the entry and the last to the exit.
func (p *People) RollGaps(now time.Time) []Gap { return p.rollGaps(p.Occupied(), now) }

func (p *People) rollGaps(occupied []Interval, now time.Time) []Gap {
	var out []Gap
	next := 0
	for _, s := range occupied {
		from := s.Start
		for ; next < len(p.RollCalls) && !p.RollCalls[next].At.Best.After(s.Until(now)); next++ {
			if at := p.RollCalls[next].At; at.Best.After(from.Best) {
				out = append(out, p.gap(from, at, now))
				from = at
			}
		}
		if from.Best.Before(s.Until(now)) {
			out = append(out, p.gap(from, s.End, now))
		}
	}
	return out
}

func (p *People) gap(from, to Moment, now time.Time) Gap {
	g := Gap{Interval: Interval{from, to}, Minutes: Elapsed(from, to, now), Limit: inForce(p.RollRules, from.Best)}
	g.Over = over(g.Minutes, g.Limit)
	return g
}

// LateRolls returns the gaps that went past the rule then in force.
func (p *People) LateRolls(now time.Time) []Gap {
	return late(p.RollGaps(now))
}

func late(gaps []Gap) (out []Gap) {
	for i := range gaps {
		if over := &gaps[i].Over; over.Known && over.Value > 0 {
			out = append(out, gaps[i])
		}
	}
	return out
}

// MinutesRule is a limit in minutes that somebody ordered.
type MinutesRule struct {
	At      Moment `json:"at"`
	Rule    string `json:"rule"` // as said
	Minutes Figure `json:"minutes"`
}

// rules takes from orders how often a roll call is due and how long a stay may last:
// "PAR every 20 min while anyone is in", "20 min in the water then rehab".
func (p *People) rules(e *events.Entry, k kinds.OrderGiven) {
	for _, text := range k.Rule {
		said := strings.ToLower(text)
		p.airRule(e, text, said)
		roll := strings.Contains(said, "par ") || strings.Contains(said, "roll call")
		if m, ok := minutesAfter(said, "every "); ok && roll {
			p.RollRules = append(p.RollRules, minutesRule(e, text, m))
		} else if m, ok := minutesAfter(said, ""); ok && strings.Contains(said, "rehab") {
			p.StayRules = append(p.StayRules, minutesRule(e, text, m))
		}
	}
}

func minutesRule(e *events.Entry, text string, m float64) MinutesRule {
	return MinutesRule{MomentOf(e), text, Exact(m, "min", "as ordered", e.Seq)}
}

// minutesAfter reads "N min" after a word.
func minutesAfter(said, word string) (float64, bool) {
	_, rest, found := strings.Cut(said, word)
	f := strings.Fields(rest)
	if !found || len(f) < 2 || !strings.HasPrefix(f[1], "min") {
		return 0, false
	}
	m, err := strconv.ParseFloat(f[0], 64)
	return m, err == nil && m > 0 && !math.IsInf(m, 0)
}

// inForce returns the limit of the last rule given by t.
func inForce(rules []MinutesRule, t time.Time) Figure {
	limit := Lacking("min", "no rule given")
	for _, r := range rules {
		if !r.At.Best.After(t) {
			limit = r.Minutes
		}
	}
	return limit
}

// over is how far minutes go past a limit.
func over(minutes, limit Figure) Figure {
	if !limit.Known {
		return Lacking("min", limit.Missing...)
	}
	return minutes.Minus(limit).As("past the limit then in force")
}

// LongStay is a trip that went past the stay limit in force when it ended.
type LongStay struct {
	Gap
	Person string `json:"person"`
}

// LongStays returns the trips past the stay limit, sorted by person; a trip that
// goes on is held against the limit now in force.
func (p *People) LongStays(now time.Time) []LongStay {
	var out []LongStay
	if len(p.StayRules) == 0 {
		return nil // no limit to hold a trip against
	}
	for _, person := range p.List(now) {
		for _, t := range person.Trips {
			limit := inForce(p.StayRules, t.Until(now))
			g := Gap{Interval: t.Interval, Minutes: t.Minutes, Limit: limit, Over: over(t.Minutes, limit)}
			if g.Over.Known && g.Over.Value > 0 {
				out = append(out, LongStay{g, person.Person})
			}
		}
	}
	return out
}

// Standing returns the backup that stands by, nil when none does.
func (p *People) Standing() *Backup {
	if n := len(p.Backups); n > 0 && p.Backups[n-1].End.IsZero() {
		return &p.Backups[n-1]
	}
	return nil
}
