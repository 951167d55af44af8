package projections

import (
	"slices"
	"strings"

	"tankside/events"
	"tankside/events/kinds"
)

// Lost is product that somebody said burned, evaporated, was drained from the hoses
// or is gone.
type Lost struct {
	Loss
	How    string `json:"how"`
	From   string `json:"from"`
	Method string `json:"method,omitempty"`
	Tank   bool   `json:"tank"` // it left the tank so; else it lay on the ground before
}

// lostShare is the standard uncertainty of an amount lost where none was stated, as a
// share of it (judgement): most are worked out by rates and areas.
const lostShare = 0.25

func (s *Losses) lost(e *events.Entry, k kinds.ProductLost) {
	g := grossOf(k.Amount, orElse(k.Method, "stated"), e)
	if !g.Known {
		g = noGross("how much " + orElse(k.How, "was lost"))
		g.From = []events.Seq{e.Seq}
	} else if g.U == 0 {
		g.U = lostShare * g.Value
	}
	l := lossOf(e, orElse(k.Product, k.Amount.Words), g)
	l.Compartment = compartmentOf(orElse(k.From, e.Where))
	s.Lost = append(s.Lost, Lost{Loss: l, How: orElse(k.How, kinds.Gone), From: k.From, Method: k.Method, Tank: fromTank(k)})
}

// fromTank reports whether product that was lost left the tank so. Where nobody said
// from where, what burned and what the hoses held is taken to come from the tank, what
// evaporated and what is gone to have lain on the ground.
func fromTank(k kinds.ProductLost) bool {
	switch {
	case k.From == "":
		return k.How == kinds.Burned || k.How == kinds.Drained
	case strings.Contains(strings.ToLower(k.From), "hose"):
		return true
	}
	return namesTank(k.From)
}

// lost adds up what was lost in one way, of what left the tank so or of what lay on
// the ground, and whether any is on record.
func (k *ledger) lost(how, product string, tank bool) (Figure, bool) {
	var ls []Loss
	for _, l := range k.v.Losses.Lost {
		if l.How == how && l.Tank == tank {
			ls = append(ls, l.Loss)
		}
	}
	sum, n := k.losses(ls, product)
	return sum.As(how + ", as stated"), n > 0
}

// evaporated is all that somebody said evaporated, wherever it lay.
func (k *ledger) evaporated() Figure {
	tank, some := k.lost(kinds.Evaporated, every, true)
	ground, more := k.lost(kinds.Evaporated, every, false)
	if !some && !more {
		return Lacking(k.unit(), "no entry says how much evaporated")
	}
	return tank.Plus(ground)
}

// burned is what burned in the tank, or on the ground: as stated, unknown as soon as
// product was seen on fire and nobody said how much of it burned, and absent
// otherwise.
func (k *ledger) burned(product string, tank bool) (Figure, bool) {
	stated := slices.ContainsFunc(k.v.Losses.Lost, func(l Lost) bool { return l.How == kinds.Burned })
	if stated {
		return k.lost(kinds.Burned, product, tank)
	}
	for _, f := range k.v.Losses.Fires {
		if f.product(k.v.products) {
			b := k.lacking("how much burned")
			b.From = f.At.From
			return b, true
		}
	}
	return k.zero(), false
}

// addLost adds to a balance what was lost in each way but by fire.
func (b *Balance) addLost(k *ledger, product string, tank bool, hows ...string) {
	for _, how := range hows {
		f, any := k.lost(how, product, tank)
		b.add(how, -1, f, any)
	}
}
