package events

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// seqs lists the places of the entries that count, in order.
func seqs(t *Timeline) (out []Seq) {
	for e := range t.Live() {
		out = append(out, e.Seq)
	}
	return out
}

func same[T comparable](t *testing.T, what string, got, want []T) {
	t.Helper()
	ok := len(got) == len(want)
	for i := 0; ok && i < len(got); i++ {
		ok = got[i] == want[i]
	}
	if !ok {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

func newScribe(t testing.TB) *scribe { return &scribe{t: t, c: testCatalogue(t)} }

func TestLateEntryStandsWhereItHappened(t *testing.T) {
	s := newScribe(t)
	s.write(0, meter("L1", 0))
	s.write(30, meter("L1", 675))
	s.write(10, meter("L1", 338), func(d *Draft) { d.Reported = at(40) })
	tl := s.c.NewTimeline(s.log, View{})
	same(t, "order", seqs(tl), []Seq{1, 3, 2})
	if d := tl.Find(s.log[2].ID).Delay(); d != 30*time.Minute {
		t.Errorf("the late entry was told after %v, want 30m", d)
	}
	same(t, "known at minute 35", seqs(s.c.NewTimeline(s.log, View{KnownAt: at(35)})), []Seq{1, 2})
	same(t, "as of minute 20", seqs(s.c.NewTimeline(s.log, View{AsOf: at(20)})), []Seq{1, 3})
}

func TestClockCheckMovesDeviceTimes(t *testing.T) {
	s := newScribe(t)
	dev := func(d *Draft) {
		d.Channel, d.ObservedBy, d.Reported = Device, "Monitor M2", d.Occurred.At.Add(-4*time.Minute)
	}
	r := s.write(37+10.0/60, meter("L1", 9), dev)
	s.write(60, checkedBy(250), func(d *Draft) { d.Where = "Monitor M2" })
	s.write(37, meter("L1", 8))
	e := s.c.NewTimeline(s.log, View{}).Find(r.ID)
	if want := at(33); !e.Time().Equal(want) || !e.SaidWhen.At.Equal(at(37+10.0/60)) || !e.Occurred.Hard {
		t.Errorf("corrected to %v (stamped %v), want %v", e.Time(), e.SaidWhen.At, want)
	}
	unknown := s.c.NewTimeline(s.log, View{KnownAt: at(50)}).Find(r.ID)
	if unknown.ClockOff != 0 {
		t.Errorf("before the check was told the clock was taken to be off by %v, want 0", unknown.ClockOff)
	}
}

func TestBeforeAnEntry(t *testing.T) {
	s := newScribe(t)
	a := s.write(10, meter("L1", 5))
	s.write(5, meter("L1", 4))
	before := func(id ID) func(*Draft) {
		return func(d *Draft) { d.Occurred = When{Form: Before, Entry: id}; d.Reported = at(50) }
	}
	b := s.write(50, meter("L2", 1), before(a.ID))
	s.write(50, meter("L3", 1), before(b.ID))
	s.write(50, meter("L4", 1), before(NewID(at(0))))
	same(t, "order", seqs(s.c.NewTimeline(s.log, View{})), []Seq{2, 4, 3, 1, 5})
}

func checkedBy(seconds float64) checked {
	k := checked{}
	k.Ahead.Qual, k.Ahead.Best, k.Ahead.Unit = "=", seconds, "s"
	return k
}

func TestDayHasNoMidnight(t *testing.T) {
	w := OnDay(at(0))
	if w.At.Hour() == 0 || !w.Soft() || w.Latest().Sub(w.Earliest()) != 24*time.Hour-time.Second {
		t.Errorf("a day is %v to %v with best %v", w.Earliest(), w.Latest(), w.At)
	}
}

// A correction that named the wrong entry can be pointed at the right one.
// The clock of a device is set right once: a person who put a time right has done it.
func TestClockCheckLeavesATimePutRight(t *testing.T) {
	s := newScribe(t)
	r := s.write(37, meter("L1", 9), func(d *Draft) { d.Channel, d.ObservedBy = Device, "Monitor M2" })
	s.write(60, checkedBy(250), func(d *Draft) { d.Where = "Monitor M2" })
	s.write(61, fixed{Entry: r.ID, Key: TimeKey, Now: "22:33"})
	if e := s.c.NewTimeline(s.log, View{}).Find(r.ID); !e.Time().Equal(at(33)) || e.ClockOff != 0 {
		t.Errorf("put right to 22:33 it stands at %v, clock off by %v; want 22:33 and 0", e.Time(), e.ClockOff)
	}
}

// Whichever of two joined entries is taken back, the other still counts.
// What could not act says why; nothing stands there as if it had been done.
// Two crews that each said "100 gal, on the 14th" did not have to mean one thing.
// A chain of "before" stands in its own order, whichever was recorded first.
func TestBeforeInAChain(t *testing.T) {
	s := newScribe(t)
	before := func(n int) func(*Draft) {
		return func(d *Draft) { d.Occurred = When{Form: Before, Entry: ContentID(at(10), fmt.Sprint(n))} }
	}
	s.write(10, meter("L1", 1), before(3)) // 1 before 4
	s.write(10, meter("L2", 1), before(0)) // 2 before 1
	s.write(10, meter("L3", 1))
	s.write(10, meter("L4", 1))
	same(t, "order", seqs(s.c.NewTimeline(s.log, View{})), []Seq{2, 1, 3, 4})
}

func TestBeforeInACircle(t *testing.T) {
	s := newScribe(t)
	before := func(n int) func(*Draft) {
		return func(d *Draft) { d.Occurred = When{Form: Before, Entry: ContentID(at(10), fmt.Sprint(n))} }
	}
	s.write(10, meter("L1", 1), before(1))
	s.write(10, meter("L2", 1), before(2))
	s.write(10, meter("L3", 1), before(0))
	s.write(10, meter("L4", 1), before(3)) // before itself
	tl := s.c.NewTimeline(s.log, View{})
	same(t, "order", seqs(tl), []Seq{1, 2, 3, 4})
	for _, seq := range []Seq{3, 4} {
		e := tl.Find(s.log[seq-1].ID)
		if marks := strings.Join(e.Marks, "; "); !e.Time().Equal(at(11)) || !strings.Contains(marks, "said to be before it") {
			t.Errorf("entry %d stands at %v with marks %q, want when it was told and a mark", seq, e.Time(), marks)
		}
	}
}

// Two facts under one id, as two machines that never met could hold them, are both
// kept; one fact that both machines were told counts once.
func TestOneIDOnTwoMachines(t *testing.T) {
	a, b := newScribe(t), newScribe(t)
	a.write(10, meter("L1", 5))
	a.write(11, meter("L1", 6))
	b.write(10, meter("L1", 5))
	b.write(11, meter("L1", 7))
	b.log[0].Node, b.log[1].Node = "b", "b"
	b.log[1].ID = a.log[1].ID
	for _, log := range [][]Recorded{append(slices.Clone(a.log), b.log...), append(slices.Clone(b.log), a.log...)} {
		tl := a.c.NewTimeline(log, View{})
		same(t, "live", seqs(tl), []Seq{1, 2, 2})
		if e := tl.Entries[2]; e.Node != "b" || !strings.Contains(strings.Join(e.Marks, "; "), "the id of entry 2 of a") {
			t.Errorf("the second fact is of %s with marks %q", e.Node, e.Marks)
		}
	}
}

func TestFindKeepsToTheView(t *testing.T) {
	s := newScribe(t)
	e := s.write(30, meter("L1", 5))
	if got := s.c.NewTimeline(s.log, View{AsOf: at(20)}).Find(e.ID); got != nil {
		t.Errorf("as of 22:20 Find gives what happened at %v", got.Time())
	}
}

// Whatever order entries arrive in, and however often, the timeline is the same.
func TestOrderOfArrivalDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newScribe(t)
		for range rapid.IntRange(1, 30).Draw(rt, "entries") {
			m := float64(rapid.IntRange(0, 20).Draw(rt, "minute"))
			switch k := rapid.IntRange(0, 5).Draw(rt, "kind"); {
			case k == 0 && len(s.log) > 0:
				s.write(m, undone{Entry: s.log[rapid.IntRange(0, len(s.log)-1).Draw(rt, "struck")].ID})
			case k == 1 && len(s.log) > 0:
				s.write(m, fixed{Entry: s.log[rapid.IntRange(0, len(s.log)-1).Draw(rt, "fixed")].ID, Key: "meter", Now: "7 gal"})
			default:
				s.write(m, meter("L1", float64(rapid.IntRange(0, 5).Draw(rt, "gal"))), func(d *Draft) {
					d.ObservedBy = rapid.SampledFrom([]string{"a", "b", "c"}).Draw(rt, "teller")
				})
			}
		}
		shuffled := append([]Recorded{}, s.log...)
		shuffled = append(shuffled, s.log[0])
		seed := rapid.Uint64().Draw(rt, "shuffle")
		rand.New(rand.NewPCG(seed, seed)).Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		a, b := s.c.NewTimeline(s.log, View{}), s.c.NewTimeline(shuffled, View{})
		if len(a.Entries) != len(s.log) {
			rt.Fatalf("%d of %d entries are on the timeline", len(a.Entries), len(s.log))
		}
		for i := range a.Entries {
			x, y := a.Entries[i], b.Entries[i]
			if x.Seq != y.Seq || x.Live() != y.Live() || s.c.Line(x.Payload) != s.c.Line(y.Payload) {
				rt.Fatalf("place %d: entry %d (%v) against entry %d (%v)", i, x.Seq, x.Payload, y.Seq, y.Payload)
			}
		}
	})
}

// Building a timeline must not change what was recorded.
