package projections

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// AirReading is one reading of one quantity.
type AirReading struct {
	At         Moment     `json:"at"`
	Value      Figure     `json:"value"`
	Instrument string     `json:"instrument,omitempty"`
	Stamped    *time.Time `json:"stamped,omitempty"`   // by the device, where its clock was found off
	ClockOff   float64    `json:"clock_off,omitempty"` // s, how far that clock ran ahead
	Limit      *Figure    `json:"limit"`               // the action level then in force; null when none was ordered
	Over       bool       `json:"over"`                // at or past it, as corrected where that is known
	Corrected  *Figure    `json:"corrected"`           // LEL of the fuel, where it is known how the sensor was set; null elsewhere

	by     string // who read it
	place  string
	factor float64 // of the detector, as set in it; 0 where nobody said
}

// AirSeries is the readings of one quantity at one place, in the order of time.
type AirSeries struct {
	Place      string       `json:"place"`
	Quantity   string       `json:"quantity"`
	Readings   []AirReading `json:"readings"`
	Min        Figure       `json:"min"`
	Median     Figure       `json:"median"`
	Max        Figure       `json:"max"`
	LongestGap Figure       `json:"longest_gap"` // between readings there, or after the last while the place was worked; the method says from when to when
	Every      *MinutesRule `json:"read_every"`  // how often it is to be read there; null when nobody ordered it
	Over       int          `json:"over"`        // readings at or past the action level

	Speaks float64       `json:"speaks"` // min, how long a reading speaks for the place
	Unread []Unmonitored `json:"unread"` // when the place was worked and no reading spoke for it

	sites []string // that the place names
}

// AirLimit is an action level as ordered.
type AirLimit struct {
	At       Moment `json:"at"`
	Rule     string `json:"rule"`
	Quantity string `json:"quantity"`
	Limit    Figure `json:"limit"`
}

// Bump is a check of an instrument.
type Bump struct {
	At         Moment `json:"at"`
	Instrument string `json:"instrument,omitempty"`
	Bump       string `json:"bump,omitempty"`
	FreshAir   string `json:"fresh_air,omitempty"`
	Span       string `json:"span,omitempty"`
	Result     string `json:"result,omitempty"`
}

// Air is what the air read, where.
type Air struct {
	Limits []AirLimit
	Checks []Bump

	series []*AirSeries // in the order of the first reading
	byKey  map[airKey]*AirSeries
	limits map[string]*Figure // by quantity, the last ordered
	every  []placeRule
	set    []sensorSet
	reads  []Moment // of any quantity anywhere
}

type airKey struct{ place, quantity string }

// Apply folds one entry.
func (a *Air) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.AirRead:
		a.read(e, k)
	case kinds.InstrumentChecked:
		a.Checks = append(a.Checks, Bump{MomentOf(e), orElse(k.Instrument, e.Where), k.Bump, k.FreshAir, k.Span, k.Result})
		if !k.Lamp.Said() {
			a.setting(e, orElse(k.Instrument, e.Where), k.Gas, k.Factor)
		}
	case kinds.GearReady:
		if k.Bump != "" || k.CalGas != "" {
			a.Checks = append(a.Checks, Bump{At: MomentOf(e), Bump: k.Bump, Span: k.CalGas})
		}
		a.setting(e, "", k.CalGas, k.Factor)
	case kinds.OrderGiven:
		a.rules(e, k)
	}
}

func (a *Air) read(e *events.Entry, k kinds.AirRead) {
	at := MomentOf(e)
	a.reads = add(a.reads, at)
	said := map[string]Figure{
		"LEL": FigureOf(k.LEL, "", at.From...), "O2": FigureOf(k.O2, "", at.From...), "VOC": FigureOf(k.VOC, "", at.From...),
		"benzene": FigureOf(k.Benzene, "", at.From...), "CO": FigureOf(k.CO, "", at.From...), "H2S": FigureOf(k.H2S, "", at.From...),
	}
	for _, u := range airUnits {
		a.add(e, at, k, u.quantity, orBeyond(said[u.quantity], k, u.quantity, u.unit, at.From))
	}
}

func (a *Air) add(e *events.Entry, at Moment, k kinds.AirRead, quantity string, value Figure) {
	if !value.Known {
		return
	}
	key := airKey{e.Where, quantity}
	s := a.byKey[key]
	if s == nil {
		s = &AirSeries{Place: e.Where, Quantity: quantity, sites: namedSites(e.Where)}
		a.byKey = setIn(a.byKey, key, s)
		a.series = append(a.series, s)
	}
	r := AirReading{At: at, Value: value, Instrument: orElse(k.Instrument, e.Device), Limit: a.limits[quantity], by: e.ObservedBy, place: e.Where, factor: float64(k.Factor.Or(0))}
	r.Over = r.Limit != nil && past(quantity, value, *r.Limit)
	if e.ClockOff != 0 {
		r.Stamped, r.ClockOff = said(e.SaidWhen.At), e.ClockOff.Seconds()
	}
	s.Readings = add(s.Readings, r)
}

// past reports whether a reading is at or past its action level: above it, but for
// oxygen below it.
func past(quantity string, value, limit Figure) bool {
	if quantity == "O2" {
		return value.Low <= limit.Value
	}
	return value.High >= limit.Value
}

// airUnits are the quantities that are read and that an order may set a level for.
var airUnits = []struct{ quantity, unit string }{{"LEL", "%"}, {"O2", "%"}, {"VOC", "ppm"}, {"benzene", "ppm"}, {"CO", "ppm"}, {"H2S", "ppm"}}

// rules takes action levels from orders: "stop at 10 % LEL in work area"; and how
// often to read: "benzene read every 10 min".
func (a *Air) rules(e *events.Entry, k kinds.OrderGiven) {
	for _, text := range k.Rule {
		a.readEvery(e, text)
		f := strings.Fields(strings.ReplaceAll(text, "%", " % "))
		if len(f) < 5 || !strings.EqualFold(f[0], "stop") || f[1] != "at" {
			continue
		}
		v, err := strconv.ParseFloat(f[2], 64)
		for _, u := range airUnits {
			if err == nil && f[3] == u.unit && strings.EqualFold(f[4], u.quantity) {
				l := AirLimit{MomentOf(e), text, u.quantity, Exact(v, u.unit, "as ordered", e.Seq)}
				a.Limits = append(a.Limits, l)
				a.limits = setIn(a.limits, u.quantity, &l.Limit)
			}
		}
	}
}

// List returns the series in the order of their first readings.
func (a *Air) List() []AirSeries {
	out := make([]AirSeries, 0, len(a.series))
	for _, s := range a.series {
		out = append(out, s.worked())
	}
	return out
}

// worked returns a copy of the series with its figures.
func (s *AirSeries) worked() AirSeries {
	out := *s
	out.Readings = slices.Clone(s.Readings)
	values := make([]Figure, len(s.Readings))
	out.Min, out.Max = s.Readings[0].Value, s.Readings[0].Value
	out.LongestGap, out.Unread = Lacking("min", "a second reading"), []Unmonitored{}
	gap := 0 // the reading after the longest
	for i, r := range s.Readings {
		values[i] = r.Value
		if r.Value.Value < out.Min.Value {
			out.Min = r.Value
		}
		if r.Value.Value > out.Max.Value {
			out.Max = r.Value
		}
		if r.Over {
			out.Over++
		}
		if i > 0 && (gap == 0 || s.since(i) > s.since(gap)) {
			gap = i
		}
	}
	if gap > 0 {
		a, b := s.Readings[gap-1].At, s.Readings[gap].At
		out.LongestGap = minutes(a, b).As(clock(a.Best) + " to " + clock(b.Best))
	}
	out.Median = Median(out.Min.Unit, values)
	return out
}

// since is the time from the reading before the i-th, which is not the first.
func (s *AirSeries) since(i int) time.Duration {
	return s.Readings[i].At.Best.Sub(s.Readings[i-1].At.Best)
}

func longer(a, b Figure) Figure {
	if !a.Known || b.Known && b.Value > a.Value {
		return b
	}
	return a
}

// At returns the readings of a quantity at a place within an interval, ends
// included; an open interval runs to now.
func (a *Air) At(place, quantity string, i Interval, now time.Time) []AirReading {
	s := a.byKey[airKey{place, quantity}]
	if s == nil {
		return nil
	}
	var out []AirReading
	for _, r := range s.Readings {
		if !r.At.Best.Before(i.Start.Best) && !r.At.Best.After(i.Until(now)) {
			out = append(out, r)
		}
	}
	return out
}

// LongestUnread returns the longest time without any reading anywhere within the
// stretches given, as those with somebody in; unknown where there is no stretch.
func (a *Air) LongestUnread(stretches []Interval, now time.Time) Figure {
	longest := Lacking("min", "nobody was in")
	next := 0
	for _, s := range stretches {
		from := s.Start
		for ; next < len(a.reads) && !a.reads[next].Best.After(s.Until(now)); next++ {
			if a.reads[next].Best.After(from.Best) {
				longest = longer(longest, Elapsed(from, a.reads[next], now))
				from = a.reads[next]
			}
		}
		longest = longer(longest, Elapsed(from, s.End, now))
	}
	return longest
}
