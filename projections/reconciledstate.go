package projections

import (
	"math"
	"slices"

	"tankside/projections/calc/reconcile"
)

// Reconciled is the test of the readings of one truck, or of a leg for itself, as a
// whole.
type Reconciled struct {
	Of        []string   `json:"of"`
	Legs      []string   `json:"legs"`
	Verdict   string     `json:"verdict"` // agree, disagree, nothing to check, no answer
	ChiSquare *float64   `json:"chi_square"`
	DF        int        `json:"df"`       // independent checks
	P         *float64   `json:"p"`        // share of sound readings that would disagree more
	Limit     *float64   `json:"limit"`    // of chi-square
	Suspects  [][]string `json:"suspects"` // of each group one reading is wrong, and nobody can tell which
	// Untold lists what cannot be told from what was logged.
	Untold []string `json:"untold"`
	// AtZero lists amounts that the readings put below nothing, and that were held at
	// nothing; the test is then approximate.
	AtZero []string `json:"at_zero"`
	Why    string   `json:"why,omitempty"` // what is left out, or why there is no answer
}

// Instead is an answer with a reading put back that is set aside.
type Instead struct {
	Of        string  `json:"of"`
	Net       Figure  `json:"net"`
	ChiSquare float64 `json:"chi_square"`
}

// state is the network as the JSON shows it.
func (n *network) state() Reconciled {
	s := Reconciled{Of: n.names(), Legs: []string{}, Verdict: "no answer", Suspects: [][]string{}, Untold: []string{}, AtZero: []string{}, Why: n.why}
	for _, l := range n.legs {
		s.Legs = append(s.Legs, l.ID)
	}
	r := n.result
	if r == nil {
		return s
	}
	s.Verdict, s.DF, s.P, s.Limit = r.Verdict.String(), r.DF, finite(r.P()), finite(r.Limit)
	if r.DF > 0 {
		s.ChiSquare = finite(r.ChiSquare)
	}
	for _, group := range r.Suspects {
		s.Suspects = append(s.Suspects, n.streamNames(group))
	}
	for i, e := range r.Estimates {
		if e.Standing == reconcile.Untold {
			s.Untold = append(s.Untold, n.problem.Streams[i].Name)
		}
	}
	s.AtZero = append(s.AtZero, n.streamNames(r.Pinned)...)
	return s
}

func (n *network) streamNames(streams []int) (out []string) {
	for _, i := range streams {
		out = append(out, n.problem.Streams[i].Name)
	}
	return out
}

// reconciliation adds to the state what making the readings agree came to.
func (s *VolumeState) reconciliation(k *ledger) {
	for _, n := range k.nets {
		s.Reconciled = append(s.Reconciled, n.state())
		if n.result == nil {
			continue
		}
		for _, a := range n.result.SetAside {
			s.setAside(n, a)
		}
	}
}

// setAside adds what the tests set aside, and to what a person set aside what the
// answer would be with it.
func (s *VolumeState) setAside(n *network, a reconcile.SetAside) {
	i := slices.IndexFunc(n.reads, func(r reading) bool { return r.stream == a.Stream })
	r := n.reads[i]
	what := n.problem.Streams[a.Stream].Name
	j := slices.IndexFunc(s.SetAside, func(o SetAside) bool { return o.What == what })
	if j < 0 {
		g := r.gross
		g.From = r.seen.From
		s.SetAside = append(s.SetAside, SetAside{What: what, Gross: g, Why: a.Why, At: n.newestAt()})
		j = len(s.SetAside) - 1
	}
	s.SetAside[j].Away, s.SetAside[j].With = finite(a.Z), n.with(a)
}

// with is what the receivers, or the leg where there is none, would hold with a
// reading put back.
func (n *network) with(a reconcile.SetAside) []Instead {
	out := []Instead{}
	i := slices.IndexFunc(n.reads, func(r reading) bool { return r.stream == a.Stream })
	from := union(n.from(), n.reads[i].seen.From)
	add := func(of string, stream int) {
		v, sd := a.With.Sum(one(stream))
		f := floor(Lacking(netUnit, "readings that tell it"))
		if !math.IsNaN(v) {
			f = Range(v-2*sd, v, v+2*sd, netUnit, "with what is set aside put back", from...)
			f.U = sd
		}
		out = append(out, Instead{of, f, a.With.ChiSquare})
	}
	for _, r := range n.receivers {
		if len(r.legs) > 0 {
			add(r.ID, n.inside[r])
		}
	}
	if len(out) == 0 {
		for _, l := range n.legs {
			add("leg "+l.ID, n.product[l])
		}
	}
	return out
}
