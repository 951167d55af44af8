package projections

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/quantity"
	"tankside/projections/calc/cylinder"
	"tankside/projections/calc/rest"
)

// CrewRules are what a department settles about its people on air and at rest. What
// it left at 0 nobody settled, and what would follow from it is not worked out.
type CrewRules struct {
	Bottle   quantity.Minutes // rated time of the bottle in use where no entry says which
	Alarm    float64          // share of the full pressure at which the alarm sounds
	Cautious float64          // the same for the cautious case
	Out      quantity.Minutes // from the work to the line, on air
	Decon    quantity.Minutes // through decontamination, on air
	Rest     rest.Rule
}

// UsualCrewRules are those in force where a department has none.
var UsualCrewRules = CrewRules{Alarm: cylinder.Alarm, Cautious: cylinder.CautiousAlarm, Rest: rest.Usual}

// Check says what is wrong with the rules, nil when nothing is.
func (r CrewRules) Check() error {
	if !(r.Alarm > 0 && r.Alarm < 1 && r.Cautious > 0 && r.Cautious < 1 && r.Out >= 0 && r.Decon >= 0) {
		return fmt.Errorf("alarm at %g and %g %% of full, %g min out and %g through decon: want shares between 0 and 100 %% and no time below 0", 100*r.Alarm, 100*r.Cautious, r.Out, r.Decon)
	}
	if _, ok := cylinder.Find(fmt.Sprintf("%g min", r.Bottle), 0); r.Bottle != 0 && !ok {
		return fmt.Errorf("no usual bottle is rated for %g min; leave it out and let the entries name it", r.Bottle)
	}
	return r.Rest.Check()
}

// AirRule is an order that names the bottle in use or the pressure to turn round at.
type AirRule struct {
	At       Moment `json:"at"`
	Rule     string `json:"rule"` // as said
	Bottle   string `json:"bottle,omitempty"`
	TurnBack Figure `json:"turn_back"`
}

// airRule reads "45 min bottles" and "turn back at 2000 psi".
func (p *People) airRule(e *events.Entry, text, said string) {
	r := AirRule{At: MomentOf(e), Rule: text, TurnBack: Lacking("psi")}
	if strings.Contains(said, "bottle") || strings.Contains(said, "cylinder") {
		if _, ok := cylinder.Find(said, 0); ok {
			r.Bottle = said
		}
	}
	if strings.Contains(said, "turn back") || strings.Contains(said, "turn round") {
		if psi, ok := cylinder.Pressure(said); ok {
			r.TurnBack = Exact(float64(psi), "psi", "as ordered", e.Seq)
		}
	}
	if r.Bottle != "" || r.TurnBack.Known {
		p.AirRules = append(p.AirRules, r)
	}
}

// Supply is the air of one person on one trip. Of somebody who is out it says what
// was used; of somebody who is in, what is left by estimate. The gauge goes before it.
type Supply struct {
	Person string `json:"person"`
	Pair   string `json:"pair,omitempty"`
	Interval
	Bottle   string `json:"bottle,omitempty"` // empty where nobody said and no department settled it
	BottleBy string `json:"bottle_by"`        // who says so
	Reused   bool   `json:"reused"`           // begun on what the last trip left
	Full     Figure `json:"full"`             // psi
	Began    Figure `json:"began"`            // psi
	Share    Figure `json:"share"`            // % of full at the start
	Ended    Figure `json:"ended"`            // psi, when out
	Minutes  Figure `json:"minutes"`
	Rate     Figure `json:"rate"`      // psi/min: of the trip, or what the estimate goes by
	Breath   Figure `json:"breath"`    // L/min
	AlarmAt  Figure `json:"alarm_at"`  // psi; the high bound is the cautious case
	TurnBack Figure `json:"turn_back"` // psi

	Told      Figure `json:"told"`       // psi, the last pressure told while in
	Now       Figure `json:"now"`        // psi by estimate, while in
	ToAlarm   Figure `json:"to_alarm"`   // min, while in; below 0 past it
	ToTurn    Figure `json:"to_turn"`    // min to the turn-back pressure
	TeamAlarm Figure `json:"team_alarm"` // min, the least of those who went in as one team
	Verdict   string `json:"verdict"`

	rated float64 // min, of the bottle; 0 where nobody named one
}

// Rated is the rated minutes of the bottle, 0 where nobody named one.
func (s *Supply) Rated() float64 { return s.rated }

// What a supply comes to.
const (
	AirLeft     = "in, before the alarm by estimate"
	AirTurn     = "in, past the turn-back pressure by estimate"
	AirAlarm    = "in, past the alarm by estimate"
	AirUnknown  = "in, not computable"
	AirOver     = "out above the alarm"
	AirUnder    = "out below the alarm"
	AirUntold   = "out, pressure not recorded"
	notComputed = "trip over"
)

// onAir reports whether the trip was made on a bottle, as far as the log says.
func (t *Crossing) onAir() bool {
	air := strings.ToLower(t.Air)
	return t.PressureIn.Known || t.PressureOut.Known || len(t.Pressures) > 0 || t.Bottle != "" ||
		strings.Contains(air, "scba") || strings.Contains(air, "air pack") || strings.Contains(air, "bottle")
}

// Supply returns the air of every trip on a bottle, in the order in which they began.
func (p *People) Supply(rules CrewRules, now time.Time) []Supply {
	return p.supply(p.List(now), rules, now)
}

func (p *People) supply(persons []Person, rules CrewRules, now time.Time) []Supply {
	k := supplies{p: p, rules: rules, now: now, read: p.highest()}
	trips := 0
	for i := range persons {
		trips += len(persons[i].Trips)
	}
	k.out = make([]Supply, 0, trips)
	for _, person := range persons {
		k.rates = nil
		var before *Trip
		for i := range person.Trips {
			t := &person.Trips[i]
			if t.onAir() {
				k.out = append(k.out, k.of(person.Person, t, before))
				if t.AirRate.Known {
					k.rates = append(k.rates, t.AirRate)
				}
				before = t
			}
		}
	}
	k.teams()
	return k.inOrder()
}

// inOrder sorts by when the trips began, by pointers, for a supply is long.
func (k *supplies) inOrder() []Supply {
	order := make([]*Supply, len(k.out))
	for i := range k.out {
		order[i] = &k.out[i]
	}
	slices.SortStableFunc(order, func(a, b *Supply) int { return a.since().Compare(b.since()) })
	out := make([]Supply, len(order))
	for i, s := range order {
		out[i] = *s
	}
	return out
}

// since is when the trip began, or else when it ended.
func (s *Supply) since() time.Time {
	if s.Start.IsZero() {
		return s.End.Best
	}
	return s.Start.Best
}

// supplies works the supplies out.
type supplies struct {
	p     *People
	rules CrewRules
	now   time.Time
	read  Figure   // the highest pressure anybody told
	rates []Figure // psi/min of the person's trips so far
	out   []Supply
}

// highest is the highest pressure told of any bottle.
func (p *People) highest() Figure {
	high := Lacking("psi", "any pressure")
	take := func(f Figure) {
		if f.Known && (!high.Known || f.Value > high.Value || f.Value == high.Value && slices.Compare(f.From, high.From) < 0) {
			high = f
		}
	}
	for _, person := range p.persons {
		for i := range person.crossings {
			c := &person.crossings[i]
			take(c.PressureIn)
			take(c.PressureOut)
			for _, s := range c.Pressures {
				take(s.Pressure)
			}
		}
		for _, s := range person.Suited {
			take(s.Pressure)
		}
	}
	return high
}

// of is the air of one trip; before is the person's trip before on a bottle.
func (k *supplies) of(person string, t, before *Trip) Supply {
	s := Supply{
		Person: person, Pair: t.Pair, Interval: t.Interval, Began: t.PressureIn, Ended: t.PressureOut, Minutes: t.Minutes, Rate: t.AirRate,
		Breath: Lacking("L/min", "which bottle"), Share: Lacking("%", "pressure in"),
		Told: Lacking("psi", notComputed), Now: Lacking("psi", notComputed), ToAlarm: Lacking("min", notComputed), ToTurn: Lacking("min", notComputed), TeamAlarm: Lacking("min", notComputed),
	}
	s.Reused = before != nil && sameBottle(before.PressureOut, t.PressureIn)
	bottle := k.bottle(&s, t)
	if s.Began.Known && s.Full.Known {
		s.Share = Exact(100*s.Began.Value/s.Full.Value, "%", "pressure in over the full pressure", union(s.Began.From, s.Full.From)...)
	}
	s.AlarmAt = Lacking("psi", s.Full.Missing...)
	if s.Full.Known {
		s.AlarmAt = Range(k.rules.Alarm*s.Full.Value, k.rules.Alarm*s.Full.Value, max(k.rules.Alarm, k.rules.Cautious)*s.Full.Value, "psi",
			fmt.Sprintf("%.0f %% of the full pressure; %.0f %% is the cautious case", 100*k.rules.Alarm, 100*k.rules.Cautious), s.Full.From...)
	}
	if t.open() {
		s.Rate = k.rate(t, bottle)
	}
	if bottle.Full > 0 && s.Rate.Known {
		s.Breath = scaled(s.Rate, float64(bottle.Breath(1)), "L/min", "of a bottle of "+bottle.Name)
	}
	s.TurnBack = k.turnBack(&s)
	if s.Verdict = ended(&s); t.open() {
		k.estimate(&s, t)
	}
	return s
}

// gauge is how far two readings of one bottle may lie apart, psi (practice, no source).
const gauge = 100

// sameBottle reports whether a trip began on what the trip before left.
func sameBottle(left, began Figure) bool {
	return left.Known && began.Known && began.Value <= left.Value+gauge
}

// bottle finds which bottle was carried, by the entry, an order or the department.
func (k *supplies) bottle(s *Supply, t *Trip) cylinder.Type {
	said, by, from := t.Bottle, "said", t.Start.From
	for _, r := range k.p.AirRules {
		if t.Bottle == "" && r.Bottle != "" && !r.At.Best.After(t.Until(k.now)) {
			said, by, from = r.Bottle, "ordered", r.At.From
		}
	}
	if said == "" && k.rules.Bottle > 0 {
		said, by, from = fmt.Sprintf("%g min", k.rules.Bottle), "the department's", nil
	}
	if b, ok := cylinder.Find(said, quantity.PSI(k.read.Value)); ok {
		s.rated = float64(b.Rated)
		s.Bottle, s.BottleBy, s.Full = b.Name, by, Exact(float64(b.Full), "psi", "of the bottle, "+by, from...)
		return b
	}
	s.BottleBy, s.Full = "not recorded", Lacking("psi", "which bottle, or any pressure")
	if full, ok := cylinder.FullAbove(quantity.PSI(k.read.Value)); ok && k.read.Known {
		s.Full = Exact(float64(full), "psi", fmt.Sprintf("taken for a bottle nobody named: the usual full pressure over the highest told, %.0f psi", k.read.Value), k.read.From...)
	}
	return cylinder.Type{}
}

// ended says how a trip that is over ended.
func ended(s *Supply) string {
	switch {
	case !s.Ended.Known || !s.AlarmAt.Known:
		return AirUntold
	case s.Ended.Value < s.AlarmAt.Value:
		return AirUnder
	}
	return AirOver
}

// turnBack is the pressure to turn round at: as ordered, else what the way out and
// decontamination take above the alarm.
func (k *supplies) turnBack(s *Supply) Figure {
	turn := Lacking("psi", "minutes to the line and through decontamination")
	if s.AlarmAt.Known {
		turn.Low = s.AlarmAt.Low
		if on := float64(k.rules.Out + k.rules.Decon); on > 0 && s.Rate.Known {
			turn = s.AlarmAt.Plus(scaled(s.Rate, on, "psi", "")).As(fmt.Sprintf("the alarm and %g min out and through decontamination", on))
		}
	}
	for _, r := range k.p.AirRules {
		if r.TurnBack.Known && !r.At.Best.After(s.Until(k.now)) {
			turn = r.TurnBack
		}
	}
	return turn
}

// scaled is a figure in another unit.
func scaled(f Figure, by float64, unit, method string) Figure {
	g := Range(f.Low*by, f.Value*by, f.High*by, unit, method, f.From...)
	g.U = f.U * by
	return g
}
