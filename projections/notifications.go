package projections

import (
	"time"

	"tankside/events"
	"tankside/events/kinds"
)

// Notice is somebody told, or somebody who came because they were.
type Notice struct {
	At    Moment `json:"at"`
	What  string `json:"what"` // call, agency on scene, direction, public, utility
	Who   string `json:"who,omitempty"`
	Place string `json:"place,omitempty"`
	Asked string `json:"asked_for,omitempty"`
	Ref   string `json:"ref,omitempty"` // the number they gave
	Said  string `json:"said,omitempty"`
	By    string `json:"by"`
	After Figure `json:"after"` // minutes since the mishap
	Sheen Figure `json:"after_sheen"`
}

// Notifications is who was told, when, and under which number.
type Notifications struct {
	Sheen Moment // the first sheen seen on water

	list []Notice
}

// Apply folds one entry.
func (n *Notifications) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.CallMade:
		n.add(e, Notice{What: "call", Who: orElse(k.Who, e.Where), Asked: k.AskedFor, Ref: k.Ref, Said: k.Told, By: k.By})
	case kinds.AgencyOnScene:
		n.add(e, Notice{What: "agency on scene", Who: orElse(k.Who, k.Agency), Said: k.Task})
	case kinds.DirectionGiven:
		n.add(e, Notice{What: "direction", Who: k.Coordinator, Ref: k.Project, Said: k.Direction})
	case kinds.PublicTold:
		n.add(e, Notice{What: "public", Who: orElse(k.Area, "public"), Ref: k.Ref, Said: k.Said, By: k.By})
	case kinds.UtilityActed:
		n.add(e, Notice{What: "utility", Who: k.Owner, Ref: k.Ref, Said: orElse(k.Act, k.Asset)})
	case kinds.SheenSeen:
		if n.Sheen.IsZero() {
			n.Sheen = MomentOf(e)
		}
	}
}

func (n *Notifications) add(e *events.Entry, notice Notice) {
	notice.At, notice.Place, notice.By = MomentOf(e), e.Where, orElse(notice.By, e.ObservedBy)
	n.list = append(n.list, notice)
}

// List returns the notices with the time each took since the mishap and, for calls
// after a sheen, since the first sheen was seen.
func (n *Notifications) List(mishap Moment, now time.Time) []Notice {
	out := make([]Notice, 0, len(n.list))
	for _, notice := range n.list {
		notice.After = Elapsed(mishap, notice.At, now)
		if notice.At.DayOnly() {
			notice.After = Lacking("min", "time of day")
		}
		notice.Sheen = Elapsed(n.Sheen, notice.At, now)
		switch {
		case n.Sheen.IsZero() || notice.At.Best.Before(n.Sheen.Best):
			notice.Sheen = Lacking("min", "no sheen seen before it")
		case notice.At.DayOnly():
			notice.Sheen = Lacking("min", "time of day")
		}
		out = append(out, notice)
	}
	return out
}
