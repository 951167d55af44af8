package projections

import (
	"cmp"
	"time"

	"tankside/events/quantity"
	"tankside/projections/calc/rest"
)

// WorkRun is one person's trips from one recorded rest to the next. Whether somebody
// rested without a word of it the log does not know.
type WorkRun struct {
	Person string `json:"person"`
	Interval
	Trips   int        `json:"trips"`
	Bottles int        `json:"bottles"` // begun; a trip on what the last one left begins none
	Work    Figure     `json:"work"`    // min in the hot zone
	Owed    string     `json:"owed"`    // why a rest was owed; empty while none was
	OwedAt  Moment     `json:"owed_at"`
	Again   []Interval `json:"again"`  // trips begun while the rest was owed
	Rested  Figure     `json:"rested"` // min of the rest that ended it
	Needs   Figure     `json:"needs"`  // min that it ought to last
}

// Rests returns the runs of everybody who went in, sorted by person, then start.
func (p *People) Rests(rules CrewRules, now time.Time) []WorkRun {
	return p.restsOf(p.List(now), rules, now)
}

func (p *People) restsOf(persons []Person, rules CrewRules, now time.Time) []WorkRun {
	var out []WorkRun
	read := quantity.PSI(p.highest().Value)
	for _, person := range persons {
		r := resting{p: p, rules: rules, now: now, read: read, rests: person.Rehab}
		for i := range person.Trips {
			r.trip(person.Person, &person.Trips[i])
		}
		out = append(out, r.close()...)
	}
	return out
}

// OrderedRest begins the words of a rest that an order asks for after each stay.
const OrderedRest = "the order: "

// resting follows one person through trips and rests.
type resting struct {
	p     *People
	rules CrewRules
	now   time.Time
	read  quantity.PSI
	rests []RehabStay
	runs  []WorkRun
	done  rest.Done
	stays []Figure
	left  Figure // pressure out of the trip before
}

// trip adds one trip; one that nobody logged in is left out, for it has no start.
func (r *resting) trip(person string, t *Trip) {
	if t.Start.IsZero() {
		return
	}
	n := len(r.runs)
	if n == 0 || r.rested(&r.runs[n-1], t.Start.Best) {
		r.sum()
		r.runs = append(r.runs, WorkRun{
			Person: person, Interval: Interval{Start: t.Start}, Again: []Interval{}, Rested: Lacking("min", "no rest recorded"),
			Needs: Exact(float64(r.rules.Rest.First), "min", r.rules.Rest.Source),
		})
		r.done, r.stays, r.left = rest.Done{}, nil, Lacking("psi")
		n++
	}
	run := &r.runs[n-1]
	if run.Owed != "" {
		run.Again = append(run.Again, t.Interval)
	}
	run.Trips++
	if t.onAir() && !sameBottle(r.left, t.PressureIn) {
		run.Bottles++
		r.done.Rated = append(r.done.Rated, r.rated(t))
	}
	r.left = t.PressureOut
	r.stays = append(r.stays, t.Minutes)
	r.done.Work += quantity.Minutes(t.Minutes.Value)
	run.End = t.End
	if why := cmp.Or(r.rules.Rest.Owed(r.done), r.ordered(t)); why != "" && run.Owed == "" && !t.open() {
		run.Owed, run.OwedAt = why, t.End
	}
}

// rated is the rated time of the bottle of a trip, 0 where nobody said.
func (r *resting) rated(t *Trip) quantity.Minutes {
	k := supplies{p: r.p, rules: r.rules, now: r.now, read: Exact(float64(r.read), "psi", "")}
	return k.bottle(&Supply{}, t).Rated
}

// ordered says that an order in force at the end of a trip has a rest after each.
func (r *resting) ordered(t *Trip) string {
	why := ""
	for _, rule := range r.p.StayRules {
		if !rule.At.Best.After(t.Until(r.now)) {
			why = OrderedRest + rule.Rule
		}
	}
	return why
}

// rested reports whether a rest that is long enough, or whose end nobody told, came
// between the end of a run and the next trip or now, and writes it into the run.
func (r *resting) rested(run *WorkRun, until time.Time) bool {
	for _, stay := range r.rests {
		if run.End.IsZero() || stay.Start.IsZero() || stay.Start.Best.Before(run.End.Best) || stay.Start.Best.After(until) {
			continue
		}
		run.Rested = r.p.rest(stay, until)
		if run.Rested.High >= float64(r.rules.Rest.First) {
			return true
		}
	}
	return false
}

// rest is how long a rest lasted, or has lasted so far. Nobody rests on in a log that is
// closed: where no end was told by then, how long it was is not known.
func (p *People) rest(stay RehabStay, until time.Time) Figure {
	if stay.End.IsZero() && !p.closed.IsZero() && !p.closed.Best.After(until) {
		f := Lacking("min", "the end of the rest")
		f.From = stay.Start.From
		return f
	}
	return Elapsed(stay.Start, stay.End, until)
}

// sum writes the work of the run that ends.
func (r *resting) sum() {
	if n := len(r.runs); n > 0 {
		r.runs[n-1].Work = Sum("min", "hot zone since the last rest", r.stays)
	}
}

// close writes the rest after the last trip and returns the runs.
func (r *resting) close() []WorkRun {
	r.sum()
	if n := len(r.runs); n > 0 {
		r.rested(&r.runs[n-1], r.now)
	}
	return r.runs
}
