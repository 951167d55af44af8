package reconcile

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// unseen is the share of a reading's standard error below which the balances do
// not check it; parallel is how near 1 the cosine of two readings is when the
// balances cannot tell them apart. Both lie between rounding and anything real.
const (
	unseen   = 1e-6
	parallel = 1 - 1e-9
)

// sidak returns the two-sided limit of a normal deviate for each of n independent
// tests that together find fault with the share level of sound data: that of the
// level 1 − (1 − level)^(1/n) (Šidák 1967). It is NaN for n = 0.
func sidak(level float64, n int) float64 {
	if n == 0 {
		return math.NaN()
	}
	each := -math.Expm1(math.Log1p(-level) / float64(n))
	return distuv.UnitNormal.Quantile(1 - each/2)
}

// chiLimit returns the value that chi-square with df degrees of freedom passes in
// the share level of cases, NaN for df = 0.
func chiLimit(level float64, df int) float64 {
	if df == 0 {
		return math.NaN()
	}
	return distuv.ChiSquared{K: float64(df)}.Quantile(1 - level)
}

// result puts a solution into words and tests it.
func (b *bounded) result(p *Problem) *Result {
	r := &Result{
		Estimates: make([]Estimate, len(p.Streams)), Balances: balanceTests(p, b.sys),
		DF: len(b.free.t), Pinned: b.pinned, BelowZero: b.below,
		move: b.free.move, fit: b.fit, read: b.sys.read,
	}
	for i, v := range b.value {
		if math.IsNaN(b.free.value[i]) {
			r.Estimates[i] = Estimate{Value: math.NaN(), SD: math.NaN(), Z: math.NaN()}
			continue
		}
		r.Estimates[i] = Estimate{Value: v, Z: math.NaN(), Standing: WorkedOut}
		if r.move != nil {
			r.Estimates[i].SD = floats.Norm(r.move.RawRowView(i), 2)
		}
	}
	r.testReadings(b.sys, p.level())
	r.ChiSquare = floats.Dot(b.t, b.t)
	r.Limit = chiLimit(p.level(), r.DF)
	switch {
	case r.DF == 0:
	case r.ChiSquare <= r.Limit:
		r.Verdict = Agree
	default:
		r.Verdict = Disagree
	}
	return r
}

// testReadings tests each reading for an error of its own: z = yᵀ·t/|y|, where y
// is what a unit error in the reading does to what the balances lack, t.
func (r *Result) testReadings(s *system, level float64) {
	for k, i := range r.read {
		e := &r.Estimates[i]
		e.Standing = Unchecked
		if y := r.fit.of(k); y != nil && s.sd[k] > 0 && floats.Norm(y, 2)*s.sd[k] > unseen {
			e.Standing = Checked
			e.Z = floats.Dot(y, r.fit.t) / floats.Norm(y, 2)
			r.Tests++
		}
	}
	r.LimitZ = sidak(level, r.Tests)
	for i := range r.Estimates {
		r.Estimates[i].StandsOut = math.Abs(r.Estimates[i].Z) > r.LimitZ
	}
}

// of returns the column of bias that belongs to reading k, nil if nothing checks
// any reading.
func (f fit) of(k int) []float64 {
	if f.bias == nil {
		return nil
	}
	return mat.Col(nil, k, f.bias)
}

// balanceTests tests each balance that has nothing unmeasured in it.
func balanceTests(p *Problem, s *system) []BalanceTest {
	place := make(map[int]int, len(s.read))
	for k, i := range s.read {
		place[i] = k
	}
	tests := make([]BalanceTest, len(p.Balances))
	for n, b := range p.Balances {
		t := BalanceTest{Name: b.Name, Lacks: -b.Equals, SD: math.NaN(), Z: math.NaN()}
		var errs []float64
		if s.l != nil {
			_, k := s.l.Dims()
			errs = make([]float64, k)
		}
		for _, term := range b.Terms {
			k, measured := place[term.Stream]
			if !measured {
				t.Lacks = math.NaN()
				break
			}
			t.Lacks += term.Coef * s.m[k]
			floats.AddScaled(errs, term.Coef, s.l.RawRowView(k))
		}
		if !math.IsNaN(t.Lacks) {
			t.SD = floats.Norm(errs, 2)
			if t.SD > 0 {
				t.Z = t.Lacks / t.SD
			}
		}
		tests[n] = t
	}
	return tests
}

// tested is one reading that the balances check.
type tested struct {
	stream int
	y      []float64 // direction of its error, length 1
	kept   bool      // a person vouches for it
	doubt  bool      // something outside the balances speaks against it
}

// checked lists the readings that may be at fault, the largest |Z| first.
func (r *Result) checked(p *Problem) []tested {
	var all []tested
	for k, i := range r.read {
		if r.Estimates[i].Standing != Checked {
			continue
		}
		y := r.fit.of(k)
		floats.Scale(1/floats.Norm(y, 2), y)
		all = append(all, tested{i, y, p.Streams[i].Ruling == Kept, p.Streams[i].Doubt != ""})
	}
	slices.SortStableFunc(all, func(a, b tested) int {
		za, zb := math.Abs(r.Estimates[a.stream].Z), math.Abs(r.Estimates[b.stream].Z)
		switch {
		case za > zb:
			return -1
		case za < zb:
			return 1
		}
		return a.stream - b.stream
	})
	return all
}

// clears reports whether a would no longer stand out if b were left out: then b
// may be the wrong one instead.
func clears(b, a tested, t []float64, limit float64) bool {
	cos := floats.Dot(a.y, b.y)
	if math.Abs(cos) > parallel {
		return true
	}
	z := (floats.Dot(a.y, t) - cos*floats.Dot(b.y, t)) / math.Sqrt(1-cos*cos)
	return math.Abs(z) <= limit
}

// rivals lists the readings that may be wrong instead of a, a left out.
func rivals(a tested, all []tested, t []float64, limit float64) []tested {
	var out []tested
	for _, b := range all {
		if b.stream != a.stream && !b.kept && clears(b, a, t, limit) {
			out = append(out, b)
		}
	}
	return out
}

// culprit returns the reading that still stands out whichever other one reading
// is left out, and why it was named. If one reading is wrong and the others keep
// to their doubts, then with the wrong one left out no sound reading stands out
// but by the chance that the limit allows; so a sound one is not named.
func (r *Result) culprit(p *Problem) (stream int, why string, found bool) {
	all := r.checked(p)
	for _, a := range all {
		if a.kept || !r.Estimates[a.stream].StandsOut {
			continue
		}
		others := rivals(a, all, r.fit.t, r.LimitZ)
		if len(others) == 0 {
			return a.stream, "stands out whichever other reading is left out", true
		}
		if a.doubt && !slices.ContainsFunc(others, func(b tested) bool { return b.doubt }) {
			return a.stream, p.Streams[a.stream].Doubt, true
		}
	}
	return 0, "", false
}

// suspects groups the readings of which one must be wrong: the one that stands
// out most with its rivals, then the same in what is left when that group has
// been explained.
func (r *Result) suspects(p *Problem, level float64) [][]int {
	var groups [][]int
	t := slices.Clone(r.fit.t)
	all := slices.DeleteFunc(r.checked(p), func(a tested) bool { return a.kept })
	for df := r.DF; df > 0 && floats.Dot(t, t) > chiLimit(level, df); df-- {
		top, most := -1, r.LimitZ
		for k, a := range all {
			if z := math.Abs(floats.Dot(a.y, t)); z > most {
				top, most = k, z
			}
		}
		if top < 0 {
			break
		}
		a := all[top]
		group := []int{a.stream}
		for _, b := range rivals(a, all, t, r.LimitZ) {
			group = append(group, b.stream)
		}
		groups = append(groups, group)
		floats.AddScaled(t, -floats.Dot(a.y, t), a.y)
		for k := range all {
			all[k].y = orthogonal(all[k].y, a.y)
		}
		all = slices.DeleteFunc(all, func(b tested) bool { return b.y == nil })
	}
	return groups
}

// orthogonal returns the part of y at right angles to u, of length 1, or nil if
// there is none.
func orthogonal(y, u []float64) []float64 {
	out := slices.Clone(y)
	floats.AddScaled(out, -floats.Dot(y, u), u)
	size := floats.Norm(out, 2)
	if size < unseen {
		return nil
	}
	floats.Scale(1/size, out)
	return out
}

// Solve answers p with every reading in it but those a person has excluded, and
// tests the answer. It names nobody.
//
// It fails for a problem that is none (see the fields), for exact values that
// contradict one another and for relations without an answer near by.
func Solve(p *Problem) (*Result, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	return solveWithout(p, excluded(p))
}

// Reconcile answers p and, while the readings disagree and one of them can be
// told to be the wrong one, sets that one aside and answers again. What was set
// aside stays in the result with the answer it would have given. It fails where
// Solve fails.
func Reconcile(p *Problem) (*Result, error) {
	r, err := Solve(p)
	if err != nil {
		return nil, err
	}
	out := excluded(p)
	why := map[int]string{}
	for r.Verdict == Disagree {
		i, because, found := r.culprit(p)
		if !found {
			r.Suspects = r.suspects(p, p.level())
			break
		}
		out, why[i] = out.and(i), because
		if r, err = solveWithout(p, out); err != nil {
			return nil, err
		}
	}
	return r, r.recordSetAside(p, out, why)
}

func solveWithout(p *Problem, out set) (*Result, error) {
	b, err := solveBounded(p, out)
	if err != nil {
		return nil, err
	}
	return b.result(p), nil
}

func excluded(p *Problem) set {
	out := set{}
	for i, s := range p.Streams {
		if s.Measured && s.Ruling == Excluded {
			out[i] = true
		}
	}
	return out
}

// recordSetAside adds to the result what it does without, in order of streams.
func (r *Result) recordSetAside(p *Problem, out set, why map[int]string) error {
	for i, s := range p.Streams {
		if !out[i] {
			continue
		}
		with, err := solveWithout(p, out.without(i))
		if err != nil {
			return err
		}
		aside := SetAside{Stream: i, Reading: s.Reading, SD: s.SD, Why: why[i], Z: with.Estimates[i].Z, With: with}
		if s.Ruling == Excluded {
			aside.ByRule, aside.Why = true, "set aside by ruling"
		}
		r.SetAside = append(r.SetAside, aside)
	}
	return nil
}
