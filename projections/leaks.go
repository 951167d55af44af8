package projections

import (
	"math"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// Outflow is one place at which product leaves the tank.
type Outflow struct {
	Place       string      `json:"place"`
	Compartment string      `json:"compartment,omitempty"`
	Start       Moment      `json:"start"`
	Stop        Moment      `json:"stop"`
	Rates       []LeakRate  `json:"rates"`
	Lost        Figure      `json:"lost"`    // as somebody stated it, gal
	Opening     Figure      `json:"opening"` // across, in
	Head        Figure      `json:"head"`    // of liquid above it when that was read, in
	Estimates   []LeakTotal `json:"estimates"`

	sized Moment // when its opening or its head was told
}

// LeakRate is a rate of a leak as somebody had it, in gal/min.
type LeakRate struct {
	At    Moment `json:"at"`
	Rate  Figure `json:"rate"`
	Guess bool   `json:"guess"`

	changed bool // the leak itself changed: slowed
}

// LeakTotal is what a leak let out by one way of reckoning.
type LeakTotal struct {
	Method string `json:"method"`
	Gross  Gross  `json:"gross"`
}

// Doubts of a leak by rate and time: a bucket and a watch, and a guess, which may
// be twice too much or half of it (judgement).
const (
	bucketShare = 0.20
	guessFactor = 2.0
)

// leaks are the leaks of a tank in the order in which they were first told.
type leaks struct {
	all     []*Outflow
	byPlace map[string]*Outflow
	in      map[string][]*Outflow // by compartment
}

// at returns the leak that a place names: the same words, or the words of a known
// place with something added or left out, else nil.
func (ls *leaks) at(where string) *Outflow {
	if l := ls.byPlace[where]; l != nil {
		return l
	}
	for _, l := range ls.in[compartmentOf(where)] {
		if samePlace(l.Place, where) {
			return l
		}
	}
	return nil
}

// samePlace reports whether one place is the other with words added, as "C3 lid"
// and "C3 lid under water", or just names the compartment.
func samePlace(a, b string) bool {
	return strings.HasPrefix(a+" ", b+" ") || strings.HasPrefix(b+" ", a+" ")
}

// open returns the only open leak of a compartment, nil when there is none or
// there are several.
func (ls *leaks) only(compartment string) (found *Outflow) {
	for _, l := range ls.in[compartment] {
		if l.Stop.IsZero() {
			if found != nil {
				return nil
			}
			found = l
		}
	}
	return found
}

// get returns the leak at where, a new one if it is not known. A leak that is found
// before anybody worked on the tank is taken to run since the mishap, or from
// between the mishap and the moment it was seen.
func (ls *leaks) get(e *events.Entry, v *Volume) *Outflow {
	if l := ls.at(e.Where); l != nil {
		ls.byPlace[e.Where] = l
		return l
	}
	l := &Outflow{Place: e.Where, Compartment: compartmentOf(e.Where), Start: MomentOf(e), Opening: Lacking("in"), Head: Lacking("in"), Lost: Lacking("gal", "how much was lost at "+orElse(e.Where, "the leak"))}
	if !v.mishap.IsZero() && v.worked.IsZero() {
		l.Start = Moment{Best: v.mishap.Best, Earliest: v.mishap.Earliest, Latest: MomentOf(e).Latest, From: union(v.mishap.From, []events.Seq{e.Seq})}
	}
	if ls.byPlace == nil {
		ls.byPlace, ls.in = map[string]*Outflow{}, map[string][]*Outflow{}
	}
	ls.all = append(ls.all, l)
	ls.byPlace[e.Where] = l
	if l.Compartment != "" {
		ls.in[l.Compartment] = append(ls.in[l.Compartment], l)
	}
	return l
}

// known returns the leak at where, or the only open one of its compartment, or a
// new one.
func (ls *leaks) known(e *events.Entry, v *Volume) *Outflow {
	if ls.at(e.Where) == nil {
		if l := ls.only(compartmentOf(e.Where)); l != nil {
			return l
		}
	}
	return ls.get(e, v)
}

func (ls *leaks) apply(e *events.Entry, v *Volume) {
	switch k := e.Payload.(type) {
	case kinds.LeakSeen:
		l := ls.get(e, v)
		l.rate(e, k.GuessRate, !strings.Contains(k.Trust, "measured"), false)
		l.lost(e, k.Lost)
		l.size(e, k)
		if k.Fixed != "" {
			l.Stop = MomentOf(e)
		}
	case kinds.LeakRate:
		ls.known(e, v).rate(e, k.Rate, guessed(k.Trust, k.By), false)
	case kinds.LeakSlowed:
		l := ls.known(e, v)
		l.slowed(e, k)
		l.lost(e, k.Lost)
	case kinds.LeakStopped:
		l := ls.known(e, v)
		l.Stop = MomentOf(e)
		l.before(e, k.Before)
		l.lost(e, k.Lost)
	}
}

// size takes the opening of a leak and the liquid above it.
func (l *Outflow) size(e *events.Entry, k kinds.LeakSeen) {
	l.Opening, l.Head = saidLast(k.Opening, e, l.Opening), saidLast(k.Head, e, l.Head)
	if k.Opening.Said() && l.sized.IsZero() || k.Head.Said() {
		l.sized = MomentOf(e)
	}
}

func guessed(trust, by string) bool {
	return strings.Contains(trust, "guess") || strings.Contains(by, "guess") || strings.Contains(by, "eye")
}

func (l *Outflow) lost(e *events.Entry, a quantity.Amount[quantity.Gallons]) {
	if a.Said() {
		l.Lost = floor(FigureOf(a, "stated", e.Seq))
	}
}

func (l *Outflow) rate(e *events.Entry, a quantity.Amount[quantity.GallonsPerMinute], guess, changed bool) {
	if a.Said() {
		l.Rates = append(l.Rates, LeakRate{MomentOf(e), floor(FigureOf(a, "", e.Seq)), guess, changed})
	}
}

// slowed starts a new stretch of the leak. Without a rate the stretch runs at
// anything from nothing to the rate before.
func (l *Outflow) slowed(e *events.Entry, k kinds.LeakSlowed) {
	l.before(e, k.Before)
	if k.Rate.Said() {
		l.rate(e, k.Rate, guessed("", k.By), true)
		return
	}
	r := LeakRate{At: MomentOf(e), Rate: Lacking("gpm", "rate after the leak slowed"), changed: true}
	if n := len(l.Rates); n > 0 && l.Rates[n-1].Rate.Known {
		high := l.Rates[n-1].Rate.High
		r.Rate = Range(0, high/2, high, "gpm", "anything up to the rate before", e.Seq)
	}
	l.Rates = append(l.Rates, r)
}

// before takes the rate that a leak is said to have had until now.
func (l *Outflow) before(e *events.Entry, a quantity.Amount[quantity.GallonsPerMinute]) {
	l.rate(e, a, false, false)
}

// dry bounds the end of a leak that nobody stopped: it dwindles between the first
// gallon pumped out of its compartment, by the legs that draw from it, and the last.
func (l *Outflow) dry(drawn []*Leg) {
	if !l.Stop.IsZero() {
		return
	}
	for _, leg := range drawn {
		if !leg.Start.IsZero() && !leg.Stop.IsZero() && leg.Stop.Best.After(l.Start.Best) {
			half := leg.Stop.Best.Sub(leg.Start.Best) / 2
			l.Stop = Moment{Best: leg.Start.Best.Add(half), Earliest: leg.Start.Earliest, Latest: leg.Stop.Latest, From: union(leg.Start.From, leg.Stop.From)}
		}
	}
}

// total returns what the leak let out until now: as stated where somebody did,
// else by rate and time. A guess alone gives no figure, only the least it can be.
func (l *Outflow) total(drawn []*Leg, now time.Time) Outflow {
	c := *l
	c.dry(drawn)
	c.Rates, c.Estimates = list(c.Rates), []LeakTotal{}
	if c.Lost.Known {
		c.Estimates = append(c.Estimates, LeakTotal{"stated", Gross{c.Lost}})
	}
	if bucket := c.byRate(now, false); bucket.Known || bucket.bounded() && bucket.Low > 0 {
		c.Estimates = append(c.Estimates, LeakTotal{"rate x time", bucket})
	}
	if guess := c.byRate(now, true); guess.Known {
		c.Estimates = append(c.Estimates, LeakTotal{"guess x time", guess})
	}
	return c
}

// best is the estimate that counts: stated before rate × time; a guess never does.
func (l *Outflow) best() Gross {
	for _, t := range l.Estimates {
		if t.Method != "guess x time" {
			return t.Gross
		}
	}
	missing := "rate or amount of the leak at " + orElse(l.Place, "an unnamed place")
	if len(l.Rates) > 0 {
		missing = "measured rate or amount of the leak at " + orElse(l.Place, "an unnamed place")
	}
	return noGross(missing)
}

// byRate adds up rate × time over the stretches between changes of the leak. Within
// a stretch the first measurement counts back to its start and each holds until
// the next. With guess the guesses count as well and must be there.
func (l *Outflow) byRate(now time.Time, guess bool) Gross {
	sum := Gross{Exact(0, "gal", "rate x time")}
	hasGuess := false
	from := l.Start
	for i := 0; i < len(l.Rates); {
		j := i + 1
		for j < len(l.Rates) && !l.Rates[j].changed {
			j++
		}
		end := l.Stop
		if j < len(l.Rates) {
			end = l.Rates[j].At
		}
		part, g := stretch(l.Rates[i:j], from, end, now, guess)
		sum, hasGuess, from, i = sum.Plus(part), hasGuess || g, end, j
	}
	if len(l.Rates) == 0 || guess && !hasGuess {
		return noGross("rate of the leak at " + l.Place)
	}
	sum.Method = "rate x time"
	if !sum.Known {
		sum.Missing = []string{"measured rate of the leak at " + l.Place}
	}
	if guess {
		sum.Low, sum.High, sum.U, sum.Method = sum.Low/guessFactor, sum.High*guessFactor, 0, "guess x time"
	}
	return sum
}

// stretch is rate × time from start to end at the given rates. It reports whether
// a guess was used.
func stretch(rates []LeakRate, start, end Moment, now time.Time, guess bool) (Gross, bool) {
	use := slices.DeleteFunc(slices.Clone(rates), func(r LeakRate) bool { return r.Guess != guess })
	used := guess && len(use) > 0
	if len(use) == 0 && guess {
		use = rates
	}
	if len(use) == 0 {
		return noGross("a measured rate"), false
	}
	sum := Gross{Exact(0, "gal", "rate x time")}
	for i, r := range use {
		to := end
		if i+1 < len(use) {
			to = use[i+1].At
		}
		min := floor(Elapsed(start, to, now))
		if !r.Rate.Known {
			return noGross(r.Rate.Missing...), used
		}
		f := times(r.Rate, Figure{Known: true, Value: math.Max(0, min.Value), Low: min.Low, High: math.Max(0, min.High), From: min.From}, "gal", "rate x time")
		f.U = bucketShare * f.Value
		// One bucket serves all its minutes: its doubt adds up straight.
		u := sum.U + f.U
		sum = sum.Plus(Gross{f})
		sum.U, start = u, to
	}
	return sum, used
}
