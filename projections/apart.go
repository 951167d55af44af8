package projections

import (
	"fmt"
	"math"
	"slices"

	"tankside/events"
	"tankside/projections/calc/reconcile"
	"tankside/projections/calc/transfer"
)

// standApart sets aside what a leg can hardly have moved, until somebody answers: a
// meter read in another unit than it started in, more than the compartment held. A
// number that is being asked about must not make up the headline.
func (k *ledger) standApart() {
	for _, c := range k.holds {
		k.overdrawn = append(k.overdrawn, k.askCompartment(c)...)
	}
	for _, l := range k.v.Legs {
		for _, q := range askUnit(l) {
			k.apart(k.legs[l], "meter", math.Inf(1), q)
		}
	}
}

// apart sets a measurement of a leg aside because of a question, unless a person stands
// by it. In its place stands what is left in the compartment, at the most.
func (k *ledger) apart(s *LegState, method string, most float64, q Question) {
	i := slices.IndexFunc(s.Measured, func(m Measurement) bool { return m.Method == method && m.Gross.Known && m.SetAside == "" })
	if i < 0 || s.vouched(method, q.Seq) != nil {
		return
	}
	m := &s.Measured[i]
	m.SetAside, m.asked = "asked about, "+q.What, q.Seq
	s.asks = append(s.asks, SetAside{What: "leg " + s.ID + ", " + method, Gross: m.Gross, Why: m.SetAside, At: q.At, Asked: true, With: []Instead{{Of: "leg " + s.ID, Net: k.pick(m.Gross, m.Net)}}})
	g := noGross(fmt.Sprintf("an answer about the %s of leg %s (entry %d)", gallons(m.Gross.Value), s.ID, q.Seq))
	g.High, g.From = most, m.Gross.From
	s.most = &Measurement{Gross: g, Net: k.v.products.liquid(s.Product, k.gravity, s.Temp).net(g)}
	choose(s.Measured, k.v.trust())
	s.choose()
	s.volumes()
}

// vouched is the ruling by which a person stands by a way of measuring the leg, made
// after the entry that is asked about.
func (l *Leg) vouched(method string, since events.Seq) *setAside {
	for i := range l.kept {
		if l.kept[i].method == method && l.kept[i].seq > since {
			return &l.kept[i]
		}
	}
	return nil
}

// waits reports whether nothing but a number that is asked about says what a leg moved.
func (k *ledger) waits(l *Leg) bool {
	n := k.netOf[l]
	told := k.net && n != nil && n.checked() && n.told(n.product[l])
	return k.legs[l].most != nil && !k.best(l).Gross.Known && !told
}

// withWaiting adds to what moved that legs wait for an answer: not their numbers, but
// what they can have moved at the most, and which entries are meant.
func (k *ledger) withWaiting(f Figure, legs []*Leg) Figure {
	for _, l := range legs {
		s := k.legs[l]
		most := k.pick(s.most.Gross, s.most.Net)
		f.High, f.From = f.High+most.High, union(f.From, most.From)
		f.Method = join(f.Method, fmt.Sprintf("without e%d (asked about)", s.asked()))
	}
	return f
}

// asked is the entry of the newest number of a leg that is asked about, 0 for none.
func (s *LegState) asked() (seq events.Seq) {
	for _, m := range s.Measured {
		seq = max(seq, m.asked)
	}
	return seq
}

// askCompartment asks about the legs by which more came out of a compartment than it
// held. What they say stands apart, except where the load may be what is wrong: another
// measurement of the leg says much the same, or too many legs are over.
func (k *ledger) askCompartment(c string) (out []Question) {
	held := k.v.Load.part(c).Gross
	if !held.Known {
		return nil
	}
	limit, sum := math.Max((1+overHeld)*held.Value, held.High), 0.0
	many := k.over(c, limit) > slips
	for _, l := range k.drawn[c] {
		s := k.legs[l]
		q := Question{Seq: 0}
		for s.best.Gross.Known && sum+s.best.Gross.Value > limit {
			most := held.Value - sum
			if q.Seq == 0 {
				q = k.tooMuch(s, c, sum, held.Value)
				out = append(out, q)
			}
			if many {
				return out
			}
			before := s.best.Method
			if s.second() == nil {
				k.apart(s, before, math.Max(0, limit-sum), q)
			}
			if s.best.Method == before || most < 0 {
				break
			}
		}
		if s.best.Gross.Known {
			sum += s.best.Gross.Value
		}
	}
	return out
}

// slips is how many legs of one compartment may be over before it is taken that not
// they are wrong but its load (judgement).
const slips = 2

// over counts the legs by which a compartment would have given more than a limit.
func (k *ledger) over(c string, limit float64) (n int) {
	sum := 0.0
	for _, l := range k.drawn[c] {
		switch g := k.best(l).Gross; {
		case !g.Known:
		case sum+g.Value > limit:
			n++
		default:
			sum += g.Value
		}
	}
	return n
}

// tooMuch is the question about a leg by which more came out of a compartment than it
// held, sum of it before the leg.
func (k *ledger) tooMuch(s *LegState, c string, sum, held float64) Question {
	g := s.best.Gross
	q := Question{
		Seq: lastOf(g.From), At: s.Stop, About: c, What: fmt.Sprintf("%s out of %s, which held %s", gallons(sum+g.Value), c, gallons(held)),
		Why:     "more than there was, on leg " + s.ID,
		WayOut:  "ask for the reading of leg " + s.ID + " and its unit again, and put it right with a correction; or the load of " + c + " is wrong",
		Settled: s.vouched(s.best.Method, lastOf(g.From)).settles(),
		on:      g.From, names: []string{"leg " + s.ID},
	}
	if m := s.second(); m != nil && lastOf(m.Gross.From) > q.Seq {
		q.Settled = union(q.Settled, []events.Seq{lastOf(m.Gross.From)})
	}
	if q.At.IsZero() {
		q.At = s.Start
	}
	most := held - sum
	return q.suspecting(transfer.Slips(transfer.Volume, g.Value, transfer.Range{Low: 0.5 * most, Best: most, High: (1 + overHeld) * most}), "gal")
}

// muchTheSame is how far two measurements of a leg may lie apart, as a share, for one to
// second the other (judgement).
const muchTheSame = 0.1

// second is another measurement of a leg that says much the same as the one that
// counts, nil where there is none.
func (s *LegState) second() *Measurement {
	i := slices.IndexFunc(s.Measured, func(m Measurement) bool {
		return !m.Counts && m.SetAside == "" && m.Gross.Known && math.Abs(m.Gross.Value-s.best.Gross.Value) <= muchTheSame*s.best.Gross.Value
	})
	if i < 0 {
		return nil
	}
	return &s.Measured[i]
}

// settles lists the entry of a ruling; none where there is no ruling.
func (o *setAside) settles() []events.Seq {
	if o == nil {
		return nil
	}
	return []events.Seq{o.seq}
}

// answered lists the entry that answered what is asked about the meter of a leg: a
// ruling on it, or the newest reading of its truck with which all of it agrees.
func (k *ledger) answered(l *Leg, since events.Seq) []events.Seq {
	for _, o := range slices.Concat(l.out, l.kept) {
		if o.method == "meter" && o.seq > since {
			return []events.Seq{o.seq}
		}
	}
	n := k.netOf[l]
	if n == nil || n.result == nil || n.result.Verdict != reconcile.Agree {
		return nil
	}
	checked, newest := false, since
	for _, r := range n.reads {
		switch z := n.result.Estimates[r.stream].Z; {
		case n.aside(r.stream):
		case r.leg == l && r.method == "meter":
			checked = math.Abs(z) <= n.limit()
		default:
			newest = max(newest, lastOf(r.seen.From))
		}
	}
	if checked && newest > since {
		return []events.Seq{newest}
	}
	return nil
}

// withAsked says what all that was transferred would come to with each number that is
// asked about.
func (s *VolumeState) withAsked() {
	for i := range s.SetAside {
		if a := &s.SetAside[i]; a.Asked && s.Transferred.Known {
			a.With = append(a.With, Instead{Of: "transferred", Net: s.Transferred.Plus(a.With[0].Net).As("with what is asked about")})
		}
	}
}
