package projections

import (
	"cmp"
	"math"
	"slices"
	"time"

	"tankside/events"
	"tankside/events/quantity"
	"tankside/projections/calc/air"
	"tankside/projections/calc/exposure"
)

// Exposed is what there was to breathe of one substance: outside the mask of one
// person while at work, or at one place. It counts readings of that place only.
type Exposed struct {
	Person      string        `json:"person,omitempty"` // left out where it is of a place
	Substance   string        `json:"substance"`
	Places      []string      `json:"places"` // where the readings are from
	Start       Moment        `json:"start"`
	End         Moment        `json:"end"`
	Stays       []AtWork      `json:"stays"` // when the person was there; of a place none
	Readings    int           `json:"readings"`
	Highest     Figure        `json:"highest"`
	Rolling15   Averages      `json:"rolling15"`
	Last15      Averages      `json:"last15"` // up to the moment the state is of
	TWA8        Averages      `json:"twa8"`
	Measured    Figure        `json:"measured"`    // min
	Unmonitored []Unmonitored `json:"unmonitored"` // never bridged
	Unread      Figure        `json:"unread"`      // min, all of it
	Worn        string        `json:"worn"`
	Factor      float64       `json:"factor"` // of protection, the least that was worn; 0 where none is known
	Inside      Figure        `json:"inside"` // the 15 min average inside such a mask, an estimate beside the one outside
	Limits      []HeldAgainst `json:"limits"`
	Method      string        `json:"method"`
	Flags       []string      `json:"flags"`

	profile exposure.Profile // each reading held
	ruler   ruler
}

// Averages is one average by two ways of filling the time between readings, with the
// bounds of any way: time that nobody read counts as nothing in the one and as the
// peak in the other.
type Averages struct {
	Hold     Figure   `json:"hold"`     // each reading holds until the next
	Straight Figure   `json:"straight"` // straight lines between readings
	Low      *float64 `json:"low"`
	High     *float64 `json:"high"` // null where nothing bounds it
	Window   *Window  `json:"window"`
}

// Window is the time over which an average is the highest.
type Window struct {
	Start time.Time `json:"start"`
	End   time.Time `json:"end"`
}

// Unmonitored is a time at work that no reading speaks for.
type Unmonitored struct {
	Window
	Minutes float64 `json:"minutes"`
}

// HeldAgainst is a published limit and what can be said of the dose against it.
type HeldAgainst struct {
	Basis    string    `json:"basis"`
	Limit    Threshold `json:"limit"`
	Observed Figure    `json:"observed"`
	Outcome  string    `json:"outcome"` // not over, possibly over, over; not known where nothing was read
}

// readingHolds is how long a reading speaks for its place where nobody ordered how
// often to read: twice the ten minutes of a site plan. Common practice.
const readingHolds quantity.Minutes = 20

// holds returns how long a reading at the places speaks: twice as long as was ordered
// between readings.
func (a *Air) holds(quantityRead string, places []string) quantity.Minutes {
	hold := readingHolds
	for i := range places {
		if r := a.ruleFor(&AirSeries{Place: places[i], Quantity: quantityRead}); r != nil {
			hold = quantity.Minutes(2 * r.Minutes.Value)
		}
	}
	return hold
}

// substances are what was read that has limits, by what the meter calls it. All
// vapour of a load that holds gasoline is held against the limits of gasoline.
func (inc *Incident) substances() (out [][2]string) {
	for _, s := range inc.Air.series {
		pair := [2]string{s.Quantity, s.Quantity}
		if s.Quantity == "VOC" && inc.gasoline() {
			pair[1] = "gasoline"
		}
		if len(exposure.Held(pair[1])) > 0 && !slices.Contains(out, pair) {
			out = append(out, pair)
		}
	}
	slices.SortFunc(out, func(a, b [2]string) int { return cmp.Compare(a[1], b[1]) })
	return out
}

// gasoline reports whether the load holds any: a product with a Reid pressure.
func (inc *Incident) gasoline() bool {
	for _, c := range append([]string{""}, inc.Volume.holds()...) {
		if p, ok := inc.Volume.products.find(inc.Volume.Load.product(c)); ok && p.RVPLow > 0 {
			return true
		}
	}
	return false
}

func (inc *Incident) exposures() []Exposed {
	out := []Exposed{}
	for _, s := range inc.substances() {
		for _, series := range inc.Air.series {
			if series.Quantity == s[0] {
				out = append(out, inc.placeExposed(series, s[1]))
			}
		}
	}
	people := inc.Persons()
	for _, s := range inc.substances() {
		for i := range people {
			if stays := inc.stays(inc.People.persons[people[i].Person]); len(stays) > 0 {
				out = append(out, inc.personExposed(people[i].Person, s[0], s[1], stays))
			}
		}
	}
	return out
}

// placeExposed is what a place read, whoever was there.
func (inc *Incident) placeExposed(s *AirSeries, substance string) Exposed {
	d := inc.newDoses(substance, s.Readings[0].At.Best)
	readings := make([]*AirReading, len(s.Readings))
	for i := range s.Readings {
		readings[i] = &s.Readings[i]
	}
	d.take(readings, inc.Air.holds(s.Quantity, []string{s.Place}), nil)
	x := d.exposed()
	x.Places, x.Worn = []string{s.Place}, ""
	x.Start, x.End = s.Readings[0].At, s.Readings[len(s.Readings)-1].At
	x.TWA8 = unknownAverages("a place works no shift")
	worked := *s
	inc.unread(&worked)
	sum := 0.0
	for _, u := range worked.Unread {
		sum += u.Minutes
	}
	x.Unmonitored, x.Unread = list(worked.Unread), Exact(sum, "min", "worked with no reading that speaks for it")
	x.judge()
	return x
}

// personExposed is what there was outside the mask of a person over all stays.
func (inc *Incident) personExposed(person, read, substance string, stays []AtWork) Exposed {
	d := inc.newDoses(substance, stays[0].began().Best)
	for i := range stays {
		w := &stays[i]
		readings, hold := inc.readFor(w, read)
		d.take(readings, hold, w)
	}
	x := d.exposed()
	x.Person, x.Places, x.Stays = person, []string{}, stays
	for _, r := range d.used {
		if !slices.Contains(x.Places, r.place) {
			x.Places = append(x.Places, r.place)
		}
	}
	x.Start, x.End = stays[0].Start, stays[len(stays)-1].End
	x.wear()
	x.judge()
	return x
}

// wear says what the person wore over the stays and what is left inside it: by the
// least mask, and not at all where a stay had none or none was recorded.
func (x *Exposed) wear() {
	var worn []string
	x.Factor = math.Inf(1)
	for _, w := range x.Stays {
		if slices.Contains(worn, w.Air) {
			continue
		}
		worn = append(worn, w.Air)
		mask, _ := exposure.RespiratorOf(w.Air)
		x.Factor = min(x.Factor, mask.Factor)
	}
	for i, w := range worn {
		x.Worn = join(map[bool]string{true: "", false: x.Worn}[i == 0], w)
	}
	if x.Factor > 0 && x.Rolling15.Hold.Known {
		inside := exposure.Inside(quantity.PPM(x.Rolling15.Hold.Value), x.Factor)
		x.Inside = Exact(float64(inside), "ppm", "outside over the protection factor, "+exposure.FactorSource, x.Rolling15.Hold.From...)
	}
}

// judge holds the figures to the published limits of the substance.
func (x *Exposed) judge() {
	x.Limits = []HeldAgainst{}
	for _, l := range exposure.Held(x.Substance) {
		if x.Person == "" && (l.Basis == exposure.OverShift || l.Basis == exposure.ActionLevel) {
			continue
		}
		h := HeldAgainst{Basis: string(l.Basis), Limit: Threshold{Op: ">", Value: float64(l.Value), Unit: "ppm", Source: l.Source, Status: l.Status, From: []events.Seq{}}}
		h.Observed, h.Outcome = x.against(l)
		if l.Basis == exposure.ActionLevel || l.Basis == exposure.Danger {
			h.Limit.Op = ">="
		}
		x.Limits = append(x.Limits, h)
	}
}

// against returns the figure that a limit is held to and what comes of it.
func (x *Exposed) against(l exposure.Limit) (Figure, string) {
	averages, ok := map[exposure.Basis]*Averages{exposure.OverShift: &x.TWA8, exposure.OverShort: &x.Rolling15, exposure.ActionLevel: &x.TWA8}[l.Basis]
	limit := l.Value
	if l.Basis == exposure.ActionLevel || l.Basis == exposure.Danger {
		limit = quantity.PPM(math.Nextafter(float64(limit), 0)) // at or past
	}
	switch {
	case x.Readings == 0:
		return Lacking("ppm", "a reading where "+orElse(x.Person, "it")+" was"), "not known"
	case ok:
		return averages.Hold, averages.Outcome(limit).String()
	case l.Basis == exposure.AtOnce:
		outcome, _ := l.Ceiling().Judge(x.profile)
		return x.Highest, outcome.String()
	}
	return x.Highest, exposure.Judge(limit, quantity.PPM(x.Highest.High), quantity.PPM(x.Highest.Value)).String()
}

// Outcome says what the averages are against a limit. Where nothing bounds them from
// above, the estimates speak.
func (a *Averages) Outcome(limit quantity.PPM) exposure.Outcome {
	high := quantity.PPM(0)
	if a.High != nil {
		high = quantity.PPM(*a.High)
	}
	return exposure.Judge(limit, high, quantity.PPM(a.Hold.Value), quantity.PPM(a.Straight.Value))
}

// Ceiling holds the readings to a ceiling: what comes of it, and since when they were
// above it, in all and at one stretch.
func (x *Exposed) Ceiling(c exposure.Ceiling) (exposure.Outcome, exposure.Above, time.Time) {
	outcome, above := c.Judge(x.profile)
	return outcome, above, x.ruler.time(above.First)
}

func unknownAverages(why string) Averages {
	return Averages{Hold: Lacking("ppm", why), Straight: Lacking("ppm", why)}
}

// ruler counts minutes from a moment.
type ruler struct{ base time.Time }

func (r ruler) at(t time.Time) quantity.Minutes { return quantity.Minutes(t.Sub(r.base).Minutes()) }

func (r ruler) time(m quantity.Minutes) time.Time {
	return r.base.Add(time.Duration(math.Round(float64(m) * float64(time.Minute))))
}

// vapourFactors are the bounds of what a photoionisation detector set on isobutylene
// shows of gasoline: what the makers print differs.
var vapourFactors = func() (out [2]float64) {
	g, _ := air.GasNamed("gasoline")
	return [2]float64{g.PIDOther, g.PID}
}()
