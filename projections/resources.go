package projections

import (
	"strings"
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// Resource is a unit, an agency or something ordered, from the call for it to its
// leaving.
type Resource struct {
	Name      string `json:"name"`
	Ordered   Moment `json:"ordered"`
	ETA       string `json:"eta,omitempty"` // as promised, a clock time
	NeededBy  string `json:"needed_by,omitempty"`
	Alerted   Moment `json:"alerted"`
	Rolling   Moment `json:"rolling"`
	Staged    Moment `json:"staged"`
	OnScene   Moment `json:"on_scene"`
	Cancelled Moment `json:"cancelled"`
	Left      Moment `json:"left"`
	To        string `json:"to,omitempty"`
	Sort      string `json:"sort,omitempty"`
	Supplier  string `json:"supplier,omitempty"`
	Order     string `json:"order,omitempty"`
	Quantity  Figure `json:"quantity"`
	Crew      Figure `json:"crew"`
	Worked    Figure `json:"worked"`   // min, as told on leaving
	StoodBy   Figure `json:"stood_by"` // min, as told on leaving
	LeadTime  Figure `json:"lead_time"`
	There     Figure `json:"there"`        // min on scene
	Hours     Figure `json:"person_hours"` // crew × time there
}

// GearState is a piece of gear lost or out of service.
type GearState struct {
	At       Moment `json:"at"`
	Item     string `json:"item,omitempty"`
	State    string `json:"state,omitempty"`
	Cause    string `json:"cause,omitempty"`
	Replaced string `json:"replaced,omitempty"`
	Value    Figure `json:"value"`
}

// Cost is an item of the cost record.
type Cost struct {
	At          Moment `json:"at"`
	Category    string `json:"category,omitempty"`
	Item        string `json:"item,omitempty"`
	Quantity    Figure `json:"quantity"`
	Hours       Figure `json:"minutes"`
	Rate        Figure `json:"rate"`
	Amount      Figure `json:"amount"`
	Pay         string `json:"pay,omitempty"`
	Agency      string `json:"agency,omitempty"`
	Invoice     string `json:"invoice,omitempty"`
	Recoverable string `json:"recoverable,omitempty"`
}

// Resources is who and what came, stayed and left, with what it cost.
type Resources struct {
	Gear  []GearState
	Costs []Cost

	ending
	list   []*Resource // in the order of the first mention
	byName map[string]*Resource
}

// Apply folds one entry.
func (r *Resources) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.SentOut:
		r.sent(e, k)
	case kinds.OnScene:
		r.arrived(e, k)
	case kinds.LeftScene:
		r.left(e, k)
	case kinds.AgencyOnScene:
		r.get(orElse(k.Who, orElse(k.Agency, "agency not said"))).OnScene = MomentOf(e)
	case kinds.ResourceOrdered:
		r.ordered(e, k)
	case kinds.TruckOrdered:
		t := r.get(k.Truck)
		t.Ordered, t.Supplier, t.Order, t.Sort = MomentOf(e), e.Where, k.Order, orElse(k.Type, "recovery truck")
		t.ETA = orElse(t.ETA, string(k.ETA))
	case kinds.GearReady:
		r.gear(e, k)
	case kinds.GearLost:
		r.Gear = append(r.Gear, GearState{MomentOf(e), k.Item, orElse(k.State, "lost"), k.Cause, k.Replaced, FigureOf(k.Value, "", e.Seq)})
	case kinds.LogOpened, kinds.LogClosed:
		r.end(e)
	case kinds.CostItem:
		r.Costs = append(r.Costs, Cost{
			MomentOf(e), k.Category, k.Item, FigureOf(k.Quantity, "", e.Seq), FigureOf(k.Hours, "", e.Seq), FigureOf(k.Rate, "", e.Seq),
			FigureOf(k.Amount, "", e.Seq), k.Pay, k.Agency, k.Invoice, k.Recoverable,
		})
	}
}

func (r *Resources) get(name string) *Resource {
	if got := r.byName[name]; got != nil {
		return got
	}
	got := &Resource{Name: name, Quantity: Lacking(""), Crew: Lacking(""), Worked: Lacking("min"), StoodBy: Lacking("min")}
	r.byName = setIn(r.byName, name, got)
	r.list = append(r.list, got)
	return got
}

func (r *Resources) sent(e *events.Entry, k kinds.SentOut) {
	for _, unit := range k.Unit {
		u := r.get(unit)
		switch k.Step {
		case "rolling":
			u.Rolling = MomentOf(e)
		case "staged":
			u.Staged = MomentOf(e)
		case "cancelled":
			u.Cancelled = MomentOf(e)
		default:
			u.Alerted = MomentOf(e)
		}
		if k.Crew.Said() && len(k.Unit) == 1 { // the crew of several units together is nobody's own
			u.Crew = FigureOf(k.Crew, "", e.Seq)
		}
	}
}

// names returns the units and the truck that an entry names.
func names(units []string, truck string) []string {
	if truck == "" {
		return units
	}
	return append([]string{truck}, units...)
}

func (r *Resources) arrived(e *events.Entry, k kinds.OnScene) {
	who := names(k.Unit, k.Truck)
	for _, name := range who {
		u := r.get(name)
		if u.OnScene.IsZero() || !u.Left.IsZero() {
			u.OnScene, u.Left = MomentOf(e), Moment{}
		}
		if k.Crew.Said() && len(who) == 1 {
			u.Crew = FigureOf(k.Crew, "", e.Seq)
		}
	}
}

// left takes the leaving of units; the wreck, on whatever it went, is none.
func (r *Resources) left(e *events.Entry, k kinds.LeftScene) {
	for _, name := range names(k.Unit, k.Truck) {
		if isWreck(name) {
			continue
		}
		u := r.get(name)
		u.Left, u.To = MomentOf(e), k.To
		if k.Operating.Said() {
			u.Worked = FigureOf(k.Operating, "as told", e.Seq)
		}
		if k.Standby.Said() {
			u.StoodBy = FigureOf(k.Standby, "as told", e.Seq)
		}
	}
}

func (r *Resources) ordered(e *events.Entry, k kinds.ResourceOrdered) {
	u := r.get(orElse(k.What, orElse(k.Sort, "not said")))
	u.Ordered, u.ETA, u.NeededBy = MomentOf(e), string(k.ETA), string(k.NeededBy)
	u.Sort, u.Supplier, u.Order = k.Sort, k.Supplier, k.Order
	u.Quantity, u.Crew = FigureOf(k.Quantity, "", e.Seq), FigureOf(k.Crew, "", e.Seq)
}

// gear notes the gear that stood ready, piece by piece.
func (r *Resources) gear(e *events.Entry, k kinds.GearReady) {
	for _, g := range [...]struct{ what, said string }{
		{"drill", k.Drill}, {"pump", k.Pump}, {"air", k.Air}, {"hoses", k.Hoses}, {"cribs", k.Cribs},
	} {
		if g.said != "" {
			r.Gear = append(r.Gear, GearState{At: MomentOf(e), Item: strings.TrimSpace(g.what + ": " + g.said), State: "ready", Value: Lacking("USD")})
		}
	}
}

// List returns the resources in the order of their first mention, as at now.
func (r *Resources) List(now time.Time) []Resource {
	out := make([]Resource, 0, len(r.list))
	for _, u := range r.list {
		c := *u
		asked := c.Ordered
		if asked.IsZero() {
			asked = c.Alerted
		}
		c.LeadTime, c.There = Lacking("min", "time ordered or alerted"), Lacking("min", "time of arrival")
		if !asked.IsZero() && !c.Cancelled.IsZero() {
			c.LeadTime = Lacking("min", "cancelled")
		} else if !asked.IsZero() {
			c.LeadTime = r.lasted(asked, c.OnScene, now)
		}
		if !c.OnScene.IsZero() {
			c.There = r.lasted(c.OnScene, c.Left, now)
		}
		c.Hours = personHours(c.Crew, c.There)
		out = append(out, c)
	}
	return out
}

// personHours is the crew times the hours there.
func personHours(crew, there Figure) Figure {
	if !crew.Known || !there.Known {
		return Lacking("h", missingOf(crew, "crew"), missingOf(there, "time there"))
	}
	return Figure{
		Known: true, Value: crew.Value * there.Value / 60, Low: crew.Low * there.Low / 60, High: crew.High * there.High / 60,
		Unit: "h", Method: there.Method, From: union(crew.From, there.From),
	}
}
