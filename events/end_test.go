package events

import "testing"

// A slip in one date must not make everything else last until then.
func TestEndIsTheLastTold(t *testing.T) {
	s := newScribe(t)
	s.write(10, meter("L1", 1), func(d *Draft) { d.Reported = at(12) })
	s.write(99999, meter("L2", 1), func(d *Draft) { d.Reported = at(13) })
	if got := s.c.NewTimeline(s.log, View{}).End(); !got.Equal(at(13)) {
		t.Errorf("End() = %v, want %v, when the last entry was told", got, at(13))
	}
}
