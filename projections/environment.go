package projections

import (
	"tankside/events"
	"tankside/events/kinds"
)

// Environment is what got out and what was put in its way.
type Environment struct {
	Spills  []Spill
	Sheens  []Sheen
	Booms   []Boom
	Pads    []Pads
	TakenUp []TakenUp
}

// Spill is product on the ground or in water as somebody saw it. Its amount is
// counted in the volume.
type Spill struct {
	At     Moment `json:"at"`
	Place  string `json:"place"`
	Amount Figure `json:"amount"`
	Area   Figure `json:"area"`
	Depth  Figure `json:"depth"`
	On     string `json:"on,omitempty"`
	Into   string `json:"into,omitempty"`
	Sheen  string `json:"sheen,omitempty"`
}

// Sheen is product seen on water.
type Sheen struct {
	At     Moment `json:"at"`
	Place  string `json:"place"`
	Length Figure `json:"length"`
	Width  Figure `json:"width"`
	Colour string `json:"colour,omitempty"`
	Moving string `json:"moving,omitempty"`
}

// Boom is a boom, dike or drain cover that was set.
type Boom struct {
	At     Moment `json:"at"`
	Place  string `json:"place"`
	Kind   string `json:"kind,omitempty"`
	Length Figure `json:"length"`
	Count  Figure `json:"count"`
	Until  string `json:"until,omitempty"`
}

// Pads are sorbents that were gathered and weighed.
type Pads struct {
	At    Moment `json:"at"`
	Place string `json:"place"`
	Count Figure `json:"count"`
	Wet   Figure `json:"wet"`
	Dry   Figure `json:"dry"`
	Water Figure `json:"water"`
}

// TakenUp is soil, sorbent or liquid that was taken up.
type TakenUp struct {
	At      Moment `json:"at"`
	Place   string `json:"place"`
	Form    string `json:"form,omitempty"`
	Product Figure `json:"product"`
	Water   Figure `json:"water"`
	Weight  Figure `json:"weight"`
	Volume  Figure `json:"volume"` // bulk, yd3
	To      string `json:"to,omitempty"`
}

// Apply folds one live entry.
func (n *Environment) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.SpillSeen:
		n.Spills = append(n.Spills, Spill{
			MomentOf(e), e.Where, FigureOf(k.Amount, "as said", e.Seq), FigureOf(k.Area, "as said", e.Seq),
			FigureOf(k.Depth, "as said", e.Seq), k.On, k.Into, k.Sheen,
		})
	case kinds.SheenSeen:
		n.Sheens = append(n.Sheens, Sheen{MomentOf(e), e.Where, FigureOf(k.Length, "as said", e.Seq), FigureOf(k.Width, "as said", e.Seq), k.Colour, k.Moving})
	case kinds.BoomSet:
		n.Booms = append(n.Booms, Boom{MomentOf(e), e.Where, k.Sort, FigureOf(k.Length, "as said", e.Seq), FigureOf(k.Count, "as said", e.Seq), k.Until})
	case kinds.PadsWeighed:
		n.Pads = append(n.Pads, Pads{
			MomentOf(e), e.Where, FigureOf(k.Count, "as said", e.Seq), FigureOf(k.Wet, "scale", e.Seq),
			FigureOf(k.Dry, "scale", e.Seq), FigureOf(k.Water, "as said", e.Seq),
		})
	case kinds.ProductRecovered:
		n.TakenUp = append(n.TakenUp, TakenUp{
			MomentOf(e), e.Where, k.Form, FigureOf(k.Product, "as said", e.Seq), FigureOf(k.Water, "as said", e.Seq),
			FigureOf(k.Weight, "scale", e.Seq), FigureOf(k.Yards, "as said", e.Seq), k.To,
		})
	}
}

// EnvironmentState is the environment as the JSON shows it.
type EnvironmentState struct {
	Spills  []Spill   `json:"spills"`
	Sheens  []Sheen   `json:"sheens"`
	Booms   []Boom    `json:"booms"`
	Pads    []Pads    `json:"pads"`
	TakenUp []TakenUp `json:"taken_up"`
}

// State returns what got out and what was put in its way.
func (n *Environment) State() EnvironmentState {
	return EnvironmentState{list(n.Spills), list(n.Sheens), list(n.Booms), list(n.Pads), list(n.TakenUp)}
}
