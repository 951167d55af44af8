package lines

import (
	"slices"
	"testing"
)

// TestSpokenOtherwise holds how a spoken number is taken that may be meant in more than one
// way, and what is offered beside it for one key.
func TestSpokenOtherwise(t *testing.T) {
	for _, tt := range []struct{ line, becomes, offers string }{
		{"meter ten twelve", "meter_read |  | leg=L1; reads=1012", ""},
		{"pair two out twenty nine eighty thirty ten", "out_hot |  | pair=2; P2A=2980; P2B=3010", "pair two out 29803010"},
		{"p1 out twelve forty thirteen ten", "out_hot |  | pair=1; P1A=1240; P1B=1310", "p1 out 12401310"},
		{"pair 3 in forty four hundred forty three ninety", "in_hot |  | pair=3; P3A=4400; P3B=4390", ""},
		{"benzene nine six hose end", "air_read | R1 hose end | benzene=96", "benzene 9.6 hose end"},
		{"o2 twenty eight hose end", "air_read | R1 hose end | O2=20.8", "o2 28 hose end"},
		{"r2 eta twenty three fifty", "eta_changed | Brackmoor Tank Lines | truck=R2; eta=23:50", ""},
		{"bond r1 point seven", "resistance_read | Tank shell to R1 | path=bond; resistance=0.7; limit=10 ohm", ""},
		{"par two twenty three twenty", "roll_call |  | in=2; seen=2", ""},
	} {
		r := Parse(night(), tt.line)
		if got := becomes(r.Drafts); got != tt.becomes {
			t.Errorf("%q becomes %s, want %s (%v)", tt.line, got, tt.becomes, r.Hints)
		}
		if r.Drafts[0].Words != tt.line {
			t.Errorf("%q is kept as %q", tt.line, r.Drafts[0].Words)
		}
		ways := Complete(night(), tt.line, len(tt.line))
		if tt.offers != "" && !slices.ContainsFunc(ways, func(w Completion) bool { return tt.line[:w.From]+w.Text == tt.offers }) {
			t.Errorf("%q offers %v, want %q among them", tt.line, ways, tt.offers)
		}
	}
}

// TestJoinUnlike holds that one fact is not told twice by entries of two kinds.
func TestJoinUnlike(t *testing.T) {
	r := Parse(night(), "same as 13") // a bond; the last entry is a pump that stopped
	if got := becomes(r.Drafts); got != "note |  |" || len(r.Hints) != 1 || r.Certainty != Note {
		t.Errorf("becomes %s, %s: %v", got, r.Certainty, r.Hints)
	}
}
