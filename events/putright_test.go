package events

import (
	"strings"
	"testing"
)

func TestCorrectionSupersedes(t *testing.T) {
	s := newScribe(t)
	wrong := s.write(10, meter("L5", 3537))
	s.write(10, fixed{Said: "pumped L5", Was: "3537 gal", Now: "3537 L"}, func(d *Draft) { d.Reported = at(20) })
	tl := s.c.NewTimeline(s.log, View{})
	e := tl.Find(wrong.ID)
	if got := e.Payload.(pumped).Meter.Value(); got < 934.3 || got > 934.5 {
		t.Errorf("put right to %v gal, want 934.4 (3537 L)", got)
	}
	if got := e.Said.(pumped).Meter.Value(); got != 3537 || len(e.PutRight) != 1 {
		t.Errorf("first said %v gal with %d corrections, want 3537 with 1", got, len(e.PutRight))
	}
	before := s.c.NewTimeline(s.log, View{KnownAt: at(15)}).Find(wrong.ID)
	if got := before.Payload.(pumped).Meter.Value(); got != 3537 {
		t.Errorf("as known then %v gal, want 3537", got)
	}
}

func TestCorrectionOfACorrection(t *testing.T) {
	s := newScribe(t)
	wrong := s.write(10, meter("L5", 1200))
	first := s.write(14, fixed{Entry: wrong.ID, Key: "meter", Now: "1020 gal"})
	s.write(15, fixed{Entry: first.ID, Key: "now", Now: "1002 gal"})
	if got := s.c.NewTimeline(s.log, View{}).Find(wrong.ID).Payload.(pumped).Meter.Value(); got != 1002 {
		t.Errorf("after a correction of the correction %v gal, want 1002", got)
	}
	s.write(16, undone{Entry: first.ID})
	if got := s.c.NewTimeline(s.log, View{}).Find(wrong.ID).Payload.(pumped).Meter.Value(); got != 1200 {
		t.Errorf("after striking the correction %v gal, want 1200 again", got)
	}
}

func TestCorrectionOfATime(t *testing.T) {
	s := newScribe(t)
	e := s.write(10, meter("L1", 5))
	s.write(20, meter("L1", 9))
	s.write(30, fixed{Entry: e.ID, Key: TimeKey, Now: "22:25"})
	tl := s.c.NewTimeline(s.log, View{})
	same(t, "order", seqs(tl), []Seq{2, 1, 3})
	if got := tl.Find(e.ID); !got.Time().Equal(at(25)) || !got.SaidWhen.At.Equal(at(10)) {
		t.Errorf("happened %v, first said %v; want 22:25 and 22:10", got.Time(), got.SaidWhen.At)
	}
}

func TestWhatCannotBeAppliedIsMarked(t *testing.T) {
	for name, tt := range map[string]struct {
		fix  fixed
		mark string
	}{
		"no such entry":   {fixed{Said: "pumped L9", Was: "5 gal", Now: "6 gal"}, "no earlier entry is"},
		"two fit":         {fixed{Said: "pumped L1", Was: "5 gal", Now: "6 gal"}, "could be entry 1 or 2"},
		"another log":     {fixed{Entry: NewID(at(0)), Key: "meter", Now: "6 gal"}, "not in this log"},
		"no such field":   {fixed{Entry: "1", Key: "depth", Now: "6 gal"}, "has no field"},
		"out of bounds":   {fixed{Entry: "1", Key: "meter", Now: "99999 gal"}, "outside 0 to 10000 gal"},
		"not that before": {fixed{Entry: "1", Key: "meter", Was: "7 gal", Now: "6 gal"}, `it was "5 gal"`},
	} {
		s := newScribe(t)
		first := s.write(10, meter("L1", 5))
		s.write(10, meter("L1", 5))
		if tt.fix.Entry == "1" {
			tt.fix.Entry = first.ID
		}
		s.write(10, tt.fix)
		e := s.c.NewTimeline(s.log, View{}).Find(s.log[2].ID)
		if !strings.Contains(strings.Join(e.Marks, "; "), tt.mark) {
			t.Errorf("%s: marks %q, want one with %q", name, e.Marks, tt.mark)
		}
	}
}

func TestStrikes(t *testing.T) {
	s := newScribe(t)
	e := s.write(10, meter("L1", 5))
	strike := s.write(20, undone{Entry: e.ID})
	same(t, "struck", seqs(s.c.NewTimeline(s.log, View{})), []Seq{2})
	s.write(30, undone{Entry: strike.ID})
	same(t, "strike struck", seqs(s.c.NewTimeline(s.log, View{})), []Seq{1, 3})
	self := ContentID(at(40), "3") // the id the next entry will have
	s.write(40, undone{Entry: self})
	if got := s.c.NewTimeline(s.log, View{}).Find(self); got.Struck != nil || len(got.Marks) == 0 {
		t.Errorf("an entry that strikes itself: struck %v, marks %v; want kept and marked", got.Struck, got.Marks)
	}
}

func TestSecondWitness(t *testing.T) {
	safety := func(d *Draft) { d.ObservedBy = "Safety Officer" }
	s := newScribe(t)
	s.write(10, meter("L1", 1012))
	s.write(10, meter("L1", 1012), safety)
	s.write(10, meter("L1", 1021), safety) // disagrees: kept apart
	s.write(10, meter("L1", 1012))         // the same teller again: kept apart
	tl := s.c.NewTimeline(s.log, View{})
	same(t, "live", seqs(tl), []Seq{1, 3, 4})
	if w := tl.Entries[0].Witnesses; len(w) != 1 || w[0].Seq != 2 {
		t.Errorf("witnesses of entry 1: %v, want entry 2", w)
	}
	s.write(20, merged{Entry: s.log[0].ID, With: s.log[2].ID})
	same(t, "live after a person joined 3", seqs(s.c.NewTimeline(s.log, View{})), []Seq{1, 4, 5})
}

func TestLastCorrectionOfACorrectionStands(t *testing.T) {
	s := newScribe(t)
	wrong := s.write(10, meter("L5", 1200))
	first := s.write(14, fixed{Entry: wrong.ID, Key: "meter", Now: "1020 gal"})
	s.write(15, fixed{Entry: first.ID, Key: "now", Now: "1002 gal"})
	s.write(16, fixed{Entry: first.ID, Key: "now", Now: "1003 gal"})
	if got := s.c.NewTimeline(s.log, View{}).Find(wrong.ID).Payload.(pumped).Meter.Value(); got != 1003 {
		t.Errorf("after two corrections of the correction %v gal, want the later one's 1003", got)
	}
}

func TestCorrectionPointedElsewhere(t *testing.T) {
	s := newScribe(t)
	right, wrong := s.write(10, meter("L5", 1200)), s.write(11, meter("L6", 300))
	first := s.write(14, fixed{Entry: wrong.ID, Key: "meter", Now: "1020 gal"})
	s.write(15, fixed{Entry: first.ID, Key: "entry", Now: string(right.ID)})
	tl := s.c.NewTimeline(s.log, View{})
	a, b := tl.Find(right.ID).Payload.(pumped), tl.Find(wrong.ID).Payload.(pumped)
	if a.Meter.Value() != 1020 || b.Meter.Value() != 300 {
		t.Errorf("L5 %v gal and L6 %v gal, want 1020 and 300", a.Meter.Value(), b.Meter.Value())
	}
}

func TestCorrectionOfAStrike(t *testing.T) {
	s := newScribe(t)
	a, b := s.write(10, meter("L1", 5)), s.write(11, meter("L2", 5))
	strike := s.write(20, undone{Entry: a.ID})
	s.write(21, fixed{Entry: strike.ID, Key: "entry", Now: string(b.ID)})
	tl := s.c.NewTimeline(s.log, View{})
	same(t, "live", seqs(tl), []Seq{2, 3, 4})
	if got := tl.Find(strike.ID).Payload.(undone).Entry; got != a.ID {
		t.Errorf("the strike reads as of %s, want %s, which is what it took back", got, a.ID)
	}
	if marks := strings.Join(tl.Find(s.log[3].ID).Marks, "; "); !strings.Contains(marks, "strike the right one") {
		t.Errorf("the correction's marks %q do not say the way out", marks)
	}
}

func TestCorrectionOfATimeAcrossMidnight(t *testing.T) {
	for _, tt := range []struct {
		said     float64 // minutes after 22:00
		now      string
		from, to float64
	}{
		{118, "00:04", 124, 124}, {124, "23:58", 118, 118}, {118, "23:50/00:10", 110, 130}, {118, "about 00:04", 119, 129}, {30, "22:25", 25, 25},
	} {
		s := newScribe(t)
		e := s.write(tt.said, meter("L1", 5))
		s.write(300, fixed{Entry: e.ID, Key: TimeKey, Now: tt.now})
		got := s.c.NewTimeline(s.log, View{}).Find(e.ID).Occurred
		if !got.Earliest().Equal(at(tt.from)) || !got.Latest().Equal(at(tt.to)) {
			t.Errorf("said %v, put right to %s: %v to %v, want %v to %v", at(tt.said), tt.now, got.Earliest(), got.Latest(), at(tt.from), at(tt.to))
		}
	}
}

func TestStruckWitness(t *testing.T) {
	for _, struck := range []int{0, 1} {
		s := newScribe(t)
		s.write(10, meter("L1", 1012))
		s.write(11, meter("L1", 1021))
		s.write(12, merged{Entry: s.log[0].ID, With: s.log[1].ID})
		s.write(13, undone{Entry: s.log[struck].ID})
		same(t, "live", seqs(s.c.NewTimeline(s.log, View{})), []Seq{Seq(2 - struck), 3, 4})
	}
}

func TestNothingActsOnWhatWasTakenBack(t *testing.T) {
	s := newScribe(t)
	s.write(10, meter("L1", 1012))
	s.write(11, meter("L1", 1021))
	s.write(12, undone{Entry: s.log[0].ID})
	s.write(13, fixed{Entry: s.log[0].ID, Key: "meter", Now: "5 gal"})
	s.write(14, merged{Entry: s.log[0].ID, With: s.log[1].ID})
	tl := s.c.NewTimeline(s.log, View{})
	for i, want := range map[int]string{3: "entry 1 was taken back", 4: "one of them is taken back"} {
		if marks := strings.Join(tl.Find(s.log[i].ID).Marks, "; "); !strings.Contains(marks, want) {
			t.Errorf("entry %d has the marks %q, want %q among them", i+1, marks, want)
		}
	}
}

func TestUnlikeEntriesAreNotJoined(t *testing.T) {
	s := newScribe(t)
	s.write(10, meter("L1", 1012))
	s.write(20, undone{Entry: NewID(at(0))})
	s.write(30, merged{Entry: s.log[0].ID, With: s.log[1].ID})
	tl := s.c.NewTimeline(s.log, View{})
	same(t, "live", seqs(tl), []Seq{1, 2, 3})
	if marks := strings.Join(tl.Find(s.log[2].ID).Marks, "; "); !strings.Contains(marks, "not one fact told twice") {
		t.Errorf("marks %q, want why the two were not joined", marks)
	}
}

func TestOneDayIsNoSecondWitness(t *testing.T) {
	s := newScribe(t)
	for _, who := range []string{"Pair 1", "Pair 2"} {
		s.write(10, meter("L1", 100), func(d *Draft) { d.Occurred, d.ObservedBy = OnDay(at(10)), who })
	}
	same(t, "live", seqs(s.c.NewTimeline(s.log, View{})), []Seq{1, 2})
}

func TestRecordedStaysAsItWas(t *testing.T) {
	s := newScribe(t)
	e := s.write(10, pumped{Leg: "L1", Marks: []string{"a"}})
	s.write(11, fixed{Entry: e.ID, Key: "mark", Now: "b"})
	s.c.NewTimeline(s.log, View{})
	again, err := s.c.Open(s.log[0].Raw)
	if err != nil || !s.c.SameFact(s.log[0].Draft, again) {
		t.Errorf("the recorded entry changed: %+v, stored %s", s.log[0].Payload, s.log[0].Raw)
	}
}

// The second correction in words calls wrong what the first one put there.
func TestCorrectionInWordsOfACorrectedValue(t *testing.T) {
	s := newScribe(t)
	e := s.write(10, meter("L5", 3537))
	s.write(10, fixed{Said: "pumped L5", Was: "3537 gal", Now: "3357 gal"})
	s.write(10, fixed{Said: "pumped L5", Was: "3357 gal", Now: "3357 L"})
	tl := s.c.NewTimeline(s.log, View{})
	if got := tl.Find(e.ID).Payload.(pumped).Meter.Value(); got < 886.7 || got > 886.9 {
		t.Errorf("after both corrections %v gal, want 886.8 (3357 L); marks %q", got, tl.Find(s.log[2].ID).Marks)
	}
}

// Two who told one fact told one fact still when a correction named one of them:
// it counts once, as put right.
func TestWitnessOfWhatWasPutRight(t *testing.T) {
	for name, fix := range map[string]fixed{
		"the first":  {Entry: "1", Key: "meter", Now: "1021 gal"},
		"the second": {Entry: "2", Key: "meter", Now: "1021 gal"},
		"in words":   {Said: "pumped L1", Was: "1012 gal", Now: "1021 gal"},
	} {
		s := newScribe(t)
		s.write(10, meter("L1", 1012))
		s.write(10, meter("L1", 1012), func(d *Draft) { d.ObservedBy = "Safety Officer" })
		switch fix.Entry {
		case "1":
			fix.Entry = s.log[0].ID
		case "2":
			fix.Entry = s.log[1].ID
		}
		s.write(20, fix)
		var got []float64
		for e := range s.c.NewTimeline(s.log, View{}).Live() {
			if p, ok := e.Payload.(pumped); ok {
				got = append(got, float64(p.Meter.Value()))
			}
		}
		same(t, name+": gallons that count", got, []float64{1021})
	}
}

// A correction that gives the number of an entry means it where the entry holds what was
// wrong, and says what to write where it does not.
func TestCorrectionByNumber(t *testing.T) {
	for said, tt := range map[string]struct {
		fix  fixed
		want float64
		mark string
	}{
		"entry 2":         {fixed{Was: "7 gal", Now: "9 gal"}, 9, ""},
		"Entry #2":        {fixed{Was: "7 gal", Now: "9 gal", Key: "meter"}, 9, ""},
		"2":               {fixed{Was: "7 gal", Now: "9 gal"}, 9, ""},
		"entry 1":         {fixed{Was: "7 gal", Now: "9 gal"}, 7, "number 1 and holds"},
		"#2":              {fixed{Was: "8 gal", Now: "9 gal"}, 7, "such as \"pump_off L5\""},
		"entry 3":         {fixed{Was: "7 gal", Now: "9 gal"}, 7, "no earlier entry has the number 3"},
		"entry 2 of that": {fixed{Was: "7 gal", Now: "9 gal"}, 7, "no earlier entry is"},
	} {
		s := newScribe(t)
		s.write(10, meter("L1", 5))
		e := s.write(12, meter("L2", 7))
		tt.fix.Said = said
		c := s.write(14, tt.fix)
		tl := s.c.NewTimeline(s.log, View{})
		got, marks := float64(tl.Find(e.ID).Payload.(pumped).Meter.Value()), strings.Join(tl.Find(c.ID).Marks, "; ")
		if got != tt.want || !strings.Contains(marks, tt.mark) || tt.mark == "" && marks != "" {
			t.Errorf("%q leaves %v gal marked %q, want %v gal marked %q", said, got, marks, tt.want, tt.mark)
		}
	}
}
