package projections

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tankside/events"
	"tankside/events/kinds"
)

func TestNaturalOrder(t *testing.T) {
	got := []string{"P10A", "P2B", "Wrecker crew", "P2A", "P02A", "P1A"}
	slices.SortStableFunc(got, natural)
	if want := []string{"P1A", "P2A", "P02A", "P2B", "P10A", "Wrecker crew"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

var dawn = time.Date(2025, 3, 1, 6, 0, 0, 0, time.UTC)

func minuteMoment(m int) Moment {
	at := dawn.Add(time.Duration(m) * time.Minute)
	return Moment{Best: at, Earliest: at, Latest: at, From: []events.Seq{events.Seq(m + 1)}}
}

// someIntervals draws intervals within an hour; one in five stays open.
func someIntervals(t *rapid.T, name string) []Interval {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Interval {
		start := rapid.IntRange(0, 60).Draw(t, "start")
		i := Interval{Start: minuteMoment(start)}
		if rapid.IntRange(0, 4).Draw(t, "open") > 0 {
			i.End = minuteMoment(rapid.IntRange(start, 60).Draw(t, "end"))
		}
		return i
	}), 0, 8).Draw(t, name)
}

// covers tells for each of the sixty minutes whether an interval covers it.
func covers(is []Interval, now time.Time) (out [60]bool) {
	for _, i := range is {
		for m := range out {
			at := dawn.Add(time.Duration(m)*time.Minute + 30*time.Second)
			out[m] = out[m] || at.After(i.Start.Best) && at.Before(i.Until(now))
		}
	}
	return out
}

// Two who went in by one entry and came out in one minute by two make the same stretch,
// by the same entries, whichever was gathered first.
func TestMergeTakesTheSameEntries(t *testing.T) {
	end := func(seq events.Seq) Interval {
		i := Interval{Start: minuteMoment(0), End: minuteMoment(30)}
		i.End.From = []events.Seq{seq}
		return i
	}
	for _, gathered := range [][]Interval{{end(8), end(9)}, {end(9), end(8)}} {
		if got := merge(gathered); len(got) != 1 || !slices.Equal(got[0].End.From, []events.Seq{8}) {
			t.Errorf("merge(%v) = %v, want one that entry 8 ends", gathered, got)
		}
	}
}

func TestMergeAndWithout(t *testing.T) {
	now := dawn.Add(time.Hour)
	rapid.Check(t, func(t *rapid.T) {
		a, b := someIntervals(t, "a"), someIntervals(t, "b")
		merged := merge(a)
		if covers(merged, now) != covers(a, now) {
			t.Fatalf("merged %v covers other minutes than %v", merged, a)
		}
		for i := 1; i < len(merged); i++ {
			if before := merged[i-1]; before.End.IsZero() || !before.End.Best.Before(merged[i].Start.Best) {
				t.Fatalf("merged %v overlap or touch", merged)
			}
		}
		inA, inB, left := covers(a, now), covers(b, now), covers(without(merged, merge(b), now), now)
		for m := range left {
			if left[m] != (inA[m] && !inB[m]) {
				t.Fatalf("minute %d: in a %v, in b %v, left over %v", m, inA[m], inB[m], left[m])
			}
		}
	})
}

func TestUnionIsAtMostTheSum(t *testing.T) {
	now := dawn.Add(time.Hour)
	rapid.Check(t, func(t *rapid.T) {
		is := someIntervals(t, "intervals")
		union, sum := stay(merge(is), "", now), stay(is, "", now)
		if union.Value > sum.Value || union.Value > 60 {
			t.Fatalf("union %v min, sum %v min, of %v", union.Value, sum.Value, is)
		}
	})
}

// Whatever the order in which the entries of a log are handed over, the state is the
// same bytes.
func TestStateDoesNotDependOnTheOrderOfArrival(t *testing.T) {
	c := kinds.Catalogue()
	log := recorded(t, "quarry-bend")
	want, err := json.Marshal(Fold(c, c.NewTimeline(log, events.View{})))
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		mixed := rapid.Permutation(log).Draw(t, "order")
		got, err := json.Marshal(Fold(c, c.NewTimeline(mixed, events.View{})))
		if err != nil || string(got) != string(want) {
			t.Fatalf("another order of arrival gives another state (%v)", err)
		}
	})
}

// A view at any moment folds without a fault and never counts a person out of the
// hot zone who is in it.
func TestEveryMomentFolds(t *testing.T) {
	c := kinds.Catalogue()
	log := recorded(t, "quarry-bend")
	start := log[0].Occurred.At
	rapid.Check(t, func(t *rapid.T) {
		v := events.View{AsOf: start.Add(time.Duration(rapid.IntRange(-60, 600).Draw(t, "as of")) * time.Minute)}
		if rapid.Bool().Draw(t, "as known then") {
			v.KnownAt = v.AsOf
		}
		inc := Fold(c, c.NewTimeline(log, v))
		in := 0
		for _, p := range inc.People.List(inc.AsOf) {
			if p.In {
				in++
			}
			if p.Minutes.Known && p.Minutes.Value < 0 {
				t.Fatalf("%s was in for %v min", p.Person, p.Minutes.Value)
			}
		}
		if in != len(inc.People.InAt(inc.AsOf)) {
			t.Fatalf("%d in by the list, %v by the clock", in, inc.People.InAt(inc.AsOf))
		}
		if _, err := json.Marshal(inc); err != nil {
			t.Fatal(err)
		}
	})
}
