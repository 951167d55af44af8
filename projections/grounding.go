package projections

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/projections/calc/ground"
)

// Verdict is a resistance held against the limit then in force.
type Verdict string

// The verdicts. The log judges only against a limit that somebody set.
const (
	Within    Verdict = "within limit"
	Past      Verdict = "over limit"
	Undecided Verdict = "may be over" // the reading's range holds the limit
	NoLimit   Verdict = "no limit given"
	NoReading Verdict = "not recorded"
)

// judge holds a resistance against a limit: at the limit is within it.
func judge(resistance, limit Figure) Verdict {
	switch {
	case !resistance.Known:
		return NoReading
	case !limit.Known:
		return NoLimit
	case resistance.High <= limit.Value:
		return Within
	case resistance.Low > limit.Value:
		return Past
	}
	return Undecided
}

// OhmReading is one resistance read, with the limit then in force.
type OhmReading struct {
	At         Moment  `json:"at"`
	Resistance Figure  `json:"resistance"`
	Limit      Figure  `json:"limit"`
	Verdict    Verdict `json:"verdict"`
	Static     Verdict `json:"static"`         // against what drains a charge, whatever limit was set
	Said       string  `json:"said,omitempty"` // the teller's own verdict
	Fix        string  `json:"fix,omitempty"`
	Meter      string  `json:"meter,omitempty"`
	Method     string  `json:"method,omitempty"`

	Estimate *RodEstimate `json:"estimate,omitempty"` // of ground rods
}

// StaticLimit is what a path may have and still drain a charge.
var StaticLimit = Exact(float64(ground.Static.Ohms), "ohm", ground.Static.Source)

// EarthPath is one path to earth or from metal to metal, reading by reading.
type EarthPath struct {
	Path     string       `json:"path"` // ground or bond
	Place    string       `json:"place"`
	Truck    string       `json:"truck,omitempty"` // the truck at its end
	Readings []OhmReading `json:"readings"`
	Made     Moment       `json:"made"`               // bond connected
	Removed  Moment       `json:"removed"`            // bond taken off
	Verdict  Verdict      `json:"verdict"`            // of the last reading
	FixedIn  *Figure      `json:"fixed_in,omitempty"` // minutes from the first bad reading to the next good one, of rods also one with more rods

	rods []string // that it was read on
}

// Rod is a ground rod or plate.
type Rod struct {
	At       Moment `json:"at"`
	Rod      string `json:"rod"`
	Place    string `json:"place,omitempty"`
	Depth    Figure `json:"depth"`
	Soil     string `json:"soil,omitempty"`
	Wetted   string `json:"wetted,omitempty"`
	Distance Figure `json:"distance"`
}

// Grounding is the rods, and the resistance of each path to earth and each bond.
type Grounding struct {
	Rods  []Rod
	Notes []Note

	paths  []*EarthPath // in the order of the first mention
	byKey  map[[2]string]*EarthPath
	limits ohmLimits
}

// Apply folds one entry.
func (g *Grounding) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.RodDriven:
		g.Rods = append(g.Rods, Rod{MomentOf(e), orElse(k.Rod, e.Where), e.Where, FigureOf(k.Depth, "", e.Seq), k.Soil, k.Wetted, FigureOf(k.Distance, "", e.Seq)})
	case kinds.ResistanceRead:
		g.read(e, k)
	case kinds.BondMade:
		g.bond(e, k)
	case kinds.OrderGiven:
		for _, text := range k.Rule {
			g.limits.order(e, text)
		}
	}
}

// ohmLimits are the limits in force, by path: the last one that a reading stated or an
// order set.
type ohmLimits map[string]Figure

// order takes a limit from a rule set at the site: "bond under 5 ohm".
func (l *ohmLimits) order(e *events.Entry, text string) {
	words := strings.Fields(strings.ToLower(text))
	kind := ""
	for _, w := range words {
		switch strings.Trim(w, ".,:;") {
		case "bond", "bonds", "bonding":
			kind = "bond"
		case "ground", "grounds", "rod", "rods", "earth":
			kind = orElse(kind, "ground")
		}
	}
	for i := 1; i < len(words) && kind != ""; i++ {
		v, err := strconv.ParseFloat(words[i-1], 64)
		if err == nil && v > 0 && !math.IsInf(v, 0) && strings.HasPrefix(words[i], "ohm") {
			*l = setIn(*l, kind, Exact(v, "ohm", "as ordered", e.Seq))
			return
		}
	}
}

// of is the limit of a reading: its own, or else the one in force.
func (l *ohmLimits) of(e *events.Entry, kind string, k kinds.ResistanceRead) Figure {
	limit := FigureOf(k.Limit, "as stated", e.Seq)
	if limit.Known {
		*l = setIn(*l, kind, limit.As("as stated before"))
		return limit
	}
	if last, ok := (*l)[kind]; ok {
		return last
	}
	return limit
}

// pathOf is the path that a reading is of: where nobody said, a reading between two
// things or to a truck is of a bond.
func pathOf(e *events.Entry, k kinds.ResistanceRead) string {
	if k.Path == "" && (k.From != "" && k.To != "" || truckAt(pathPlace(e, k.From, k.To)) != "") {
		return "bond"
	}
	return orElse(k.Path, "ground")
}

// place names a path by what it runs between.
func pathPlace(e *events.Entry, from, to string) string {
	if from != "" && to != "" {
		return from + " to " + to
	}
	return orElse(e.Where, orElse(from, to))
}

// truckAt returns the truck at the end of "tank shell to R2", or the one that a place
// names by itself, as "bond R2"; "" where there is none. Trucks are called by one letter,
// or letters, and a number; rods, compartments, persons and legs are not trucks.
func truckAt(place string) string {
	_, end, found := strings.Cut(place, " to ")
	if found {
		if truckName(end) {
			return TruckOf(end)
		}
		return ""
	}
	truck := ""
	for word := range strings.FieldsSeq(place) {
		switch {
		case !truckName(word):
		case truck != "":
			return "" // two of them, and nobody knows which is meant
		default:
			truck = TruckOf(word)
		}
	}
	return truck
}

// truckName reports whether a word is what trucks are called.
func truckName(word string) bool {
	n := len(word) - 1
	return n > 0 && !strings.ContainsRune(word, ' ') && word[0] >= 'A' && word[0] <= 'Z' && !strings.ContainsRune("GCPL", rune(word[0])) && word[1] >= '0' && word[1] <= '9'
}

func (g *Grounding) path(kind, place string) *EarthPath {
	key := [2]string{kind, place}
	p := g.byKey[key]
	if p == nil {
		p = &EarthPath{Path: kind, Place: place, Readings: []OhmReading{}, Verdict: NoReading}
		if kind == "bond" {
			p.Truck = truckAt(place)
		}
		g.byKey = setIn(g.byKey, key, p)
		g.paths = append(g.paths, p)
	}
	return p
}

func (g *Grounding) read(e *events.Entry, k kinds.ResistanceRead) {
	kind := pathOf(e, k)
	limit := g.limits.of(e, kind, k)
	r := OhmReading{
		At: MomentOf(e), Resistance: FigureOf(k.Resistance, "", e.Seq), Limit: limit,
		Said: k.Result, Fix: k.Fix, Meter: k.Meter, Method: k.Method,
	}
	r.Verdict, r.Static = judge(r.Resistance, r.Limit), judge(r.Resistance, StaticLimit)
	place := pathPlace(e, k.From, k.To)
	if kind == "ground" {
		r.Estimate = g.estimate(orElse(k.Rod, place), r)
	}
	if r.Verdict == Within && (k.Result == "bad" || k.Result == "over") || r.Verdict == Past && k.Result == "good" {
		g.Notes = append(g.Notes, Note{e.Seq, "told as " + k.Result + ", but the reading is " + string(r.Verdict)})
	}
	p := g.path(kind, place)
	if kind == "ground" {
		p.rods = rodNames(orElse(k.Rod, place))
	}
	p.Readings, p.Verdict = append(p.Readings, r), r.Verdict
}

func (g *Grounding) bond(e *events.Entry, k kinds.BondMade) {
	p := g.path("bond", pathPlace(e, k.From, k.To))
	if k.State == "removed" {
		p.Removed = MomentOf(e)
		return
	}
	if !p.Removed.IsZero() {
		p.Verdict = NoReading // made anew: what was read before is of another contact
	}
	p.Made, p.Removed = MomentOf(e), Moment{}
	if k.Continuity.Said() {
		g.read(e, kinds.ResistanceRead{Path: "bond", From: k.From, To: k.To, Resistance: k.Continuity})
	}
}

// List returns the paths in the order of their first mention.
func (g *Grounding) List() []EarthPath {
	out := make([]EarthPath, 0, len(g.paths))
	for _, p := range g.paths {
		q := *p
		q.FixedIn = p.fixedIn(g.paths)
		out = append(out, q)
	}
	return out
}

// fixedIn is the time from the first reading over its limit to the first within it
// after that, on the same path or, of rods, on one with more of them; nil when nothing
// was over.
func (p *EarthPath) fixedIn(paths []*EarthPath) *Figure {
	i := slices.IndexFunc(p.Readings, func(r OhmReading) bool { return r.Verdict == Past })
	if i < 0 {
		return nil
	}
	bad, good := p.Readings[i].At, Moment{}
	for _, q := range append([]*EarthPath{p}, paths...) {
		if q != p && !p.Among(q) {
			continue
		}
		for _, r := range q.Readings {
			if r.Verdict == Within && !r.At.Best.Before(bad.Best) && (good.IsZero() || r.At.Best.Before(good.Best)) {
				good = r.At
			}
		}
	}
	f := Lacking("min", "a reading within the limit")
	if !good.IsZero() {
		f = minutes(bad, good)
	}
	return &f
}

// Among reports whether the rods of p are some of those of q: what q reads says that
// p was put right.
func (p *EarthPath) Among(q *EarthPath) bool {
	return p.Path == q.Path && len(p.rods) > 0 && len(q.rods) > len(p.rods) &&
		!slices.ContainsFunc(p.rods, func(rod string) bool { return !slices.Contains(q.rods, rod) })
}

// Bond returns the bond to a truck, nil when none was recorded.
func (g *Grounding) Bond(truck string) *EarthPath {
	for i := len(g.paths) - 1; i >= 0; i-- {
		if p := g.paths[i]; p.Path == "bond" && p.Truck == truck {
			return p
		}
	}
	return nil
}
