package projections

import (
	"math"
	"strings"
	"time"

	"tankside/events"
	"tankside/events/quantity"
	"tankside/projections/calc/foam"
)

// FoamNeed is what the area of an application takes, beside what went on it. It is of
// the first application at a place; what comes later tops a blanket up, and no rate is
// published for that.
type FoamNeed struct {
	Foam        string   `json:"foam"` // the kind whose rate was taken
	Fuel        string   `json:"fuel"` // hydrocarbon or polar
	Rate        Figure   `json:"rate"` // gpm for each ft²
	Minutes     Figure   `json:"minutes"`
	Solution    Figure   `json:"solution"`    // gal
	Concentrate Figure   `json:"concentrate"` // gal
	Water       Figure   `json:"water"`       // gal
	Share       Figure   `json:"share"`       // % of the concentrate that went on, else of the solution
	Source      string   `json:"source"`
	Status      string   `json:"status"`
	Taken       []string `json:"taken"` // for want of better
}

// FoamOnHand is what is left to make foam with, by the last count less what went on
// since, and how long that lasts.
type FoamOnHand struct {
	Counted     Moment     `json:"counted"`
	Concentrate Figure     `json:"concentrate"` // gal
	Water       Figure     `json:"water"`       // gal
	Runs        Figure     `json:"runs"`        // min of flow, as last applied
	More        Figure     `json:"more"`        // applications like the last
	Until       *time.Time `json:"until"`       // when the last of them is used, at the interval ordered or kept
}

// Fuel is what the foam meets: the most alcohol that anybody said of a product aboard.
type Fuel struct {
	Kind    foam.Fuel // empty where nobody named a product that tells
	Alcohol Figure    // %
	Product string
}

// Fuel returns what a foam meets by the papers and by what was named at the scene. A
// gasoline that nobody said the alcohol of has up to 10 %, and counts as hydrocarbon.
func (inc *Incident) Fuel() Fuel {
	f := Fuel{Alcohol: Lacking("%", "alcohol in the product")}
	see := func(product string, from ...events.Seq) {
		share, ok := foam.AlcoholOf(product)
		switch {
		case ok && (!f.Alcohol.Known || float64(share) > f.Alcohol.Value):
			f.Kind, f.Product, f.Alcohol = foam.OfBlend(share), product, Exact(float64(share), "%", "by its name", from...)
		case f.Kind == "" && strings.TrimSpace(product) != "":
			f.Kind, f.Product = foam.Hydrocarbon, product
		}
	}
	for _, s := range inc.Volume.Load.Statements {
		for _, p := range append([]LoadPart{s.Total}, s.Parts...) {
			see(p.Product, s.At.From...)
		}
	}
	for _, n := range inc.Volume.Load.Named {
		see(n.Product+" "+n.UN, n.Seq)
	}
	return f
}

// FoamState is the foam as the JSON shows it, held against the fuel.
func (inc *Incident) FoamState() FoamState {
	s, fuel := inc.Foam.State(inc.AsOf), inc.Fuel()
	s.Fuel, s.Alcohol = string(fuel.Kind), fuel.Alcohol
	s.Applications = list(inc.Foamed())
	return s
}

// Foamed returns the applications with what their areas took.
func (inc *Incident) Foamed() (out []FoamApplication) {
	fuel, seen := inc.Fuel(), map[string]bool{}
	for _, a := range inc.Foam.Applications {
		if place := strings.ToLower(a.Place); !seen[place] {
			a.Need, seen[place] = a.need(fuel.Kind), true
		}
		out = append(out, a)
	}
	return out
}

// need works out what the area takes; nil where no area was said, or the foam is not
// made for the fuel.
func (a *FoamApplication) need(fuel foam.Fuel) *FoamNeed {
	if !a.Area.Known || a.Area.Value <= 0 {
		return nil
	}
	n := &FoamNeed{Taken: []string{}, Fuel: string(fuel)}
	kind, ok := foam.Named(a.Type)
	if fuel == "" {
		fuel, n.Fuel = foam.Hydrocarbon, string(foam.Hydrocarbon)
		n.Taken = append(n.Taken, "a hydrocarbon: no product named")
	}
	if !ok {
		kind, _ = foam.Named(map[foam.Fuel]string{foam.Hydrocarbon: "AFFF", foam.Polar: "AR-AFFF"}[fuel])
		n.Taken = append(n.Taken, kind.Name+": the kind of foam not recorded")
	}
	rate, err := kind.On(fuel)
	if err != nil {
		return nil
	}
	n.Foam, n.Source, n.Status = kind.Name, rate.Source, rate.Status
	if rate.Listing {
		n.Taken = append(n.Taken, "a general rate: the listing of the concentrate has its own")
	}
	n.Rate, n.Minutes = Exact(rate.Flow, "gpm/ft2", rate.Source), Exact(float64(rate.Minutes), "min", rate.Source)
	n.fill(a)
	return n
}

// fill works out the amounts and the share of them that went on.
func (n *FoamNeed) fill(a *FoamApplication) {
	n.Solution = times(times(a.Area, n.Rate, "gpm", ""), n.Minutes, "gal", "area x rate x time")
	n.Concentrate, n.Water = Lacking("gal", "mix"), Lacking("gal", "mix")
	if a.Mix.Known && a.Mix.Value > 0 && a.Mix.Value < 100 {
		mix := a.Mix
		n.Concentrate = times(n.Solution, Range(mix.Low/100, mix.Value/100, mix.High/100, "", "", mix.From...), "gal", "solution x mix")
		n.Water = times(n.Solution, Range(1-mix.High/100, 1-mix.Value/100, 1-mix.Low/100, "", "", mix.From...), "gal", "the rest of the solution")
	}
	n.Share = shareOf(a.Concentrate, n.Concentrate, "of the concentrate that the area takes")
	if !n.Share.Known {
		n.Share = shareOf(a.Solution, n.Solution, "of the solution that the area takes")
	}
}

// shareOf is a part in % of a whole.
func shareOf(part, whole Figure, method string) Figure {
	if !part.Known || !whole.Known || whole.Value <= 0 {
		return Lacking("%", "what went on or what it takes")
	}
	from := union(part.From, whole.From)
	low, high := 0.0, math.Inf(1)
	if whole.High > 0 {
		low = 100 * part.Low / whole.High
	}
	if whole.Low > 0 {
		high = 100 * part.High / whole.Low
	}
	return Range(low, 100*part.Value/whole.Value, high, "%", method, from...)
}

// last is the newest application of which f holds, nil when there is none.
func (f *Foam) last(holds func(FoamApplication) bool) *FoamApplication {
	for i := len(f.Applications) - 1; i >= 0; i-- {
		if holds(f.Applications[i]) {
			return &f.Applications[i]
		}
	}
	return nil
}

// Age is how long ago the last application began.
func (f *Foam) Age(now time.Time) Figure {
	if len(f.Applications) == 0 {
		return Lacking("min", "no foam recorded")
	}
	return Elapsed(f.Applications[len(f.Applications)-1].At, Moment{}, now)
}

// Interval is the time between applications: as ordered by now, else the median of
// what was kept.
func (f *Foam) Interval(now time.Time) Figure {
	if ordered := inForce(f.Rules, now); ordered.Known {
		return ordered
	}
	var kept []Figure
	for i := 1; i < len(f.Applications); i++ {
		kept = append(kept, minutes(f.Applications[i-1].At, f.Applications[i].At))
	}
	return Median("min", kept).As("median of what was kept")
}

// OnHand returns what is left, nil where nobody counted.
func (f *Foam) OnHand(now time.Time) *FoamOnHand {
	if len(f.Supplies) == 0 {
		return nil
	}
	count := f.Supplies[len(f.Supplies)-1]
	h := &FoamOnHand{Counted: count.At, Concentrate: count.Concentrate, Water: count.Water, Runs: Lacking("min", "flow and mix"), More: Lacking("applications", "concentrate of the last one")}
	for _, a := range f.Applications {
		if a.At.Best.After(count.At.Best) {
			h.Concentrate = less(h.Concentrate, a.Concentrate)
			h.Water = less(h.Water, a.water())
		}
	}
	if !h.Concentrate.Known {
		return h
	}
	if a := f.last(func(a FoamApplication) bool { return a.Flow.Known && a.Mix.Known }); a != nil {
		if m, err := foam.Lasts(quantity.Gallons(h.Concentrate.Value), quantity.GallonsPerMinute(a.Flow.Value), quantity.Percent(a.Mix.Value)); err == nil {
			h.Runs = Exact(float64(m), "min", "at the flow and mix last applied", union(h.Concentrate.From, a.Flow.From)...)
		}
	}
	if a := f.last(func(a FoamApplication) bool { return a.Concentrate.Known && a.Concentrate.Value > 0 }); a != nil {
		h.More = Exact(math.Floor(h.Concentrate.Value/a.Concentrate.Value+1e-9), "applications", "like the last one", union(h.Concentrate.From, a.Concentrate.From)...)
		h.Until = f.until(h.More.Value, now)
	}
	return h
}

// until is when the last of so many applications is made, nil where no interval is
// known or it lies beyond any incident.
func (f *Foam) until(more float64, now time.Time) *time.Time {
	every := f.Interval(now)
	if !every.Known || len(f.Applications) == 0 || more*every.Value > 30*24*60 {
		return nil
	}
	at := f.Applications[len(f.Applications)-1].At.Best.Add(time.Duration(more * every.Value * float64(time.Minute)))
	return &at
}

// water is what went into the solution of an application.
func (a FoamApplication) water() Figure {
	if !a.Solution.Known || !a.Concentrate.Known {
		return Lacking("gal", "solution and concentrate")
	}
	return a.Solution.Minus(a.Concentrate)
}

// less takes what was used from a count; what is left is no less than nothing, and
// unknown where either is.
func less(left, used Figure) Figure {
	out := left.Minus(used).As("counted, less what went on since")
	if out.Known {
		out.Value, out.Low, out.High = math.Max(0, out.Value), math.Max(0, out.Low), math.Max(0, out.High)
	}
	return out
}
