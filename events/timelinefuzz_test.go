package events

import (
	"slices"
	"testing"
	"time"
)

// tape hands out the fuzzer's bytes; when they are used up it hands out zeros.
type tape []byte

func (p *tape) next(n int) int {
	if len(*p) == 0 || n <= 0 {
		return 0
	}
	b := (*p)[0]
	*p = (*p)[1:]
	return int(b) % n
}

// play writes a log as the tape says: measurements, corrections of facts, of times
// and of corrections, strikes, joins, clock checks, entries placed before others.
func (s *scribe) play(p *tape) {
	anID := func() ID {
		if len(s.log) == 0 {
			return NewID(at(0))
		}
		return s.log[p.next(len(s.log))].ID
	}
	for len(*p) > 0 && len(s.log) < 60 {
		m := float64(p.next(30))
		switch p.next(8) {
		case 0:
			s.write(m, undone{Entry: anID()})
		case 1:
			s.write(m, fixed{Entry: anID(), Key: []string{"meter", TimeKey, "now", "leg"}[p.next(4)], Now: []string{"7 gal", "22:11", "nonsense", "about 22:05"}[p.next(4)]})
		case 2:
			s.write(m, fixed{Said: "pumped L1", Was: "3 gal", Now: "4 gal"})
		case 3:
			s.write(m, merged{Entry: anID(), With: anID()})
		case 4:
			s.write(m, checkedBy(float64(p.next(200)-100)), func(d *Draft) { d.Where = "M2" })
		case 5:
			id := anID()
			s.write(m, meter("L1", 1), func(d *Draft) { d.Occurred = When{Form: Before, Entry: id} })
		default:
			teller := []string{"a", "b", "M2"}[p.next(3)]
			s.write(m, meter("L1", float64(p.next(5))), func(d *Draft) {
				d.ObservedBy = teller
				if teller == "M2" {
					d.Channel = Device
				}
			})
		}
	}
}

// FuzzTimeline holds any log to what must be true of every timeline: all entries
// are on it once, in the order of their times, whatever acts on an entry was
// recorded after it, and the order of arrival does not matter.
func FuzzTimeline(f *testing.F) {
	f.Add([]byte{})
	f.Add([]byte{5, 6, 0, 1, 9, 0, 0, 3, 1, 0, 1, 4, 5, 0, 7, 6, 1, 1, 8, 3, 0, 1})
	f.Add([]byte("strike the strike of a correction of a correction, before itself"))
	f.Fuzz(func(t *testing.T, b []byte) {
		s := newScribe(t)
		p := tape(b)
		s.play(&p)
		tl := s.c.NewTimeline(s.log, View{})
		if len(tl.Entries) != len(s.log) {
			t.Fatalf("%d entries recorded, %d on the timeline", len(s.log), len(tl.Entries))
		}
		seen := map[Seq]bool{}
		for i, e := range tl.Entries {
			if seen[e.Seq] || e.Time().IsZero() || i > 0 && e.Time().Before(tl.Entries[i-1].Time()) {
				t.Fatalf("place %d: entry %d at %v after %v, seen before %v", i, e.Seq, e.Time(), tl.Entries[max(0, i-1)].Time(), seen[e.Seq])
			}
			seen[e.Seq] = true
			if e.Struck != nil && e.Struck.Seq <= e.Seq || e.Joined == e || e.Joined != nil && !slices.Contains(e.Joined.Witnesses, e) {
				t.Fatalf("entry %d: struck by %v, joined to %v", e.Seq, e.Struck, e.Joined)
			}
		}
		backwards := slices.Clone(s.log)
		slices.Reverse(backwards)
		for i, e := range s.c.NewTimeline(backwards, View{}).Entries {
			if o := tl.Entries[i]; o.Seq != e.Seq || o.Live() != e.Live() || s.c.Line(o.Payload) != s.c.Line(e.Payload) {
				t.Fatalf("place %d: entry %d, read backwards entry %d", i, o.Seq, e.Seq)
			}
		}
		s.c.NewTimeline(s.log, View{AsOf: at(10), KnownAt: at(20)})
		if end := tl.End(); end.IsZero() != (len(s.log) == 0) || end.After(at(31).Add(25*time.Hour)) {
			t.Fatalf("the view ends at %v", end)
		}
	})
}
