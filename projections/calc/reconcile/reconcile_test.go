package reconcile

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// plain is a node with one stream in and two out, read as 1000, 600 and 390.
func plain() *Problem {
	return &Problem{
		Streams: []Stream{
			{Name: "load", Measured: true, Reading: 1000, SD: 5},
			{Name: "out", Measured: true, Reading: 600, SD: 3},
			{Name: "left", Measured: true, Reading: 390, SD: 4},
		},
		Balances: []Balance{Simple("tank", []int{0}, []int{1, 2})},
	}
}

func TestRefused(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		name, want string
		spoil      func(p *Problem)
	}{
		{"level", "level 1 is outside 0 to 1", func(p *Problem) { p.Level = 1 }},
		{"reading", "load: reading NaN is not a number", func(p *Problem) { p.Streams[0].Reading = nan }},
		{"doubt unknown", "load: standard error NaN must be 0 or more", func(p *Problem) { p.Streams[0].SD = nan }},
		{"doubt below zero", "load: standard error -1 must be 0 or more", func(p *Problem) { p.Streams[0].SD = -1 }},
		{"place", "tank: names stream 7; there are 3", func(p *Problem) { p.Balances[0].Terms[1].Stream = 7 }},
		{"coefficient", "balance tank: a coefficient", func(p *Problem) { p.Balances[0].Terms[1].Coef = nan }},
		{"relation place", "r: names stream -1", func(p *Problem) { p.Relations = []Relation{{Name: "r", Streams: []int{-1}}} }},
		{"correlation place", "correlation: names stream 3", func(p *Problem) { p.Correlations = []Correlation{{0, 3, 0.5}} }},
		{"correlation size", "correlation 1.1 between load and out", func(p *Problem) { p.Correlations = []Correlation{{0, 1, 1.1}} }},
		{"correlation with itself", "correlation 0.5 between load and load", func(p *Problem) { p.Correlations = []Correlation{{0, 0, 0.5}} }},
		{"correlations at odds", "the correlations contradict one another", func(p *Problem) {
			p.Correlations = []Correlation{{0, 1, 1}, {1, 2, 1}, {0, 2, -1}}
		}},
		{"exact values at odds", "taken as exact contradict", func(p *Problem) {
			for i := range p.Streams {
				p.Streams[i].SD = 0
			}
		}},
		{"balances at odds", "taken as exact contradict", func(p *Problem) {
			b := Simple("tank again", []int{0}, []int{1, 2})
			b.Equals = 1
			p.Balances = append(p.Balances, b)
		}},
		{"one shared error at odds", "taken as exact contradict", func(p *Problem) {
			p.Streams[0].SD, p.Streams[1].SD, p.Streams[2].SD = 3, 3, 0
			p.Correlations = []Correlation{{0, 1, 1}}
		}},
		{"balance of nothing", "taken as exact contradict", func(p *Problem) {
			p.Balances = append(p.Balances, Balance{Name: "empty", Equals: 1})
		}},
		{"relation without a value", "relation r has no value at [393.2]", func(p *Problem) {
			p.Relations = []Relation{{"r", []int{2}, func([]float64) (float64, []float64) { return nan, []float64{1} }}}
		}},
		{"relation without slopes", "relation r gives 0 slopes for 1 streams", func(p *Problem) {
			p.Relations = []Relation{{"r", []int{2}, func([]float64) (float64, []float64) { return 0, nil }}}
		}},
		{"relation without an answer", "no answer after 50 steps", func(p *Problem) {
			p.Relations = []Relation{{"r", []int{2}, func(v []float64) (float64, []float64) {
				return v[0]*v[0] + 1, []float64{2 * v[0]} // never zero
			}}}
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := plain()
			tt.spoil(p)
			r, err := Reconcile(p)
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("Reconcile = %v, %v; want an error with %q", r, err, tt.want)
			}
		})
	}
}

// TestExactIsNotMoved holds an exact reading still and tests the others only.
func TestExactIsNotMoved(t *testing.T) {
	p := plain()
	p.Streams[0].SD = 0
	r, err := Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "exact load", r.Estimates[0].Value, 1000, 1e-9)
	near(t, "out", r.Estimates[1].Value, 600+10*9./25, 1e-9) // by hand: 10 gal shared as 9 to 16
	near(t, "doubt of out", r.Estimates[1].SD, 12./5, 1e-9)  // by hand: 3·4/√(9+16)
	if r.Tests != 2 || r.Estimates[0].Standing != Unchecked {
		t.Errorf("%d readings tested, load is %v; want 2 and not checked", r.Tests, r.Estimates[0].Standing)
	}
}

// TestSharedErrorIsNotDoubt takes two readings off one meter with one error: in
// their difference it is not there, in their sum it counts twice.
func TestSharedErrorIsNotDoubt(t *testing.T) {
	p := &Problem{
		Streams: []Stream{
			{Name: "first", Measured: true, Reading: 500, SD: 5}, {Name: "second", Measured: true, Reading: 400, SD: 5},
			{Name: "sum"}, {Name: "difference"},
		},
		Balances: []Balance{
			Simple("sum", []int{0, 1}, []int{2}),
			Simple("difference", []int{0}, []int{1, 3}),
		},
		Correlations: []Correlation{{0, 1, 1}},
	}
	r, err := Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "doubt of the sum", r.Estimates[2].SD, 10, 1e-9)
	near(t, "doubt of the difference", r.Estimates[3].SD, 0, 1e-9)
	near(t, "covariance", r.Covariance(0, 1), 25, 1e-9)
	if r.Verdict != NothingToCheck || !math.IsNaN(r.Limit) || !math.IsNaN(r.LimitZ) {
		t.Errorf("verdict %v, limits %g and %g; want nothing to check and no limit", r.Verdict, r.Limit, r.LimitZ)
	}
}

// TestUntold has two unmeasured streams in one balance and one in none: no number
// for any of them, nor for a sum with one of them, and nothing is said to be zero.
func TestUntold(t *testing.T) {
	p := plain()
	p.Streams[1].Measured, p.Streams[2].Measured = false, false
	p.Streams = append(p.Streams, Stream{Name: "elsewhere"})
	r, err := Reconcile(p)
	if err != nil {
		t.Fatal(err)
	}
	for i := 1; i < 4; i++ {
		e := r.Estimates[i]
		if e.Standing != Untold || !math.IsNaN(e.Value) || !math.IsNaN(e.SD) || !math.IsNaN(r.Covariance(0, i)) {
			t.Errorf("%s = %+v; want untold, without numbers", p.Streams[i].Name, e)
		}
	}
	if v, sd := r.Sum(Term{0, 1}, Term{1, 1}); !math.IsNaN(v) || !math.IsNaN(sd) {
		t.Errorf("sum with an untold stream = %g ± %g", v, sd)
	}
	if s := r.Estimates[0].Standing; s != Unchecked || s.String() != "measured, not checked" || r.Verdict.String() != "nothing to check" {
		t.Errorf("load is %v, verdict %v; want not checked, nothing to check", s, r.Verdict)
	}
	// Together the two are told: what is untold alone may be known in sum, and a
	// balance that asks for it gets it.
	p.Streams = append(p.Streams, Stream{Name: "both"})
	p.Balances = append(p.Balances, Simple("both", []int{4}, []int{1, 2}))
	if r, err = Reconcile(p); err != nil {
		t.Fatal(err)
	}
	near(t, "both", r.Estimates[4].Value, 1000, 1e-9)
	near(t, "doubt of both", r.Estimates[4].SD, 5, 1e-9)
}

func TestNothingMeasured(t *testing.T) {
	p := plain()
	for i := range p.Streams {
		p.Streams[i].Measured = false
	}
	p.Balances = append(p.Balances, Balance{"known", []Term{{0, 1}}, 900})
	r, err := Reconcile(p)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "load by definition", r.Estimates[0].Value, 900, 1e-9)
	near(t, "its doubt", r.Estimates[0].SD, 0, 0)
	near(t, "its covariance", r.Covariance(0, 0), 0, 0)
	v, sd := r.Sum(Term{0, 2})
	near(t, "twice the load", v, 1800, 1e-9)
	near(t, "its doubt", sd, 0, 0)
	if r, err = Reconcile(&Problem{}); err != nil || len(r.Estimates) != 0 {
		t.Errorf("an empty problem gives %v, %v", r, err)
	}
}

// TestBelowZeroIsShown has exact values that leave a volume no choice.
func TestBelowZeroIsShown(t *testing.T) {
	p := plain()
	p.Streams[0].SD, p.Streams[1].SD = 0, 0
	p.Streams[1].Reading = 1200
	p.Streams[2].Measured = false
	r, err := Reconcile(p)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "left", r.Estimates[2].Value, -200, 1e-9)
	if !slices.Equal(r.BelowZero, []int{2}) || len(r.Pinned) > 0 {
		t.Errorf("below zero %v, pinned %v; want [2] and none", r.BelowZero, r.Pinned)
	}
}

// TestUnmeasuredPinned pins what follows by difference, and does not call the zero
// known.
func TestUnmeasuredPinned(t *testing.T) {
	p := plain()
	p.Streams[1].Reading = 1008
	p.Streams[2].Measured = false
	r, err := Reconcile(p)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "left", r.Estimates[2].Value, 0, 1e-9)
	near(t, "doubt of left", r.Estimates[2].SD, math.Hypot(5, 3), 1e-9)
	near(t, "load", r.Estimates[0].Value, 1000+8*25./34, 1e-9) // by hand: 8 gal shared as 25 to 9
	if !slices.Equal(r.Pinned, []int{2}) {
		t.Errorf("pinned %v, want [2]", r.Pinned)
	}
}

// TestRulings keeps a reading that the tests would set aside, and sets aside one
// that they would keep.
func TestRulings(t *testing.T) {
	p := plain()
	for _, reading := range []float64{600, 601} {
		p.Streams = append(p.Streams, Stream{Name: "out again", Measured: true, Reading: reading, SD: 3})
		p.Balances = append(p.Balances, Simple("", []int{len(p.Streams) - 1}, []int{1}))
	}
	p.Streams[1].Reading = 700
	r, err := Reconcile(p)
	if err != nil || !slices.Equal(aside(r), []int{1}) {
		t.Fatalf("set aside %v, %v; want [1]", aside(r), err)
	}
	if a := r.SetAside[0]; a.Reading != 700 || a.SD != 3 || a.ByRule || a.With.Verdict != Disagree {
		t.Errorf("set aside %+v; want reading 700 ± 3, by the tests, the answer with it disagreeing", a)
	}

	p.Streams[1].Ruling = Kept
	if r, err = Reconcile(p); err != nil || slices.Contains(aside(r), 1) {
		t.Errorf("set aside %v, %v, though it is to be kept", aside(r), err)
	}
	for _, group := range r.Suspects {
		if slices.Contains(group, 1) {
			t.Errorf("suspects %v, though a person vouches for 1", r.Suspects)
		}
	}

	p.Streams[1].Ruling = Excluded
	p.Streams[3].Ruling = Excluded
	if r, err = Reconcile(p); err != nil || !slices.Equal(aside(r), []int{1, 3}) || !r.SetAside[1].ByRule {
		t.Errorf("set aside %+v, %v; want 1 and 3, by ruling", r.SetAside, err)
	}
	near(t, "a reading that agrees, set aside all the same", math.Abs(r.SetAside[1].Z), 0.5, 0.5)
}
