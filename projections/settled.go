package projections

import (
	"slices"

	"tankside/events"
	"tankside/events/kinds"
)

// asSaid is the product as its entries were first said, with none of them put right or
// taken back and before anybody ruled: what was asked about before it was answered.
type asSaid struct {
	volume Volume
	fixed  map[events.Seq][]events.Seq // by entry, what put it right or took it back
}

// firstSaid returns an entry as it was first said and what put it right or took it back
// since; nil where it stands as it was said.
func firstSaid(e *events.Entry) (was *events.Entry, by []events.Seq) {
	for _, c := range e.PutRight {
		by = append(by, c.Seq)
	}
	if e.Struck != nil {
		by = append(by, e.Struck.Seq)
	}
	if len(by) == 0 || e.Joined != nil {
		return nil, nil
	}
	first := *e
	first.Payload, first.Occurred, first.Struck = e.Said, e.SaidWhen, nil
	return &first, by
}

// asSaidOf folds the product of a timeline as it was first said; nil where nothing was
// put right that the product is made of and nobody ruled, since nothing that was asked
// about is gone then.
func asSaidOf(c *events.Catalogue, t *events.Timeline, options []Option) *asSaid {
	var inc Incident
	for _, o := range options {
		o(&inc)
	}
	fed := feeding(c, []named{{"volume", &inc.Volume}})
	out := &asSaid{fixed: map[events.Seq][]events.Seq{}}
	ruled := false
	for _, e := range t.Entries {
		if _, by := firstSaid(e); by != nil && len(fed(e.Said.Kind())) > 0 {
			out.fixed[e.Seq] = by
		}
		ruled = ruled || isRuling(e)
	}
	if len(out.fixed) == 0 && !ruled {
		return nil
	}
	for _, e := range t.Entries {
		if first, _ := firstSaid(e); first != nil {
			e = first
		}
		if e.Live() && !isRuling(e) {
			for _, f := range fed(e.Payload.Kind()) {
				f.Apply(e)
			}
		}
	}
	out.volume = inc.Volume
	return out
}

func isRuling(e *events.Entry) bool { _, ok := e.Payload.(kinds.DoubtSettled); return ok }

// answeredSince are the questions that are no longer asked because an entry they stood
// on was put right or taken back, or because somebody ruled, with the entries that did.
func (k *ledger) answeredSince(open []Question) (out []Question) {
	if k.v.was == nil {
		return nil
	}
	was := k.v.was()
	if was == nil {
		return nil
	}
	before, rulings := was.volume.ledger(k.now), k.rulings()
	for _, q := range before.asking() {
		if slices.ContainsFunc(open, q.same) {
			continue
		}
		by := q.ruledOn(rulings)
		for _, s := range append(slices.Clone(q.on), q.Seq) {
			by = union(by, was.fixed[s])
		}
		if len(by) > 0 {
			q.Settled = by
			out = append(out, q)
		}
	}
	k.v.whenAnswered(out)
	return out
}

// decision is what somebody ruled about a leg or truck.
type decision struct {
	about string
	seq   events.Seq
}

// rulings lists what was decided about legs and trucks.
func (k *ledger) rulings() (out []decision) {
	add := func(about string, decided ...[]setAside) {
		for _, o := range slices.Concat(decided...) {
			out = append(out, decision{about, o.seq})
		}
	}
	for _, l := range k.v.Legs {
		add("leg "+l.ID, l.out, l.kept)
	}
	for _, r := range k.v.Receivers {
		add(r.ID, r.out, r.kept)
	}
	return out
}

// ruledOn lists the rulings on the legs and trucks that a question is about.
func (q Question) ruledOn(all []decision) (by []events.Seq) {
	for _, o := range all {
		if o.seq > q.Seq && slices.Contains(q.names, o.about) {
			by = union(by, []events.Seq{o.seq})
		}
	}
	return by
}

// whenAnswered notes of questions that were settled when the post learned of the newest
// of the entries that did.
func (v *Volume) whenAnswered(questions []Question) {
	by := map[events.Seq][]*Question{}
	for i := range questions {
		for _, s := range questions[i].Settled {
			by[s] = append(by[s], &questions[i])
		}
	}
	if len(by) == 0 || v.log == nil {
		return
	}
	for _, e := range v.log.Entries {
		for _, q := range by[e.Seq] {
			if at := e.KnownAt(); !at.Before(q.SettledAt.Best) {
				q.SettledAt = Moment{Best: at, Earliest: at, Latest: at, From: []events.Seq{e.Seq}}
			}
		}
	}
}
