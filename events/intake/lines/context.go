package lines

import (
	"time"

	"tankside/events"
)

// Context is what a line is read against: the hour, and what the incident has taught so
// far. It is plain data and is not changed by reading a line. The zero Context but for
// Now is a fresh incident: every line can still be read.
type Context struct {
	Incident string
	Mode     events.Mode
	Scribe   string         // role of whoever types
	Now      time.Time      // the hour, as the laptop has it
	Zone     *time.Location // of the incident; that of Now when nil
	Mishap   time.Time      // zero when not recorded
	Others   []string       // names of other incidents that an entry can be moved to

	Entries      []Entry // as the log holds them, in the order of their numbers
	Trucks       []Truck // in the order in which they were first named
	Compartments []Compartment
	Pairs        []Pair
	Holes        []Hole
	Legs         []Leg
	Rods         []string // G1, G2
	Stops        []Stop   // work that is stopped now
	Leaks        []Leak   // leaks that run, slowed or not
	Places       []string // places taught, latest first
	Roles        []string // tellers taught, latest first
	Units        []string // engines, teams and companies taught
	Tasks        []string // what pairs went in to do, latest first

	Ground      Maybe // ohm, of the ground rods as last read; unknown when nobody read them
	GroundLimit Maybe // ohm; the limit that stood with the latest ground reading
	BondLimit   Maybe // ohm; the same for bonds
	FoamFlow    Maybe // gal/min; as last applied
	FoamMix     Maybe // %; as last applied
}

// Maybe is a number that may not be known. The zero Maybe is unknown, never zero.
type Maybe struct {
	Known bool
	Value float64
}

// Some is the known number v.
func Some(v float64) Maybe { return Maybe{true, v} }

// Entry is an entry of the log as far as a line can refer to it.
type Entry struct {
	Seq     events.Seq
	ID      events.ID
	At      time.Time // when it happened
	Told    time.Time // when it was told
	Words   string    // the line it was typed as
	Who     string    // teller
	Where   string
	Line    func() string // the report line
	Payload events.Payload
	Off     bool // struck, or joined to another
}

// The states of a truck.
const (
	Expected = "expected"
	Here     = "here"
	Gone     = "gone"
)

// Truck is a receiving truck.
type Truck struct {
	Name    string // R1, V1
	From    string // the company that sends it
	State   string // Expected, Here or Gone
	ETA     string // as last promised, "" when never
	Holes   []string
	Usable  Maybe // gal
	Room    Maybe // gal left
	Checked bool
	Bond    Maybe  // ohm, as last read from the tank shell to it
	BondBad bool   // the last reading was over its limit, or called bad
	Product string // that it takes or has
}

// Compartment is a compartment of the overturned tank.
type Compartment struct {
	Name     string // C1
	Capacity Maybe  // gal
	Load     Maybe  // gal, as the papers or the driver have it
	Pumped   Maybe  // gal out of it so far
	Product  string
}

// Pair is an entry team.
type Pair struct {
	Name     string // 1
	Members  []string
	In       []string // members who are in the hot zone now
	Since    time.Time
	EverIn   bool
	Backup   bool
	InRehab  bool
	Air      map[string]float64 // psi by member, when last in
	LastTask string
}

// Hole is an opening in the tank.
type Hole struct {
	ID          string // C5-L
	Compartment string
	Use         string // liquid, vapour
	Through     bool
	Plugged     bool
}

// Leg is one stretch of pumping from one place into another.
type Leg struct {
	ID       string // L1
	From, To string // C4, R1
	Meter    string // the instrument
	Unit     string // of the instrument: gal or L
	Running  bool
	Held     bool
	Start    time.Time
	Readings []MeterAt // oldest first, the starting value among them
}

// MeterAt is a meter reading.
type MeterAt struct {
	At    time.Time
	Value float64 // gal
}

// Stop is a stop of work that stands.
type Stop struct {
	Seq   events.Seq
	Where string
	Why   string
}

// Leak is a leak that has not been stopped.
type Leak struct {
	Where string
	Rate  Maybe // gal/min
}
