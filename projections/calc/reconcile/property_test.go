package reconcile

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// network draws a connected tangle of streams between nodes and the outside,
// with readings of flows that close every node. Errors come later.
func network(t *rapid.T) *Problem {
	nodes := rapid.IntRange(1, 5).Draw(t, "nodes")
	p := &Problem{Balances: make([]Balance, nodes)}
	for i := range rapid.IntRange(nodes+1, 3*nodes+2).Draw(t, "streams") {
		from := rapid.IntRange(0, nodes).Draw(t, "from")
		to := (from + rapid.IntRange(1, nodes).Draw(t, "step")) % (nodes + 1)
		p.Streams = append(p.Streams, Stream{
			Name: "s", Measured: true, Signed: true,
			Reading: rapid.Float64Range(1, 1000).Draw(t, "flow"),
			SD:      rapid.Float64Range(0.1, 20).Draw(t, "sd"),
		})
		for sign, node := range map[float64]int{-1: from, 1: to} {
			if node < nodes { // the last is the outside
				b := &p.Balances[node]
				b.Terms = append(b.Terms, Term{i, sign})
				b.Equals += sign * p.Streams[i].Reading
			}
		}
	}
	return p
}

// disturb adds errors whose sum of squares, in standard errors, is size².
func disturb(t *rapid.T, p *Problem, size float64) {
	e := make([]float64, len(p.Streams))
	for i := range e {
		e[i] = rapid.Float64Range(-1, 1).Draw(t, "error")
	}
	if n := floats.Norm(e, 2); n > 0 {
		floats.Scale(size/n, e)
	}
	for i := range e {
		p.Streams[i].Reading += e[i] * p.Streams[i].SD
	}
}

// hide leaves some streams unmeasured.
func hide(t *rapid.T, p *Problem) {
	for i := range p.Streams {
		if rapid.IntRange(0, 4).Draw(t, "hidden") == 0 {
			p.Streams[i].Measured = false
		}
	}
}

func solved(t *rapid.T, p *Problem) *Result {
	t.Helper()
	r, err := Solve(p)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func clone(p *Problem) *Problem {
	q := *p
	q.Streams = slices.Clone(p.Streams)
	q.Balances = nil
	for _, b := range p.Balances {
		q.Balances = append(q.Balances, Balance{b.Name, slices.Clone(b.Terms), b.Equals})
	}
	q.Correlations = slices.Clone(p.Correlations)
	return &q
}

// like reports whether two numbers are equal to rounding, both being unknown
// counting as equal.
func like(a, b, size float64) bool {
	return math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) <= 1e-7*(1+math.Abs(size))
}

func TestBalancesClose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := network(t)
		disturb(t, p, 10)
		hide(t, p)
		r := solved(t, p)
		for _, b := range p.Balances {
			sum, sd := r.Sum(b.Terms...)
			if math.IsNaN(sum) {
				continue // something in it cannot be told
			}
			if !like(sum, b.Equals, 1000) || sd > 1e-7 {
				t.Fatalf("balance sums to %g ± %g, want %g exactly", sum, sd, b.Equals)
			}
		}
	})
}

func TestScalingUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := network(t)
		disturb(t, p, 6)
		hide(t, p)
		k := math.Pow(10, rapid.Float64Range(-5, 5).Draw(t, "scale"))
		q := clone(p)
		for i := range q.Streams {
			q.Streams[i].Reading *= k
			q.Streams[i].SD *= k
		}
		for i := range q.Balances {
			q.Balances[i].Equals *= k
		}
		a, b := solved(t, p), solved(t, q)
		if !like(a.ChiSquare, b.ChiSquare, 100) || a.DF != b.DF {
			t.Fatalf("chi-square %g on %d became %g on %d", a.ChiSquare, a.DF, b.ChiSquare, b.DF)
		}
		for i := range a.Estimates {
			x, y := a.Estimates[i], b.Estimates[i]
			if !like(x.Value, y.Value/k, 1000) || !like(x.SD, y.SD/k, 10) || !like(x.Z, y.Z, 10) || x.Standing != y.Standing {
				t.Fatalf("stream %d: %+v became %+v at scale %g", i, x, y, k)
			}
		}
	})
}

func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := network(t)
		disturb(t, p, 12)
		hide(t, p)
		dice := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		to := dice.Perm(len(p.Streams))
		q := clone(p)
		for i, s := range p.Streams {
			q.Streams[to[i]] = s
		}
		for _, b := range q.Balances {
			for k := range b.Terms {
				b.Terms[k].Stream = to[b.Terms[k].Stream]
			}
			dice.Shuffle(len(b.Terms), func(i, j int) { b.Terms[i], b.Terms[j] = b.Terms[j], b.Terms[i] })
		}
		dice.Shuffle(len(q.Balances), func(i, j int) { q.Balances[i], q.Balances[j] = q.Balances[j], q.Balances[i] })
		a, b := solved(t, p), solved(t, q)
		if !like(a.ChiSquare, b.ChiSquare, 100) || a.DF != b.DF || a.Tests != b.Tests {
			t.Fatalf("chi-square %g on %d became %g on %d", a.ChiSquare, a.DF, b.ChiSquare, b.DF)
		}
		for i := range a.Estimates {
			x, y := a.Estimates[i], b.Estimates[to[i]]
			if !like(x.Value, y.Value, 1000) || !like(x.SD, y.SD, 10) || !like(x.Z, y.Z, 10) || x.Standing != y.Standing {
				t.Fatalf("stream %d: %+v became %+v", i, x, y)
			}
		}
	})
}

// TestMoreIsNeverWorse adds a second reading of one stream: no doubt may grow,
// and if the reading is the very value found, no value may move.
func TestMoreIsNeverWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := network(t)
		disturb(t, p, 3)
		hide(t, p)
		a := solved(t, p)
		i := rapid.IntRange(0, len(p.Streams)-1).Draw(t, "again")
		if a.Estimates[i].Standing == Untold {
			t.Skip("nothing to repeat")
		}
		q := clone(p)
		q.Streams = append(q.Streams, Stream{
			Name: "again", Measured: true, Signed: true,
			Reading: a.Estimates[i].Value, SD: rapid.Float64Range(0.1, 50).Draw(t, "doubt"),
		})
		q.Balances = append(q.Balances, Simple("", []int{len(p.Streams)}, []int{i}))
		b := solved(t, q)
		if !like(a.ChiSquare, b.ChiSquare, 10) || b.DF != a.DF+1 {
			t.Fatalf("chi-square %g on %d became %g on %d", a.ChiSquare, a.DF, b.ChiSquare, b.DF)
		}
		for k, x := range a.Estimates {
			y := b.Estimates[k]
			if !like(x.Value, y.Value, 1000) || y.SD > x.SD+1e-7 {
				t.Fatalf("stream %d: %g ± %g became %g ± %g", k, x.Value, x.SD, y.Value, y.SD)
			}
		}
	})
}

// TestNobodyAccusedWrongly plants one gross error among errors that, together,
// stay under the limit of one test. Whatever the network, a sound reading is then
// never set aside; and the wrong one is, once it is large, if and only if no other
// reading has the same effect on every balance.
func TestNobodyAccusedWrongly(t *testing.T) {
	named, unnamed := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		p := network(t)
		disturb(t, p, 1.9)
		hide(t, p)
		bad := rapid.IntRange(0, len(p.Streams)-1).Draw(t, "bad")
		if !p.Streams[bad].Measured {
			t.Skip("the wrong reading is not there")
		}
		size := math.Pow(10, rapid.Float64Range(0, 6).Draw(t, "size"))
		p.Streams[bad].Reading += size * p.Streams[bad].SD
		r, err := Reconcile(p)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.SetAside) > 0 {
			if got := aside(r); !slices.Equal(got, []int{bad}) {
				t.Fatalf("set aside %v; the wrong one is %d, off by %g", got, bad, size)
			}
			named++
			return
		}
		if r.Verdict != Disagree {
			return // too small to be seen
		}
		unnamed++
		if len(r.Suspects) > 0 && !slices.Contains(r.Suspects[0], bad) {
			t.Fatalf("suspects %v leave out the wrong one, %d", r.Suspects, bad)
		}
		if plain := solved(t, p); math.Abs(plain.Estimates[bad].Z) > 1e4 && alone(plain, bad) {
			t.Fatalf("stream %d is off by %g, no other has its effect, and it was not named: suspects %v", bad, size, r.Suspects)
		}
	})
	if named == 0 || unnamed == 0 {
		t.Errorf("named %d times, not named %d times: the networks drawn do not try both", named, unnamed)
	}
}

// alone reports whether no other reading has an effect near that of stream i.
func alone(r *Result, i int) bool {
	own := r.fit.of(slices.Index(r.read, i))
	for k, j := range r.read {
		y := r.fit.of(k)
		if cos := floats.Dot(own, y) / floats.Norm(own, 2) / floats.Norm(y, 2); j != i && math.Abs(cos) > 0.999 {
			return false
		}
	}
	return true
}

// TestAgainstTheClosedForm compares with x = m − S·Aᵀ·(A·S·Aᵀ)⁻¹·(A·m − c), worked
// by inversion, for correlated readings.
func TestAgainstTheClosedForm(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := network(t)
		disturb(t, p, 5)
		n := len(p.Streams)
		p.Correlations = []Correlation{{0, n - 1, rapid.Float64Range(-0.9, 0.9).Draw(t, "r")}}
		a, s, m := mat.NewDense(len(p.Balances), n, nil), mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
		lack := mat.NewVecDense(len(p.Balances), nil)
		for i, st := range p.Streams {
			m.SetVec(i, st.Reading)
			s.Set(i, i, st.SD*st.SD)
		}
		s.Set(0, n-1, p.Correlations[0].R*p.Streams[0].SD*p.Streams[n-1].SD)
		s.Set(n-1, 0, s.At(0, n-1))
		for i, b := range p.Balances {
			for _, term := range b.Terms {
				a.Set(i, term.Stream, a.At(i, term.Stream)+term.Coef)
			}
			lack.SetVec(i, -b.Equals)
		}
		var sat, v, inv, gain, after mat.Dense
		sat.Mul(s, a.T())
		v.Mul(a, &sat)
		if inv.Inverse(&v) != nil {
			t.Skip("balances that repeat one another: the inversion cannot do them")
		}
		gain.Mul(&sat, &inv)
		after.Mul(&gain, sat.T())
		after.Sub(s, &after)
		var am, move mat.VecDense
		am.MulVec(a, m)
		lack.AddVec(lack, &am)
		move.MulVec(&gain, lack)

		r := solved(t, p)
		for i := range n {
			if !like(r.Estimates[i].Value, m.AtVec(i)-move.AtVec(i), 1000) {
				t.Fatalf("stream %d = %g, closed form %g", i, r.Estimates[i].Value, m.AtVec(i)-move.AtVec(i))
			}
			for j := range n {
				if !like(r.Covariance(i, j), after.At(i, j), 400) {
					t.Fatalf("covariance %d,%d = %g, closed form %g", i, j, r.Covariance(i, j), after.At(i, j))
				}
			}
		}
	})
}

// TestUnmeasuredAsVeryDoubtful compares the projection with its cheap stand-in:
// a reading with a doubt so wide that it says nothing.
func TestUnmeasuredAsVeryDoubtful(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := network(t)
		disturb(t, p, 3)
		hide(t, p)
		r := solved(t, p)
		q := clone(p)
		for i := range q.Streams {
			if !q.Streams[i].Measured {
				q.Streams[i].Measured, q.Streams[i].SD = true, 1e6
			}
		}
		wide := solved(t, q)
		for i, e := range r.Estimates {
			switch w := wide.Estimates[i]; {
			case e.Standing == Untold && w.SD < 1e5:
				t.Fatalf("stream %d cannot be told, yet the stand-in gives %g ± %g", i, w.Value, w.SD)
			case e.Standing != Untold && math.Abs(e.Value-w.Value) > 1e-3:
				t.Fatalf("stream %d = %g, stand-in %g", i, e.Value, w.Value)
			}
		}
	})
}

// TestNothingBelowZero compares the search for pins with trying every set of pins:
// the answer is the best of those that keep every stream at zero or above.
func TestNothingBelowZero(t *testing.T) {
	pinned := 0
	rapid.Check(t, func(t *rapid.T) {
		p := network(t)
		for i := range p.Balances {
			p.Balances[i].Equals = 0
		}
		for i := range p.Streams {
			p.Streams[i].Signed = false
			p.Streams[i].Reading = rapid.Float64Range(-20, 30).Draw(t, "reading")
		}
		if len(p.Streams) > 8 {
			t.Skip("too many sets to try")
		}
		r := solved(t, p)
		pinned += len(r.Pinned)
		best := math.Inf(1)
		for pins := range 1 << len(p.Streams) {
			if g, ok := pinnedTo(t, p, pins); ok {
				best = min(best, g)
			}
		}
		if !like(r.ChiSquare, best, 100) || len(r.BelowZero) > 0 {
			t.Fatalf("distance %g with pins %v, below zero %v; the best is %g", r.ChiSquare, r.Pinned, r.BelowZero, best)
		}
		for i, e := range r.Estimates {
			if e.Value < -1e-6 {
				t.Fatalf("stream %d is %g", i, e.Value)
			}
		}
	})
	if pinned == 0 {
		t.Error("no stream was ever pinned: the problems drawn do not try it")
	}
}

// pinnedTo gives the distance of the answer with those streams at zero, and
// whether no stream is below.
func pinnedTo(t *rapid.T, p *Problem, pins int) (float64, bool) {
	q := clone(p)
	for i := range q.Streams {
		q.Streams[i].Signed = true
		if pins>>i&1 == 1 {
			q.Balances = append(q.Balances, Balance{Terms: []Term{{i, 1}}})
		}
	}
	r := solved(t, q)
	for _, e := range r.Estimates {
		if e.Value < -1e-9 {
			return 0, false
		}
	}
	return r.ChiSquare, true
}
