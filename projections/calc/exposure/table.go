package exposure

import (
	"cmp"
	"slices"
	"strings"

	"tankside/events/quantity"
)

// Basis is what a limit is held against.
type Basis string

// The bases.
const (
	OverShift   Basis = "8 h average"
	OverShort   Basis = "15 min average"
	AtOnce      Basis = "ceiling"
	ActionLevel Basis = "action level"
	Danger      Basis = "IDLH" // immediately dangerous to life or health
)

// How a limit or a factor was come by, as its row says.
const (
	Seen       = "seen"
	SecondHand = "second hand"
	Memory     = "memory"
)

// Limit is one limit of one substance with who sets it.
type Limit struct {
	Substance string
	Basis     Basis
	Value     quantity.PPM
	Peak      quantity.PPM     // for a ceiling with a peak above it
	Minutes   quantity.Minutes // of that peak, in one period
	Alone     bool             // see Ceiling
	Regime    string           // who sets it
	Source    string           // where it stands
	Status    string           // seen, second hand, memory
	Policy    bool             // the one held against unless a department says otherwise
}

// Ceiling returns the limit as a ceiling.
func (l Limit) Ceiling() Ceiling { return Ceiling{l.Value, l.Peak, l.Minutes, l.Alone} }

// The sources of the limits.
const (
	benzeneRule = "29 CFR 1910.1028"
	tableZ1     = "29 CFR 1910.1000 table Z-1"
	tableZ2     = "29 CFR 1910.1000 table Z-2"
	pocketGuide = "NIOSH Pocket Guide to Chemical Hazards"
	sitePlans   = "site safety plans citing ACGIH"
)

// Limits are the limits in force unless a department has its own. Where the
// benzene rule excludes the work (motor fuel past its last bulk plant), table Z-2 is
// the law; the stricter rule is held against all the same, as policy. The 1989 limits
// for gasoline were vacated; those of ACGIH are held against. Where an older and a
// newer figure are about, both stand here.
var Limits = []Limit{
	{Substance: "benzene", Basis: OverShift, Value: 1, Regime: "OSHA", Source: benzeneRule + "(c)(1)", Status: Seen, Policy: true},
	{Substance: "benzene", Basis: OverShort, Value: 5, Regime: "OSHA", Source: benzeneRule + "(c)(2)", Status: Seen, Policy: true},
	{Substance: "benzene", Basis: ActionLevel, Value: 0.5, Regime: "OSHA", Source: benzeneRule + "(b)", Status: Seen, Policy: true},
	{Substance: "benzene", Basis: OverShift, Value: 10, Regime: "OSHA where 1910.1028 does not apply", Source: tableZ2, Status: Seen},
	{Substance: "benzene", Basis: AtOnce, Value: 25, Peak: 50, Minutes: 10, Regime: "OSHA where 1910.1028 does not apply", Source: tableZ2, Status: Seen, Policy: true},
	{Substance: "benzene", Basis: OverShift, Value: 0.1, Regime: "NIOSH", Source: pocketGuide, Status: Seen},
	{Substance: "benzene", Basis: OverShort, Value: 1, Regime: "NIOSH", Source: pocketGuide, Status: Seen},
	{Substance: "benzene", Basis: OverShift, Value: 0.5, Regime: "ACGIH, older", Source: "supplier data sheets", Status: SecondHand},
	{Substance: "benzene", Basis: OverShort, Value: 2.5, Regime: "ACGIH, older", Source: "supplier data sheets", Status: SecondHand},
	{Substance: "benzene", Basis: OverShift, Value: 0.02, Regime: "ACGIH, newer", Source: "ACGIH", Status: Memory},
	{Substance: "benzene", Basis: Danger, Value: 500, Regime: "NIOSH", Source: "NIOSH IDLH documentation", Status: Seen, Policy: true},

	{Substance: "gasoline", Basis: OverShift, Value: 300, Regime: "ACGIH", Source: sitePlans, Status: SecondHand, Policy: true},
	{Substance: "gasoline", Basis: OverShort, Value: 500, Regime: "ACGIH", Source: sitePlans, Status: SecondHand, Policy: true},

	{Substance: "toluene", Basis: OverShift, Value: 200, Regime: "OSHA", Source: tableZ2, Status: Seen, Policy: true},
	{Substance: "toluene", Basis: AtOnce, Value: 300, Peak: 500, Minutes: 10, Regime: "OSHA", Source: tableZ2, Status: Seen, Policy: true},
	{Substance: "toluene", Basis: Danger, Value: 500, Regime: "NIOSH", Source: pocketGuide, Status: Seen, Policy: true},
	{Substance: "xylenes", Basis: OverShift, Value: 100, Regime: "OSHA", Source: tableZ1, Status: Seen, Policy: true},
	{Substance: "xylenes", Basis: OverShort, Value: 150, Regime: "NIOSH", Source: pocketGuide, Status: Seen},
	{Substance: "xylenes", Basis: Danger, Value: 900, Regime: "NIOSH", Source: pocketGuide, Status: Seen, Policy: true},
	{Substance: "ethylbenzene", Basis: OverShift, Value: 100, Regime: "OSHA", Source: tableZ1, Status: Seen, Policy: true},
	{Substance: "ethylbenzene", Basis: Danger, Value: 800, Regime: "NIOSH", Source: pocketGuide, Status: Seen, Policy: true},
	{Substance: "n-hexane", Basis: OverShift, Value: 500, Regime: "OSHA", Source: tableZ1, Status: Seen, Policy: true},
	{Substance: "n-hexane", Basis: OverShift, Value: 50, Regime: "NIOSH", Source: pocketGuide, Status: Seen},
	{Substance: "n-hexane", Basis: Danger, Value: 1100, Regime: "NIOSH", Source: pocketGuide, Status: Seen, Policy: true},
	{Substance: "ethanol", Basis: OverShift, Value: 1000, Regime: "OSHA", Source: tableZ1, Status: Seen, Policy: true},
	{Substance: "ethanol", Basis: Danger, Value: 3300, Regime: "NIOSH", Source: pocketGuide, Status: Seen, Policy: true},

	{Substance: "CO", Basis: OverShift, Value: 50, Regime: "OSHA", Source: tableZ1, Status: Seen, Policy: true},
	{Substance: "CO", Basis: AtOnce, Value: 200, Regime: "NIOSH", Source: pocketGuide, Status: Seen, Policy: true},
	{Substance: "CO", Basis: Danger, Value: 1200, Regime: "NIOSH", Source: pocketGuide, Status: SecondHand, Policy: true},
	{Substance: "H2S", Basis: AtOnce, Value: 20, Peak: 50, Minutes: 10, Alone: true, Regime: "OSHA", Source: tableZ2, Status: Seen, Policy: true},
	{Substance: "H2S", Basis: Danger, Value: 100, Regime: "NIOSH", Source: pocketGuide, Status: SecondHand, Policy: true},
}

// Held returns the limits that a substance is held against unless a department says
// otherwise, one a basis.
func Held(substance string) (out []Limit) {
	for _, l := range Limits {
		if l.Policy && l.Substance == substance {
			out = append(out, l)
		}
	}
	return out
}

// LimitOf returns the limit of a basis that a substance is held against.
func LimitOf(substance string, b Basis) (Limit, bool) {
	for _, l := range Held(substance) {
		if l.Basis == b {
			return l, true
		}
	}
	return Limit{}, false
}

// Respirator is a sort of respirator with its assigned protection factor.
type Respirator struct {
	Name   string
	Factor float64
	words  []string // all of which stand in what a scribe says of it
}

// FactorSource is where the factors stand. Other agencies have other tables: a
// full-face air-purifying mask is 100 in some.
const FactorSource = "29 CFR 1910.134(d)(3)(i)(A) table 1"

// Respirators are the sorts with their factors. They hold only within a full
// respirator programme, and for the mode in use. Of a sort not said in full the words
// find the least factor that it can have; those that say most come first.
var Respirators = []Respirator{
	{"SCBA, demand, half mask", 10, []string{"scba", "demand", "half"}},
	{"SCBA, pressure demand, hood", 10000, []string{"scba", "pressure", "hood"}},
	{"SCBA, pressure demand, full face", 10000, []string{"scba", "pressure"}},
	{"SCBA, demand, hood", 50, []string{"scba", "demand", "hood"}},
	{"SCBA, demand, full face", 50, []string{"scba", "demand"}},
	{"air line, pressure demand, half mask", 50, []string{"air line", "pressure", "half"}},
	{"air line, pressure demand, full face", 1000, []string{"air line", "pressure"}},
	{"air line, demand, half mask", 10, []string{"air line", "demand", "half"}},
	{"air line, demand, full face", 50, []string{"air line", "demand"}},
	{"air line, continuous flow, half mask", 50, []string{"air line", "continuous", "half"}},
	{"air line, continuous flow, full face", 1000, []string{"air line", "continuous", "full"}},
	{"air line, continuous flow, hood", 25, []string{"air line", "continuous", "hood"}},
	{"air line, continuous flow, loose fitting", 25, []string{"air line", "continuous"}},
	{"powered air-purifying, half mask", 50, []string{"papr", "half"}},
	{"powered air-purifying, full face", 1000, []string{"papr", "full"}},
	{"powered air-purifying, hood", 25, []string{"papr", "hood"}},
	{"powered air-purifying, loose fitting", 25, []string{"papr"}},
	{"air-purifying, quarter mask", 5, []string{"apr", "quarter"}},
	{"air-purifying, full face", 50, []string{"apr", "full"}},
	{"air-purifying, half mask", 10, []string{"apr"}},
	// What fire services wear is pressure demand with a full face (common practice).
	{"SCBA, taken as pressure demand", 10000, []string{"scba"}},
	{"air pack, taken as SCBA, pressure demand", 10000, []string{"air pack"}},
}

// RespiratorOf finds the sort of respirator that is meant; ok is false where the words
// name none, and "none" names none.
func RespiratorOf(said string) (r Respirator, ok bool) {
	said = strings.ToLower(said)
	said = strings.NewReplacer("airline", "air line", "-", " ", "full face", "full", "breathing apparatus", "scba").Replace(said)
	for _, r := range Respirators {
		if !slices.ContainsFunc(r.words, func(w string) bool { return !strings.Contains(said, w) }) {
			return r, true
		}
	}
	return Respirator{}, false
}

// Inside returns what is left of a level inside a mask of the factor, 1 or more, worn
// without fault. It is an estimate beside the level outside, which is what the law
// counts, and never instead of it. Source: definition of the factor in 29 CFR
// 1910.134.
func Inside(level quantity.PPM, factor float64) quantity.PPM { return level / quantity.PPM(factor) }

// MostUse returns up to which level a mask of the factor may be worn:
//
//	factor × limit
//
// and no higher than the level of danger or what its cartridge is made for, where they
// are known (0 is not known). Source: 29 CFR 1910.134(d)(3)(i)(B).
func MostUse(factor float64, limit, danger, cartridge quantity.PPM) quantity.PPM {
	most := quantity.PPM(factor) * limit
	for _, bound := range []quantity.PPM{danger, cartridge} {
		most = min(most, cmp.Or(bound, most))
	}
	return most
}
