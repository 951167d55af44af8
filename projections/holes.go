package projections

import (
	"fmt"
	"slices"

	"tankside/events"
	"tankside/events/kinds"
)

// Holes are the openings made into the tank: drilled holes and opened outlets.
type Holes struct {
	All   []Hole
	Notes []Note

	at map[string]int // in All
}

// Hole is one opening.
type Hole struct {
	ID          string `json:"hole"`
	Compartment string `json:"compartment,omitempty"`
	Place       string `json:"place"`
	Sort        string `json:"sort"` // drilled, outlet
	Use         string `json:"use,omitempty"`
	Size        Figure `json:"size"` // in
	Lost        Figure `json:"lost"` // gal into the pan
	Lube        string `json:"lube,omitempty"`
	ClearOf     string `json:"clear_of,omitempty"`
	Marked      Moment `json:"marked"`
	Begun       Moment `json:"begun"`
	Through     Moment `json:"through"`
	Plugged     Moment `json:"plugged"` // zero: not recorded, which is not "open"
	By          string `json:"plugged_by,omitempty"`
	Check       string `json:"plug_check,omitempty"`
}

// Apply folds one live entry.
func (h *Holes) Apply(e *events.Entry) {
	switch k := e.Payload.(type) {
	case kinds.HoleMarked:
		for _, id := range openings(k.Hole, e.Where) {
			hole := h.hole(e, id, "drilled")
			hole.Marked, hole.Use, hole.ClearOf = MomentOf(e), orElse(k.Use, hole.Use), k.ClearOf
		}
	case kinds.HoleDrilled:
		h.drilled(e, k)
	case kinds.OutletOpened:
		for _, id := range openings(k.Outlet, e.Where) {
			hole := h.hole(e, id, "outlet")
			hole.Through, hole.Use = MomentOf(e), orElse(k.Use, hole.Use)
			hole.Size, hole.Lost = FigureOf(k.Size, "", e.Seq), FigureOf(k.Lost, "", e.Seq)
		}
	case kinds.HolePlugged:
		h.plugged(e, k)
	}
}

// openings is the list of openings an entry names; where it names none, its place.
func openings(ids []string, where string) []string {
	if len(ids) == 0 {
		return []string{where}
	}
	return ids
}

func (h *Holes) hole(e *events.Entry, id, sort string) *Hole {
	if i, ok := h.at[id]; ok {
		return &h.All[i]
	}
	if h.at == nil {
		h.at = map[string]int{}
	}
	h.at[id] = len(h.All)
	h.All = append(h.All, Hole{ID: id, Compartment: compartmentOf(id), Place: e.Where, Sort: sort, Size: Lacking("in"), Lost: Lacking("gal")})
	return &h.All[len(h.All)-1]
}

// drilled takes a hole from the first chip to the fitting; without a word it is
// through.
func (h *Holes) drilled(e *events.Entry, k kinds.HoleDrilled) {
	for i, id := range openings(k.Hole, e.Where) {
		hole := h.hole(e, id, "drilled")
		if k.State == "started" {
			hole.Begun = MomentOf(e)
		} else if hole.Through.IsZero() {
			hole.Through = EndOf(e)
		}
		hole.Use, hole.Lube = orElse(k.Use, hole.Use), orElse(k.Lube, hole.Lube)
		if k.Size.Said() {
			hole.Size = FigureOf(k.Size, "", e.Seq)
		}
		if k.Lost.Said() && i == 0 { // of all holes the entry names
			hole.Lost = FigureOf(k.Lost, "into the pan", e.Seq)
		}
	}
}

func (h *Holes) plugged(e *events.Entry, k kinds.HolePlugged) {
	for _, id := range openings(k.Hole, e.Where) {
		if _, ok := h.at[id]; !ok {
			h.Notes = append(h.Notes, Note{e.Seq, fmt.Sprintf("%s was plugged, but no entry says it was opened", id)})
		}
		hole := h.hole(e, id, "not said")
		hole.Plugged, hole.By, hole.Check = MomentOf(e), k.By, k.Check
	}
}

// List returns the openings in the order in which they are first on record.
func (h *Holes) List() []Hole { return list(slices.Clone(h.All)) }
