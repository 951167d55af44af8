package events

import (
	"fmt"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// TestGrownIsMadeAnew holds a timeline that grew entry by entry to the one made of all
// of them, whatever the entries do to each other, and what it grew from to what it was.
func TestGrownIsMadeAnew(t *testing.T) {
	grown := 0
	rapid.Check(t, func(rt *rapid.T) {
		s := newScribe(t)
		p := tape(rapid.SliceOfN(rapid.Byte(), 0, 120).Draw(rt, "tape"))
		s.play(&p)
		tl := s.c.NewTimeline(nil, View{})
		for n := range s.log {
			before := s.c.NewTimeline(s.log[:n], View{})
			whole := s.c.NewTimeline(s.log[:n+1], View{})
			next, e := tl.With(s.c, s.log[n])
			if !reflect.DeepEqual(tl, before) {
				rt.Fatalf("entry %d changed the timeline it was added to", n+1)
			}
			if next == nil {
				tl = whole
				continue
			}
			grown++
			if e.Seq != s.log[n].Seq || !reflect.DeepEqual(next, whole) {
				rt.Fatalf("with entry %d the timeline is %v, made anew %v", n+1, seqs(next), seqs(whole))
			}
			tl = next
		}
	})
	if grown == 0 {
		t.Error("no timeline grew")
	}
}

// TestNamedBeforeItCame: an entry that others name already changes them.
func TestNamedBeforeItCame(t *testing.T) {
	id := func(n int) ID { return ContentID(at(10), fmt.Sprint(n)) }
	for name, p := range map[string]func(*scribe){
		"struck":    func(s *scribe) { s.write(10, undone{Entry: id(1)}) },
		"put right": func(s *scribe) { s.write(10, fixed{Entry: id(1), Key: "meter", Now: "7 gal"}) },
		"placed before": func(s *scribe) {
			s.write(10, meter("L1", 1), func(d *Draft) { d.Occurred = When{Form: Before, Entry: id(1)} })
		},
		"second witness": func(s *scribe) { s.write(10, merged{Entry: id(1), With: id(0)}) },
	} {
		s := newScribe(t)
		p(s)
		tl := s.c.NewTimeline(s.log, View{})
		if next, _ := tl.With(s.c, s.write(10, meter("L1", 2))); next != nil {
			t.Errorf("%s: the timeline grew by an entry that was named before it came", name)
		}
		if next, _ := tl.With(s.c, s.log[0]); next != nil {
			t.Errorf("%s: the timeline grew by an entry that it holds", name)
		}
	}
}

// TestGrowsAtItsEnd: an entry of a device whose clock was checked, and one recorded
// before what is there already, have the timeline made anew.
func TestGrowsAtItsEnd(t *testing.T) {
	s := newScribe(t)
	first, last := s.write(10, meter("L1", 1)), s.write(11, meter("L1", 2))
	if next, _ := s.c.NewTimeline([]Recorded{last}, View{}).With(s.c, first); next != nil {
		t.Error("the timeline grew by an entry that was recorded before its last")
	}
	s.write(12, checkedBy(250), func(d *Draft) { d.Where = "Monitor M2" })
	tl := s.c.NewTimeline(s.log, View{})
	if next, _ := tl.With(s.c, s.write(13, meter("L1", 3), func(d *Draft) { d.Channel, d.ObservedBy = Device, "Monitor M2" })); next != nil {
		t.Error("the timeline grew by an entry of a device whose clock was checked")
	}
	if next, _ := tl.With(s.c, s.write(14, meter("L1", 4))); next == nil {
		t.Error("the timeline did not grow by an entry of no device")
	}
}
