package reconcile

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Standing says what a value rests on.
type Standing int

// The standings. Untold is the zero value: there is no number.
const (
	Untold    Standing = iota // cannot be told from what is there
	WorkedOut                 // not measured, or set aside; follows from the others
	Unchecked                 // measured, and nothing else speaks to it
	Checked                   // measured, and weighed against the others
)

// String returns the standing in plain words.
func (s Standing) String() string {
	return [...]string{"cannot be told", "worked out", "measured, not checked", "measured and checked"}[s]
}

// Estimate is the answer for one stream.
type Estimate struct {
	Value    float64 // NaN when Untold
	SD       float64 // one sigma; NaN when Untold
	Standing Standing
	// Z is the test of the reading: how many standard errors it lies from what
	// all others say of it, positive where it reads high. Leaving the reading out
	// would lower the chi-square by Z². NaN where nothing checks it.
	Z float64
	// StandsOut says that |Z| is over the limit for as many tests as there are.
	StandsOut bool
}

// Verdict is the outcome of the test of the whole.
type Verdict int

// The verdicts. NothingToCheck is the zero value.
const (
	NothingToCheck Verdict = iota // every reading stands alone
	Agree
	Disagree
)

// String returns the verdict in plain words.
func (v Verdict) String() string {
	return [...]string{"nothing to check", "agree", "disagree"}[v]
}

// BalanceTest is the test of one balance between readings alone.
type BalanceTest struct {
	Name  string
	Lacks float64 // sum of the terms less Equals, as read; NaN if one of them is not measured
	SD    float64 // standard error of Lacks
	Z     float64 // Lacks / SD; NaN where there is none
}

// SetAside is a reading that the answer does without.
type SetAside struct {
	Stream  int
	Reading float64
	SD      float64
	Why     string
	ByRule  bool    // a person ruled so; otherwise the tests did
	Z       float64 // standard errors between the reading and what the others say; NaN if they say nothing
	With    *Result // the answer with this reading put back
}

// Result is a reconciled problem.
type Result struct {
	Estimates []Estimate // by place in Problem.Streams
	Balances  []BalanceTest
	Verdict   Verdict
	ChiSquare float64 // sum of squared adjustments in standard errors
	DF        int     // degrees of freedom: independent balances
	Limit     float64 // chi-square at Problem.Level; NaN when DF is 0
	Tests     int     // how many readings are tested
	LimitZ    float64 // two-sided limit of |Z| for so many tests (Šidák); NaN without any
	SetAside  []SetAside
	// Suspects lists, when the readings disagree and no single one can be named,
	// groups of streams: in each group at least one reading is wrong, and the
	// balances cannot tell which. Each group begins with the largest |Z|.
	Suspects [][]int
	// Pinned lists streams that would have come out below zero and were held at
	// zero. The tests are then approximate: DF is that of the balances alone. All
	// doubts are those of the answer without pins, so that a zero is not taken for
	// known.
	Pinned []int
	// BelowZero lists streams that are below zero because the balances and the
	// values taken as exact leave no other answer.
	BelowZero []int

	move *mat.Dense
	fit  fit
	read []int
}

// P returns the share of sound data whose chi-square would be larger; NaN when DF
// is 0.
func (r *Result) P() float64 {
	if r.DF == 0 {
		return math.NaN()
	}
	return distuv.ChiSquared{K: float64(r.DF)}.Survival(r.ChiSquare)
}

// Covariance returns the covariance of the estimates of streams i and j, NaN if
// one of them is Untold.
func (r *Result) Covariance(i, j int) float64 {
	if r.Estimates[i].Standing == Untold || r.Estimates[j].Standing == Untold {
		return math.NaN()
	}
	if r.move == nil {
		return 0
	}
	return floats.Dot(r.move.RawRowView(i), r.move.RawRowView(j))
}

// Sum returns the sum of terms and its standard error, which is not that of
// independent numbers: reconciled values lean on the same readings. Both are NaN
// if one of the streams is Untold.
func (r *Result) Sum(terms ...Term) (value, sd float64) {
	var errs []float64
	if r.move != nil {
		_, k := r.move.Dims()
		errs = make([]float64, k)
	}
	for _, t := range terms {
		if r.Estimates[t.Stream].Standing == Untold {
			return math.NaN(), math.NaN()
		}
		value += t.Coef * r.Estimates[t.Stream].Value
		if r.move != nil {
			floats.AddScaled(errs, t.Coef, r.move.RawRowView(t.Stream))
		}
	}
	return value, floats.Norm(errs, 2)
}
