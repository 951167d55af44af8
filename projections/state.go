package projections

import (
	"encoding/json"
	"slices"
	"time"
)

// State is an incident as its JSON shows it. The keys are stable; new ones may be
// added. Lists are never null, and what is unknown is null beside what is missing.
type State struct {
	Incident string     `json:"incident"`
	Mode     string     `json:"mode"`
	AsOf     *time.Time `json:"as_of"`
	KnownAt  *time.Time `json:"known_at"`
	Entries  int        `json:"entries"`

	Phases         []Phase          `json:"phases"`
	Benchmarks     []Benchmark      `json:"benchmarks"`
	Waits          []Wait           `json:"waits"`
	People         []Person         `json:"people"`
	Accountability Accountability   `json:"accountability"`
	Supply         []Supply         `json:"supply"`
	Rest           []WorkRun        `json:"rest"`
	Air            []AirSeries      `json:"air"`
	Exposure       []Exposed        `json:"exposure"`
	Instruments    []Bump           `json:"instruments"`
	Grounding      []EarthPath      `json:"grounding"`
	Rods           []Rod            `json:"rods"`
	Stops          []Stop           `json:"stops"`
	Gates          []Gate           `json:"gates"`
	Zones          ZonesState       `json:"zones"`
	Weather        []WeatherRead    `json:"weather"`
	Places         []Position       `json:"places"`
	Command        CommandState     `json:"command"`
	Decisions      []Decided        `json:"decisions"`
	Orders         []Ordered        `json:"orders"`
	Actions        []Action         `json:"actions"`
	Notifications  []Notice         `json:"notifications"`
	Resources      []Resource       `json:"resources"`
	Gear           []GearState      `json:"gear"`
	Costs          []Cost           `json:"costs"`
	Volume         VolumeState      `json:"volume"`
	Trucks         []Truck          `json:"trucks"`
	Holes          []Hole           `json:"holes"`
	Foam           FoamState        `json:"foam"`
	Custody        CustodyState     `json:"custody"`
	Environment    EnvironmentState `json:"environment"`
	Due            []Due            `json:"due"`
	Duties         []Duty           `json:"duties"`
	Alarms         []Alarm          `json:"alarms"`
	Findings       []Finding        `json:"findings"`
	RulesOff       []RuleOff        `json:"rules_off"`
	RuleBook       string           `json:"rule_book"`
	Review         ReviewState      `json:"review"`
	Quality        Report           `json:"quality"`
	Notes          []Note           `json:"notes"` // what folds found odd, by place in the log
}

// Accountability is who is in now and how well that was kept track of.
type Accountability struct {
	In            []string      `json:"in"`
	Backup        *Backup       `json:"backup"` // null: none named
	Backups       []Backup      `json:"backups"`
	Unbacked      []Interval    `json:"unbacked"` // somebody in, no backup named
	RollCalls     []RollCall    `json:"roll_calls"`
	LateRolls     []Gap         `json:"late_roll_calls"`
	RollRules     []MinutesRule `json:"roll_call_rules"`
	LongStays     []LongStay    `json:"long_stays"`
	StayRules     []MinutesRule `json:"stay_rules"`
	AirRules      []AirRule     `json:"air_rules"`
	LongestUnread Figure        `json:"longest_unread"` // with somebody in and no air reading anywhere
	DeconLines    []DeconLine   `json:"decon_lines"`
	Briefings     []Briefing    `json:"briefings"`
	Signals       []Signal      `json:"signals"`
	Injuries      []Injured     `json:"injuries"`
	NearMisses    []NearMiss    `json:"near_misses"`
}

// ZonesState is what was kept clear.
type ZonesState struct {
	Sets       []ZoneSet   `json:"sets"`
	Isolations []Isolation `json:"isolations"`
	Roads      []Closure   `json:"roads"`
	People     []Moved     `json:"people"`
}

// CommandState is who held which role and what was passed on.
type CommandState struct {
	Roles      []Holding      `json:"roles"`
	Objectives []Objective    `json:"objectives"`
	Handovers  []Relief       `json:"handovers"`
	Emergency  []EmergencyEnd `json:"emergency_ended"`
	Debriefs   []Debrief      `json:"debriefs"`
}

// State returns what the incident's JSON shows.
func (inc *Incident) State() State { return inc.state(inc.VolumeState(), inc.Exposures()) }

// StateNow is State for a board that cannot wait: what takes long and what it does not
// show, the doses and the questions that were answered, is that of the state before.
func (inc *Incident) StateNow(before *State) State {
	v := *inc.Amounts()
	v.Questions = inc.hand().ledger.askedNow(&v, before.Volume.Questions)
	return inc.state(&v, list(before.Exposure))
}

func (inc *Incident) state(product *VolumeState, doses []Exposed) State {
	now := inc.AsOf
	return State{
		Incident: inc.Name, Mode: orElse(string(inc.Mode), "actual"), AsOf: said(now), KnownAt: said(inc.KnownAt), Entries: inc.Entries,
		Phases: inc.PhaseList(), Benchmarks: list(inc.BenchmarkList()), Waits: list(inc.Waits()),
		People: inc.Persons(), Accountability: inc.accountability(),
		Supply: inc.Supplies(), Rest: inc.Rests(),
		Air: inc.AirList(), Exposure: doses, Instruments: list(inc.Air.Checks),
		Grounding: inc.Grounding.List(), Rods: list(inc.Grounding.Rods),
		Stops: list(inc.Stops.List(now)), Gates: inc.Gates(),
		Zones: ZonesState{
			list(inc.Zones.Sets), list(inc.Zones.Isolations), list(inc.Zones.Closures(now)), list(inc.Zones.People(now)),
		},
		Weather: list(inc.Weather.Reads), Places: list(inc.Places.Fixed),
		Command: CommandState{
			inc.Command.Roles(now), list(inc.Command.Objectives), list(inc.Command.Handovers), list(inc.Command.Emergency), list(inc.Command.Debriefs),
		},
		Decisions: list(inc.Decisions.Made), Orders: list(inc.Decisions.Orders), Actions: list(inc.Decisions.Actions),
		Notifications: inc.Notifications.List(inc.Phases.at[atCrash], now),
		Resources:     inc.Resources.List(now), Gear: list(inc.Resources.Gear), Costs: list(inc.Resources.Costs),
		Volume: *product, Trucks: inc.Trucks.List(), Holes: inc.Holes.List(),
		Foam: inc.FoamState(), Custody: inc.Custody.State(), Environment: inc.Environment.State(),
		Due: list(inc.Due), Duties: list(inc.Duties), Alarms: list(inc.Alarms), Findings: list(inc.Findings), RulesOff: list(inc.RulesOff), RuleBook: inc.RuleBook,
		Review:  inc.Review.State(inc.Findings),
		Quality: inc.Quality.Report(now), Notes: inc.AllNotes(),
	}
}

func (inc *Incident) accountability() Accountability {
	p, now := &inc.People, inc.AsOf
	return Accountability{
		In: p.InAt(now), Backup: p.Standing(), Backups: list(p.Backups), Unbacked: inc.Unbacked(),
		RollCalls: list(p.RollCalls), LateRolls: list(late(inc.RollGaps())), RollRules: list(p.RollRules),
		LongStays: list(p.LongStays(now)), StayRules: list(p.StayRules), AirRules: list(p.AirRules),
		LongestUnread: inc.Air.LongestUnread(inc.Occupied(), now),
		DeconLines:    list(p.Lines), Briefings: list(p.Briefings), Signals: list(inc.Stops.Signals),
		Injuries: list(p.Injuries), NearMisses: list(p.NearMiss),
	}
}

// BenchmarkList returns the moments recorded. Nobody is the last out of the hot zone
// as long as the log has somebody in it.
func (inc *Incident) BenchmarkList() []Benchmark {
	all := inc.Phases.Benchmarks()
	if len(inc.People.InAt(inc.AsOf)) > 0 {
		all = slices.DeleteFunc(all, func(b Benchmark) bool { return b.Name == markNames[atLastExit] })
	}
	return all
}

// PhaseList returns the phases with the closures of roads among them, as at the
// moment the state is of.
func (inc *Incident) PhaseList() []Phase {
	out := inc.Phases.List(inc.AsOf)
	for _, c := range inc.Zones.Closures(inc.AsOf) {
		ph := Phase{
			Name: "road closed, " + reason(c.Road, "", c.Direction), Start: c.Stretches[0].Start, End: c.Stretches[len(c.Stretches)-1].End,
			Elapsed: c.Closed, Basis: "closed to opened, all stretches",
		}
		if c.Decided {
			ph.Basis = "decided closed to opened, all stretches"
		}
		if len(c.Stretches) > 1 {
			ph.Stretches = c.Stretches
		}
		out = append(out, ph)
	}
	return out
}

// AllNotes returns what the folds found odd, in the order of the log.
func (inc *Incident) AllNotes() []Note {
	out := slices.Concat(
		inc.Phases.Notes, inc.People.Notes, inc.Grounding.Notes, inc.Stops.Notes, inc.Zones.Notes, inc.Command.Notes, inc.Quality.Notes,
		inc.Trucks.Notes, inc.Holes.Notes, inc.Places.Notes,
	)
	slices.SortStableFunc(out, func(a, b Note) int { return int(a.Seq) - int(b.Seq) })
	return list(out)
}

// MarshalJSON writes the state.
func (inc *Incident) MarshalJSON() ([]byte, error) { return json.Marshal(inc.State()) }

// said returns nil for a time nobody gave.
func said(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return &t
}

// list keeps an empty list from being written as null.
func list[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}
