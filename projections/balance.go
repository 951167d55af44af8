package projections

import (
	"math"
	"slices"
	"strings"
	"time"

	"tankside/events/kinds"
)

// Balance holds what was in the tank against where it went, or what was released
// against what was taken up again. Superseded values are never in it, and nothing
// in it is clamped: more accounted for than there was shows as over-accounted.
type Balance struct {
	Of      string `json:"of"` // load, or released
	Product string `json:"product"`
	Basis   string `json:"basis"`
	Terms   []Term `json:"terms"`
	// Aboard is what should be in the tank: load less drops, transfers, releases.
	Aboard Figure `json:"should_be_aboard"`
	// LeftOver is what no truck took and no dip found: the spill, if nothing else
	// went. It needs no spill figure and is often the best one.
	LeftOver Figure `json:"left_over"`
	// AccountedFor is all that is known to have gone, remaining left out: the least
	// the load can have been where nobody knows it.
	AccountedFor Figure `json:"accounted_for"`
	// Unaccounted is the end of the balance.
	Unaccounted Figure   `json:"unaccounted"`
	Verdict     string   `json:"verdict"`
	NotRecorded []string `json:"not_recorded"` // terms taken as none because nobody logged any
}

// Term is one line of a balance.
type Term struct {
	Name   string `json:"name"`
	Sign   int    `json:"sign"` // +1 what there was, −1 where it went
	Figure Figure `json:"figure"`
}

// add takes a term into the balance where there is one on record; else it names it
// as not recorded.
func (b *Balance) add(name string, sign int, f Figure, recorded bool) {
	if !recorded {
		b.NotRecorded = append(b.NotRecorded, name)
		return
	}
	b.Terms = append(b.Terms, Term{name, sign, f})
}

// total adds up the terms except those named.
func (b *Balance) total(unit string, except ...string) Figure {
	sum := Exact(0, unit, "")
	for _, t := range b.Terms {
		switch {
		case slices.Contains(except, t.Name):
		case t.Sign > 0:
			sum = sum.Plus(t.Figure)
		default:
			sum = sum.Minus(t.Figure)
		}
	}
	return sum
}

// gone adds up where the load went, what is left aboard not counted; unknown when
// nothing is on record.
func (b *Balance) gone(unit string) Figure {
	sum, n := Exact(0, unit, ""), 0
	for _, t := range b.Terms {
		if t.Sign < 0 && t.Name != "remaining" {
			sum, n = sum.Plus(t.Figure), n+1
		}
	}
	if n == 0 {
		return Lacking(unit, "a volume that went anywhere")
	}
	return sum.As("drops, transfers, releases and what burned added up")
}

func (k *ledger) basis() string {
	if k.net {
		return "net gallons at 60 F"
	}
	return "gross gallons as said: no temperature of the load recorded"
}

// ofLoad is the balance of the load, of one product or of all.
//
//	unaccounted = load − prior drops − transferred − released − drained − burned −
//	              evaporated − gone − remaining
//
// where what burned, evaporated or is gone counts if it left the tank so.
func (k *ledger) ofLoad(product string) Balance {
	b := Balance{Of: "load", Product: orElse(product, "all"), Basis: k.basis(), NotRecorded: []string{}}
	b.add("load", 1, k.load(product), true)
	delivered, dropped := k.delivered(product)
	b.add("delivered before", -1, delivered, dropped)
	moved, any := k.transferred(product)
	b.add("transferred", -1, moved, any)
	released, sign := k.released(product)
	b.add("released", -1, released, sign)
	b.addLost(k, product, true, kinds.Drained)
	burned, fire := k.burned(product, true)
	b.add("burned", -1, burned, fire)
	b.addLost(k, product, true, kinds.Evaporated, kinds.Gone)
	b.add("remaining", -1, k.remaining(product), true)
	b.Aboard = b.total(k.unit(), "remaining").As("load less what is known to have gone")
	b.LeftOver = b.total(k.unit(), "released", kinds.Burned, kinds.Evaporated, kinds.Gone).As("load less drops, transfers and dips")
	b.AccountedFor = b.gone(k.unit())
	b.Unaccounted = b.total(k.unit()).As("balance of the load")
	b.Verdict = b.verdict()
	return b
}

// ofReleased is the balance of what was released.
//
//	unaccounted = released − recovered − sorbed − soil − evaporated − burned − gone
//
// Where no release was measured it starts from what the load balance leaves over, but
// not of one product of which nobody told a release.
func (k *ledger) ofReleased(product string, load Balance) Balance {
	b := Balance{Of: "released", Product: orElse(product, "all"), Basis: k.basis(), NotRecorded: []string{}}
	released, sign := k.released(product)
	untold := sign && !released.Known || !sign && product == every
	fromLoad := untold && load.LeftOver.Known
	if fromLoad {
		released = load.LeftOver.As("left over in the balance of the load; no release was measured")
	} else if !sign {
		released = k.lacking("how much was released")
	}
	b.add("released", 1, released, true)
	up, any := k.recovered(product)
	b.add("recovered", -1, up, any)
	sorbed, n := k.losses(k.v.Losses.Sorbed, product)
	b.add("sorbed", -1, sorbed, n > 0)
	soil, n := k.losses(k.v.Losses.Soil, product)
	b.add("soil", -1, soil, n > 0)
	burned, fire := k.burned(product, false)
	b.add("burned", -1, burned, fire)
	b.addLost(k, product, false, kinds.Evaporated, kinds.Gone)
	b.Aboard = Lacking(k.unit(), "no part of this balance")
	b.LeftOver, b.AccountedFor = b.Aboard, b.Aboard
	b.Unaccounted = b.total(k.unit()).As("balance of what was released")
	if fromLoad {
		b.Unaccounted.U = k.notTwice(b.Unaccounted.U, product)
	}
	b.Verdict = b.verdict()
	if fromLoad {
		b.Verdict += ", if all that is left over of the load was let out; no release was measured"
	}
	return b
}

// notTwice is the doubt of the balance of what was released where that is left over in
// the balance of the load: what a truck holds of one kind it holds less of the other,
// so that the doubt of the split between them falls out.
func (k *ledger) notTwice(u float64, product string) float64 {
	return math.Sqrt(math.Max(0, u*u+2*k.shared(k.drawnFor(product), k.takenUp(product))))
}

// verdict says in a sentence how the balance ends.
func (b *Balance) verdict() string {
	u := b.Unaccounted
	switch {
	case u.Known && u.Value <= -0.5:
		return overAccounted(u, -u.Value, "")
	case !u.Known && u.High <= -0.5:
		return overAccounted(u, -u.High, "at least ") + "; missing: " + strings.Join(distinct(u.Missing), ", ")
	case !u.Known && b.Aboard.Known && b.Aboard.Value <= -0.5:
		return overAccounted(b.Aboard, -b.Aboard.Value, "") + " before anything left aboard is counted"
	case !u.Known:
		return within(u)
	}
	return "unaccounted: " + within(u)
}

// overAccounted says by how much more went than there was, and inside what doubt.
func overAccounted(f Figure, by float64, bound string) string {
	text := "over-accounted by " + bound + gallons(by)
	if f.Known && !near(f.Low, f.High) {
		text += " (unaccounted " + between(f) + ")"
	}
	if f.U > 0 && by < 2*f.U {
		text += ", inside the doubt of ± " + gallons(f.U)
	}
	return text
}

// Balances returns the balances of the load and of what was released: first of
// everything, then product by product where there are several.
func (v *Volume) Balances(now time.Time) []Balance {
	return v.ledger(now).balances()
}

func (k *ledger) balances() []Balance {
	var out []Balance
	for _, p := range append([]string{every}, k.products()...) {
		load := k.ofLoad(p)
		out = append(out, load, k.ofReleased(p, load))
	}
	return out
}
