package projections

import (
	"fmt"
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
)

// Trucks are the receiving trucks, from the order to the scale.
type Trucks struct {
	All   []*Truck
	Notes []Note

	byName map[string]*Truck
	to     map[string]*Truck // by leg
}

// Truck is one receiving truck.
type Truck struct {
	Name     string        `json:"truck"`
	Supplier string        `json:"supplier,omitempty"`
	Usable   Figure        `json:"usable"` // gal, all holes
	Ordered  Moment        `json:"ordered"`
	ETAs     []ETA         `json:"etas"` // every time promised, oldest first
	Arrived  Moment        `json:"arrived"`
	Late     Figure        `json:"late"` // min after the first time promised; negative when early
	LateSaid Figure        `json:"late_said"`
	Checks   []TruckChecks `json:"checks"`
	Bonds    []TruckBond   `json:"bonds"`
	Loading  []Interval    `json:"loading"` // a pump running into it
	Sticks   []Moment      `json:"sticks"`
	Signed   []Moment      `json:"signed"` // custody passed
	Gone     Moment        `json:"gone"`
	To       string        `json:"gone_to,omitempty"`
	Weighed  []Moment      `json:"weighed"`
}

// ETA is a time of arrival that somebody promised.
type ETA struct {
	At   Moment `json:"told"`
	For  Moment `json:"for"`
	Said string `json:"said"`
	Why  string `json:"why,omitempty"`
}

// TruckChecks is what was found when a truck was looked over.
type TruckChecks struct {
	At        Moment `json:"at"`
	LastLoad  string `json:"last_load,omitempty"`
	Dry       string `json:"dry,omitempty"`
	Drained   string `json:"drained,omitempty"`
	Heel      Figure `json:"heel"`
	Vents     string `json:"vents,omitempty"`
	TareKnown string `json:"tare_known,omitempty"`
	Accepted  string `json:"accepted,omitempty"`
}

// TruckBond is a reading of the bond from the tank to a truck.
type TruckBond struct {
	At         Moment `json:"at"`
	Resistance Figure `json:"resistance"`
	Limit      Figure `json:"limit"`
	Result     string `json:"result,omitempty"`
}

// Apply folds one live entry.
func (t *Trucks) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.TruckOrdered:
		t.ordered(e, k)
	case kinds.ETAChanged:
		if tr := t.truck(orElse(k.Truck, e.Where)); tr != nil {
			tr.promise(e, k.ETA, k.Why)
		}
	case kinds.OnScene:
		t.arrived(e, k)
	case kinds.LeftScene:
		if tr := t.known(k.Truck); tr != nil {
			tr.Gone, tr.To = MomentOf(e), k.To
		}
	case kinds.TruckChecked:
		if tr := t.truck(orElse(k.Truck, e.Where)); tr != nil {
			tr.Checks = append(tr.Checks, TruckChecks{MomentOf(e), k.LastLoad, k.Dry, k.Drained, FigureOf(k.Heel, "", e.Seq), k.Vents, k.TareKnown, k.Accepted})
		}
	case kinds.ResistanceRead:
		t.bonded(e, k)
	case kinds.PumpOn:
		t.loading(e, k)
	case kinds.PumpOff:
		t.loaded(e, k)
	case kinds.GallonsTransferred:
		_, to, _ := strings.Cut(e.Where, " to ")
		t.truck(orElse(k.To, to))
	case kinds.StickRead:
		if tr := t.known(e.Where); tr != nil {
			tr.Sticks = append(tr.Sticks, MomentOf(e))
		}
	case kinds.ScaleTicket:
		if tr := t.truck(e.Where); tr != nil {
			tr.Weighed = append(tr.Weighed, MomentOf(e))
		}
	case kinds.CustodyPassed:
		if tr := t.known(e.Where); tr != nil {
			tr.Signed = append(tr.Signed, MomentOf(e))
		}
	}
}

// truck returns the truck that words name, a new one if it is not known; nil when
// they name none.
func (t *Trucks) truck(words string) *Truck {
	name := TruckOf(receiverIn(words))
	if name == "" {
		return nil
	}
	if tr := t.byName[name]; tr != nil {
		return tr
	}
	if t.byName == nil {
		t.byName = map[string]*Truck{}
	}
	tr := &Truck{Name: name, Usable: Lacking("gal"), Late: Lacking("min", "a promised time and an arrival"), LateSaid: Lacking("min")}
	t.All, t.byName[name] = append(t.All, tr), tr
	return tr
}

// known returns the truck that words name, nil when there is none yet.
func (t *Trucks) known(words string) *Truck { return t.byName[TruckOf(receiverIn(words))] }

func (t *Trucks) ordered(e *events.Entry, k kinds.TruckOrdered) {
	tr := t.truck(k.Truck)
	if tr == nil {
		t.Notes = append(t.Notes, Note{e.Seq, fmt.Sprintf("a truck was ordered without a name such as R1 (%q)", k.Truck)})
		return
	}
	if !tr.Ordered.IsZero() {
		t.Notes = append(t.Notes, Note{e.Seq, tr.Name + " was ordered again; the first order stands"})
	} else {
		tr.Ordered, tr.Supplier = MomentOf(e), e.Where
	}
	tr.Usable = FigureOf(k.Usable, "as ordered", e.Seq)
	if len(k.Holes) > 0 {
		var holes []Figure
		for _, h := range k.Holes {
			holes = append(holes, FigureOf(h.Value, "as ordered", e.Seq))
		}
		tr.Usable = Sum("gal", "holes added up", holes)
	}
	tr.promise(e, k.ETA, "")
}

// promise takes a promised time: the first such time of day from when it was told.
func (tr *Truck) promise(e *events.Entry, eta events.Clock, why string) {
	if at, ok := eta.After(e.Time()); ok {
		m := Moment{Best: at, Earliest: at, Latest: at, From: []events.Seq{e.Seq}}
		tr.ETAs = append(tr.ETAs, ETA{MomentOf(e), m, string(eta), why})
	}
}

// arrived takes an arrival. Lateness is against the first time promised.
func (t *Trucks) arrived(e *events.Entry, k kinds.OnScene) {
	tr := t.truck(k.Truck)
	if tr == nil {
		return
	}
	if !tr.Arrived.IsZero() && tr.Gone.IsZero() {
		t.Notes = append(t.Notes, Note{e.Seq, tr.Name + " was already here; the first arrival stands"})
		return
	}
	tr.Arrived, tr.LateSaid = MomentOf(e), FigureOf(k.Late, "as said", e.Seq)
	tr.Gone, tr.To = Moment{}, ""
	if len(tr.ETAs) > 0 {
		tr.Late = minutes(tr.ETAs[0].For, tr.Arrived).As("after the first time promised")
	}
	if tr.LateSaid.Known && tr.Late.Known && (tr.LateSaid.Value < tr.Late.Low-0.5 || tr.LateSaid.Value > tr.Late.High+0.5) {
		t.Notes = append(t.Notes, Note{e.Seq, fmt.Sprintf("%s is said to be %.0f min late; against %s it is %.0f", tr.Name, tr.LateSaid.Value, tr.ETAs[0].Said, tr.Late.Value)})
	}
}

func (t *Trucks) bonded(e *events.Entry, k kinds.ResistanceRead) {
	if pathOf(e, k) != "bond" {
		return
	}
	if tr := t.known(k.From + " " + k.To + " " + e.Where); tr != nil {
		tr.Bonds = append(tr.Bonds, TruckBond{MomentOf(e), FigureOf(k.Resistance, "", e.Seq), FigureOf(k.Limit, "", e.Seq), k.Result})
	}
}

func (t *Trucks) loading(e *events.Entry, k kinds.PumpOn) {
	_, to, _ := strings.Cut(e.Where, " to ")
	tr := t.truck(orElse(k.To, to))
	if tr == nil {
		return
	}
	if tr.Arrived.IsZero() {
		t.Notes = append(t.Notes, Note{e.Seq, "pump on into " + tr.Name + ", whose arrival is not recorded"})
	}
	tr.Loading = append(tr.Loading, Interval{Start: MomentOf(e)})
	if t.to == nil {
		t.to = map[string]*Truck{}
	}
	t.to[legKey(e, k.Leg)] = tr
}

func (t *Trucks) loaded(e *events.Entry, k kinds.PumpOff) {
	tr := t.to[legKey(e, k.Leg)]
	if tr == nil {
		return
	}
	for i := range slices.Backward(tr.Loading) {
		if tr.Loading[i].End.IsZero() {
			tr.Loading[i].End = EndOf(e)
			return
		}
	}
}

// List returns the trucks in the order in which they are first on record.
func (t *Trucks) List() []Truck {
	out := make([]Truck, len(t.All))
	for i, tr := range t.All {
		c := *tr
		c.ETAs, c.Checks, c.Bonds, c.Loading = list(c.ETAs), list(c.Checks), list(c.Bonds), list(c.Loading)
		c.Sticks, c.Signed, c.Weighed = list(c.Sticks), list(c.Signed), list(c.Weighed)
		out[i] = c
	}
	return out
}
