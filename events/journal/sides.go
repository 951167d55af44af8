package journal

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tankside/events"
)

// otherBytes is said of a version that has no place in the log.
const otherBytes = "other bytes than the chain of hashes asks for"

// side is one of the two copies.
type side struct {
	place Place
	fs    []found
	other string // what the other copy is called
}

func (e *evidence) sides() [2]side {
	return [2]side{{InStore, e.store, "second copy"}, {InCopy, e.copy, "store"}}
}

// stranger is what a copy holds that is not of the log.
type stranger struct {
	at  uint64 // where in the copy
	seq events.Seq
	why string // why it is no entry at all, "" for one that is
}

// compareSides names, copy by copy, the entries that are missing from it and what it
// holds that is not of the log. A stranger that stands where a missing entry should
// is that entry with its bytes changed: one finding, not two.
func (v *verdict) compareSides(e *evidence) {
	for _, s := range e.sides() {
		at, strangers := v.sort(e, s)
		upper := v.upper(at)
		var foreign []stranger
		lower := uint64(0)
		for i, p := range v.picks {
			if here, ok := at[p.seq]; ok {
				lower = max(lower, here)
				continue
			}
			if s.place == InCopy && i >= len(v.picks)-len(v.behind) {
				continue
			}
			for len(strangers) > 0 && strangers[0].at <= lower {
				foreign, strangers = append(foreign, strangers[0]), strangers[1:]
			}
			what := "missing; the " + s.other + " has it"
			if len(strangers) > 0 && strangers[0].at < upper[i] {
				what, lower, strangers = strangers[0].what(), strangers[0].at, strangers[1:]
			}
			v.add(e, p.seq, s.place, what, repairHint(e.incident))
		}
		v.foreign(e, s.place, append(foreign, strangers...))
	}
}

// what is said of a stranger that stands where an entry should.
func (x stranger) what() string {
	if x.why == "" {
		return otherBytes
	}
	return "cannot be read as an entry any more: " + x.why
}

// foreign names what a copy holds beside the log.
func (v *verdict) foreign(e *evidence, place Place, strangers []stranger) {
	for _, x := range strangers {
		if x.why == "" {
			v.add(e, x.seq, place, otherBytes, repairHint(e.incident))
			continue
		}
		v.findings = append(v.findings, Finding{Incident: e.incident, Place: place, Fix: repairHint(e.incident),
			What: fmt.Sprintf("what stands at place %d is no entry of this log: %s", x.at, x.why)})
	}
}

// sort parts what a copy holds into entries of the log, by where they stand, and
// strangers in the order in which they stand. What both copies hold alike is no
// stranger to either.
func (v *verdict) sort(e *evidence, s side) (at map[events.Seq]uint64, strangers []stranger) {
	at, both := make(map[events.Seq]uint64, len(s.fs)), map[events.Hash]bool{}
	for _, p := range v.left {
		both[p.hash] = p.inStore && p.inCopy
	}
	for _, f := range s.fs {
		if _, of := v.pickAt(f.seq, f.hash); of {
			at[f.seq] = f.at
		} else if !both[f.hash] {
			strangers = append(strangers, stranger{at: f.at, seq: f.seq})
		}
	}
	for _, o := range e.odd {
		if o.place == s.place {
			strangers = append(strangers, stranger{at: o.at, why: o.why})
		}
	}
	slices.SortFunc(strangers, func(a, b stranger) int { return cmp.Compare(a.at, b.at) })
	return at, strangers
}

// upper is, for each entry of the log, where the next one stands that the copy has.
func (v *verdict) upper(at map[events.Seq]uint64) []uint64 {
	out, next := make([]uint64, len(v.picks)), uint64(math.MaxUint64)
	for i, p := range slices.Backward(v.picks) {
		out[i] = next
		if here, ok := at[p.seq]; ok {
			next = here
		}
	}
	return out
}

// pickAt finds an entry of the log by its number and hash.
func (v *verdict) pickAt(seq events.Seq, hash events.Hash) (int, bool) {
	i, ok := slices.BinarySearchFunc(v.picks, seq, func(p pick, s events.Seq) int { return cmp.Compare(p.seq, s) })
	return i, ok && v.picks[i].hash == hash
}
