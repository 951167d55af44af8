package projections

import (
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// Foam is what was put on to keep vapour down.
type Foam struct {
	Applications []FoamApplication
	Supplies     []FoamLeft
	Rules        []MinutesRule // how soon to foam again
}

// FoamApplication is one application.
type FoamApplication struct {
	At          Moment `json:"at"`
	End         Moment `json:"end"`
	Place       string `json:"place"`
	Type        string `json:"type,omitempty"`
	Minutes     Figure `json:"minutes"`
	Flow        Figure `json:"flow"`
	Solution    Figure `json:"solution"`    // gal, as stated or flow × minutes
	Concentrate Figure `json:"concentrate"` // gal, as stated or solution × mix
	Mix         Figure `json:"mix"`
	Area        Figure `json:"area"`
	Held        string `json:"held,omitempty"`

	Need *FoamNeed `json:"need"` // null where no area was said, or it is not the first at its place
}

// FoamLeft is a count of what was left to make foam with.
type FoamLeft struct {
	At          Moment `json:"at"`
	Concentrate Figure `json:"concentrate"`
	Water       Figure `json:"water"`
	Ordered     Figure `json:"ordered"`
}

// FoamState is the foam as the JSON shows it.
type FoamState struct {
	Applications []FoamApplication `json:"applications"`
	Solution     Figure            `json:"solution"`    // all applications, gal
	Concentrate  Figure            `json:"concentrate"` // all applications, gal
	Gaps         []Gap             `json:"gaps"`        // from one application to the next, against the rule then in force
	Rules        []MinutesRule     `json:"rules"`
	Supplies     []FoamLeft        `json:"supplies"`
	Fuel         string            `json:"fuel"`    // hydrocarbon, polar, or empty where no product was named
	Alcohol      Figure            `json:"alcohol"` // % in the product that has most
	Age          Figure            `json:"age"`     // min since the last application began
	Next         *time.Time        `json:"next"`    // when one more is due, where an interval was ordered
	OnHand       *FoamOnHand       `json:"on_hand"` // null where nobody counted
}

// Apply folds one live entry.
func (f *Foam) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.FoamApplied:
		f.Applications = append(f.Applications, applied(e, k))
	case kinds.FoamSupply:
		f.Supplies = append(f.Supplies, FoamLeft{MomentOf(e), FigureOf(k.Concentrate, "", e.Seq), FigureOf(k.Water, "", e.Seq), FigureOf(k.Ordered, "", e.Seq)})
	case kinds.OrderGiven:
		for _, text := range k.Rule {
			said := strings.ToLower(text)
			if !strings.Contains(said, "foam") {
				continue
			}
			for _, word := range []string{" at ", " every ", " after "} {
				if m, ok := minutesAfter(said, word); ok {
					f.Rules = append(f.Rules, minutesRule(e, text, m))
					break
				}
			}
		}
	}
}

// applied works out what was not said: solution from flow and minutes, concentrate
// from solution and mix.
func applied(e *events.Entry, k kinds.FoamApplied) FoamApplication {
	a := FoamApplication{
		At: MomentOf(e), Place: e.Where, Type: k.Foam, Held: k.Held,
		Minutes: FigureOf(k.Ran, "as said", e.Seq), Flow: FigureOf(k.Flow, "as said", e.Seq), Mix: FigureOf(k.Mix, "as said", e.Seq),
		Solution: FigureOf(k.Solution, "as said", e.Seq), Concentrate: FigureOf(k.Concentrate, "as said", e.Seq), Area: FigureOf(k.Area, "as said", e.Seq),
	}
	if e.Occurred.Form == events.Span {
		a.End = EndOf(e)
		if !a.Minutes.Known {
			a.Minutes = minutes(a.At, a.End)
		}
	}
	if !a.Solution.Known && a.Flow.Known && a.Minutes.Known {
		a.Solution = times(a.Flow, a.Minutes, "gal", "flow x time")
	}
	if !a.Concentrate.Known && a.Solution.Known && a.Mix.Known {
		share := Range(a.Mix.Low/100, a.Mix.Value/100, a.Mix.High/100, "", "", a.Mix.From...)
		a.Concentrate = times(a.Solution, share, "gal", "solution x mix")
	}
	return a
}

// Gaps returns the stretches from one application to the next; the last runs to
// now and is open.
func (f *Foam) Gaps(now time.Time) (out []Gap) {
	for i, a := range f.Applications {
		var next Moment
		if i+1 < len(f.Applications) {
			next = f.Applications[i+1].At
		}
		g := Gap{Interval: Interval{a.At, next}, Minutes: Elapsed(a.At, next, now), Limit: inForce(f.Rules, a.At.Best)}
		g.Over = over(g.Minutes, g.Limit)
		out = append(out, g)
	}
	return out
}

// State works out the foam at now, the end of the view.
func (f *Foam) State(now time.Time) FoamState {
	var solution, concentrate []Figure
	for _, a := range f.Applications {
		solution, concentrate = append(solution, a.Solution), append(concentrate, a.Concentrate)
	}
	s := FoamState{Applications: list(f.Applications), Gaps: list(f.Gaps(now)), Rules: list(f.Rules), Supplies: list(f.Supplies),
		Solution: Lacking("gal", "no foam recorded"), Concentrate: Lacking("gal", "no foam recorded"),
		Alcohol: Lacking("%", "alcohol in the product"), Age: f.Age(now), OnHand: f.OnHand(now)}
	if len(f.Applications) > 0 {
		s.Solution, s.Concentrate = Sum("gal", "applications added up", solution), Sum("gal", "applications added up", concentrate)
		if every := inForce(f.Rules, now); every.Known {
			at := f.Applications[len(f.Applications)-1].At.Best.Add(time.Duration(every.Value * float64(time.Minute)))
			s.Next = &at
		}
	}
	return s
}
