package projections

import "time"

// atHand is what State and many rules ask of an incident and what takes long to work
// out, kept once it is. It is of one moment.
type atHand struct {
	now     time.Time
	people  []Person
	crew    CrewRules // by which these two were worked out
	supply  []Supply
	rests   []WorkRun
	air     []AirSeries
	exposed []Exposed
	worked  []Interval
	inside  []Interval // somebody was
	alone   []Interval // without a backup
	rolls   []Gap
	worksAt map[string][]Interval
	amounts *VolumeState // the product without its questions
	ledger  *ledger
	volume  *VolumeState
}

// hand is what was worked out at the moment the state is of. An incident that is moved
// to another moment begins anew; a copy of it shares what it has.
func (inc *Incident) hand() *atHand {
	if h := inc.kept; h == nil || !h.now.Equal(inc.AsOf) || h.now.Location() != inc.AsOf.Location() {
		inc.kept = &atHand{now: inc.AsOf, crew: inc.Crew}
	}
	if h := inc.kept; h.crew != inc.Crew {
		h.crew, h.supply, h.rests = inc.Crew, nil, nil
	}
	return inc.kept
}

// At returns the incident as it stands at another moment; at its own, the incident
// itself.
func (inc *Incident) At(now time.Time) *Incident {
	if now.Equal(inc.AsOf) {
		return inc
	}
	moved := *inc
	moved.AsOf = now
	return &moved
}

// once works a list out where it is not at hand.
func once[T any](at *[]T, work func() []T) []T {
	if *at == nil {
		*at = list(work())
	}
	return *at
}

// Persons returns everybody the log names, sorted by pair and letter. Like all that an
// incident works out of its folds at its moment, it is worked out once and not to be
// changed, and one goroutine at a time may ask.
func (inc *Incident) Persons() []Person {
	return once(&inc.hand().people, func() []Person { return inc.People.List(inc.AsOf) })
}

// Supplies returns the air of every trip on a bottle, in the order in which they began.
func (inc *Incident) Supplies() []Supply {
	return once(&inc.hand().supply, func() []Supply { return inc.People.supply(inc.Persons(), inc.Crew, inc.AsOf) })
}

// Rests returns the runs of work from rest to rest, sorted by person, then start.
func (inc *Incident) Rests() []WorkRun {
	return once(&inc.hand().rests, func() []WorkRun { return inc.People.restsOf(inc.Persons(), inc.Crew, inc.AsOf) })
}

// AirList returns the series of air readings in the order of their first readings.
func (inc *Incident) AirList() []AirSeries { return once(&inc.hand().air, inc.airList) }

// Exposures returns what there was to breathe: at the places where a substance with a
// limit was read, then for each person who was at work.
func (inc *Incident) Exposures() []Exposed { return once(&inc.hand().exposed, inc.exposures) }

// Occupied returns the stretches during which somebody was in.
func (inc *Incident) Occupied() []Interval { return once(&inc.hand().inside, inc.People.Occupied) }

// Unbacked returns the stretches during which somebody was in and no backup stood by
// name.
func (inc *Incident) Unbacked() []Interval {
	return once(&inc.hand().alone, func() []Interval { return inc.People.unbacked(inc.Occupied(), inc.AsOf) })
}

// RollGaps returns the stretches with somebody in and no roll call, late or not.
func (inc *Incident) RollGaps() []Gap {
	return once(&inc.hand().rolls, func() []Gap { return inc.People.rollGaps(inc.Occupied(), inc.AsOf) })
}

// Worked returns when somebody was in the hot zone or a pump ran.
func (inc *Incident) Worked() []Interval { return once(&inc.hand().worked, inc.workedAll) }

// WorkAt returns when a place was worked, as far as the log has it: a pump ran from or
// into what it names, or somebody was in or posted there.
func (inc *Incident) WorkAt(place string) []Interval {
	h := inc.hand()
	works, ok := h.worksAt[place]
	if !ok {
		works = inc.workedAt(place)
		h.worksAt = setIn(h.worksAt, place, works)
	}
	return works
}

// VolumeState returns the product as it stands.
func (inc *Incident) VolumeState() *VolumeState {
	h := inc.hand()
	if h.volume == nil {
		v := *inc.Amounts()
		v.Questions = h.ledger.asked(&v)
		h.volume = &v
	}
	return h.volume
}

// Amounts returns the product as it stands, without the questions about it.
func (inc *Incident) Amounts() *VolumeState {
	h := inc.hand()
	if h.amounts == nil {
		v, k := inc.Volume.amounts(inc.AsOf)
		h.amounts, h.ledger = &v, k
	}
	return h.amounts
}
