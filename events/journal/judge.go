package journal

import (
	"cmp"
	"fmt"
	"slices"

	"tankside/events"
)

// pick is an entry that the judge holds to be part of the log.
type pick struct {
	found
	inStore, inCopy bool
	followed        bool // an entry behind it carries its hash
}

// verdict is what the judge makes of the evidence.
type verdict struct {
	picks    []pick // the log, in chain order; gaps are entries lost in both copies
	left     []pick // versions that have no place in it
	findings []Finding
	behind   []pick // the end of the log that only the store has: the copy can be completed
	sureEnd  bool   // the last of picks is known to be the end of the log
}

// judge finds the log in the evidence of one incident. An entry is believed when it
// carries the hash of the one before it; of two that do, the one whose own hash the
// next entry carries, then the one the head knows, then the store's, whose records
// have a checksum of their own. clean says that the last stop was a clean one: then
// both copies have to be complete.
func judge(e *evidence, m mark, clean bool) verdict {
	byPlace := candidates(e)
	var v verdict
	for _, seq := range sortedPlaces(byPlace) {
		v.choose(seq, byPlace, m)
	}
	v.compare(e, m, clean)
	v.checkHead(e, m)
	v.findings = runs(v.findings)
	return v
}

// candidates gathers the versions of each entry from both copies.
func candidates(e *evidence) map[events.Seq][]pick {
	out := map[events.Seq][]pick{}
	for _, side := range []struct {
		fs      []found
		inStore bool
	}{{e.store, true}, {e.copy, false}} {
		for _, f := range side.fs {
			same := func(p pick) bool { return p.hash == f.hash }
			i := slices.IndexFunc(out[f.seq], same)
			if i < 0 {
				i = len(out[f.seq])
				out[f.seq] = append(out[f.seq], pick{found: f})
			}
			p := &out[f.seq][i]
			p.inStore = p.inStore || side.inStore
			if !side.inStore {
				p.inCopy, p.span = true, f.span
			}
		}
	}
	for seq := range out {
		for i := range out[seq] {
			p := &out[seq][i]
			p.followed = slices.ContainsFunc(out[seq+1], func(q pick) bool { return q.prev == p.hash })
		}
	}
	return out
}

// sortedPlaces is the places of which there is any version, in order.
func sortedPlaces(byPlace map[events.Seq][]pick) []events.Seq {
	out := make([]events.Seq, 0, len(byPlace))
	for seq := range byPlace {
		out = append(out, seq)
	}
	slices.Sort(out)
	return out
}

// choose takes the best version of the entry at seq into the log, if one is to be
// believed, and leaves the others.
func (v *verdict) choose(seq events.Seq, byPlace map[events.Seq][]pick, m mark) {
	cands := slices.Clone(byPlace[seq])
	slices.SortStableFunc(cands, func(a, b pick) int { return v.weight(b, m) - v.weight(a, m) })
	for i, c := range cands {
		if i == 0 && v.weight(c, m) >= believed {
			v.picks = append(v.picks, c)
			continue
		}
		v.left = append(v.left, c)
	}
}

// believed is the weight from which a version is taken.
const believed = 8

// weight says how well a version is borne out.
func (v *verdict) weight(p pick, m mark) int {
	w := 0
	prev, ok := v.before(p.seq)
	if ok && p.prev == prev {
		w += 16
	}
	if p.followed {
		w += 8
	}
	if p.seq == m.Seq && p.hash.String() == m.Hash {
		w += 8
	}
	if p.inStore && p.inCopy && !ok {
		w += 8 // behind a gap the two copies bear each other out
	}
	if p.inStore {
		w += 2
	}
	if p.inCopy {
		w++
	}
	return w
}

// before is the hash that the entry at seq has to carry, if the one before it is
// in the log.
func (v *verdict) before(seq events.Seq) (events.Hash, bool) {
	last, hash := events.Seq(0), events.Hash{}
	if n := len(v.picks); n > 0 {
		last, hash = v.picks[n-1].seq, v.picks[n-1].hash
	}
	return hash, seq == last+1
}

// compare says where the copies differ from the log and from each other.
func (v *verdict) compare(e *evidence, m mark, clean bool) {
	v.compareGaps(e)
	v.compareLinks(e)
	tail := v.tailOfStore()
	if !clean && len(v.left)+len(e.odd) == 0 {
		for tail < len(v.picks) && v.picks[tail].seq <= m.Seq {
			tail++ // the head knows that the copy had these
		}
		v.behind = v.picks[tail:]
	}
	v.compareSides(e)
	v.compareOrder(e)
	for _, p := range v.left {
		if p.inStore && p.inCopy {
			v.add(e, p.seq, InBoth, otherBytes, repairHint(e.incident))
		}
	}
}

// tailOfStore is the index of the first pick from which on only the store has them.
func (v *verdict) tailOfStore() int {
	i := len(v.picks)
	for i > 0 && v.picks[i-1].inStore && !v.picks[i-1].inCopy {
		i--
	}
	return i
}

// compareGaps names the entries that neither copy has.
func (v *verdict) compareGaps(e *evidence) {
	next := events.Seq(1)
	for _, p := range v.picks {
		if p.seq > next {
			v.findings = append(v.findings, Finding{Incident: e.incident, From: next, To: p.seq - 1, Place: InBoth,
				What: "missing from both", Fix: "the entries around it are whole; look in the folder aside and in archives"})
		}
		next = p.seq + 1
	}
}

// compareLinks names the entries whose bytes are not those that the next entry was
// chained to: no whole version of them is left.
func (v *verdict) compareLinks(e *evidence) {
	for i, p := range v.picks {
		if prev, ok := links(v.picks, i); ok && p.prev != prev {
			v.add(e, max(p.seq, 2)-1, InBoth, "no whole version left; it is kept as it was found", "look in the folder aside and in archives")
		}
	}
}

// links is the hash that the pick at i has to carry, where that is known.
func links(picks []pick, i int) (events.Hash, bool) {
	if i == 0 {
		return events.Hash{}, picks[0].seq == 1
	}
	return picks[i-1].hash, picks[i].seq == picks[i-1].seq+1
}

// compareOrder finds entries that a copy holds twice or out of order. What is not of
// the log has its own finding.
func (v *verdict) compareOrder(e *evidence) {
	for _, side := range e.sides() {
		var last found
		for _, f := range side.fs {
			if _, of := v.pickAt(f.seq, f.hash); !of {
				continue
			}
			if last.seq > 0 && f.seq <= last.seq {
				v.add(e, f.seq, side.place, "held twice or out of order", repairHint(e.incident))
			}
			last = f
		}
	}
}

// checkHead compares the end of the log with the head.
func (v *verdict) checkHead(e *evidence, m mark) {
	v.sureEnd = len(v.picks) > 0 || len(v.left)+len(e.odd) == 0
	for _, l := range m.Lost {
		v.findings = append(v.findings, Finding{Incident: e.incident, From: l.From, To: l.To, Place: InBoth, Note: true,
			What: "lost; told at the repair", Fix: "entries now under these numbers were made later"})
	}
	last := events.Seq(0)
	if n := len(v.picks); n > 0 {
		last = v.picks[n-1].seq
	}
	if m.Seq > last {
		v.sureEnd = false
		v.findings = append(v.findings, Finding{Incident: e.incident, From: last + 1, To: m.Seq, Place: InBoth,
			What: fmt.Sprintf("missing from both, though the head record knows of %d entries", m.Seq), Fix: repairHint(e.incident)})
		return
	}
	i, ok := slices.BinarySearchFunc(v.picks, m.Seq, func(p pick, s events.Seq) int { return cmp.Compare(p.seq, s) })
	if m.Seq > 0 && ok && v.picks[i].hash.String() != m.Hash {
		v.add(e, m.Seq, InHead, "knows another hash than both copies have", repairHint(e.incident))
	}
}

// add appends a finding on one entry.
func (v *verdict) add(e *evidence, seq events.Seq, place Place, what, fix string) {
	v.findings = append(v.findings, Finding{Incident: e.incident, From: seq, To: seq, Place: place, What: what, Fix: fix})
}
