// Package reconcile makes readings that do not quite agree agree, each moved in
// proportion to its doubt, so that every balance closes.
//
// It is weighted least squares: of all values that satisfy the balances it finds
// the one nearest the readings, distance being counted in standard errors. With
// the answer come the doubt of every value, a test of the whole (chi-square) and
// a test of each reading. A reading that stands out is set aside only when no
// other reading could be the wrong one; otherwise the candidates are listed and
// nothing is set aside. A person's ruling overrides both.
//
// A Problem is made of streams, the amounts in question, measured or not, and
// balances between them. Two ways of measuring one leg are two measured streams
// and an unmeasured one, held together by two balances; a scale ticket for two
// products is a measured stream and one balance with two densities. Whether a
// stream that nobody measured can be worked out from the rest is decided by an
// orthogonal factorisation; where it cannot, it is Untold and has no number.
//
// Units are the caller's, and the same on both sides of each balance. Volumes
// must be on one basis: a gross gallon must be made net before it enters.
//
// Sources: VDI 2048 part 1 (uncertainties of measurement in acceptance tests);
// Mah, Stanley and Downing 1976 and Crowe, García Campos and Hrymak 1983
// (projection of unmeasured streams); Narasimhan and Mah 1987 (test of one
// reading as the test of a bias in it); Mah and Tamhane 1982 (level for many
// tests, after Šidák 1967); Murty 1974 (pivoting for the bounds). Titles are from
// memory; the numbers that hold this package to them are in testdata/published.
package reconcile

// Ruling is what a person has decided about a reading.
type Ruling int

// The rulings. Unruled is the zero value: the tests decide.
const (
	Unruled  Ruling = iota
	Kept            // the reading stays in, whatever the tests say
	Excluded        // the reading is set aside
)

// Stream is one amount: what flowed in a leg, what one meter showed, what is left
// in a compartment.
type Stream struct {
	Name     string
	Measured bool
	// Reading is the value read. For a stream that is not measured it is only
	// where the search for the answer begins, and only if there are relations.
	Reading float64
	// SD is the standard uncertainty of the reading (one sigma), in its unit.
	// 0 means exact: such a reading is not moved and not tested.
	SD float64
	// Signed says that the true value may be below zero. A volume may not; a
	// change of stock or what is left over in a balance may.
	Signed bool
	Ruling Ruling
	// Doubt is what speaks against the reading from outside this problem, such as
	// "moved 53 gal in 7 min at 84 strokes a minute". It decides between
	// candidates that the balances alone cannot tell apart; it never accuses a
	// reading that agrees with the rest.
	Doubt string
}

// Term is one stream in a balance, by its place in Problem.Streams, times a
// coefficient: +1 in, −1 out, a density where pounds meet gallons.
type Term struct {
	Stream int
	Coef   float64
}

// Balance says that its terms add up to Equals, exactly.
type Balance struct {
	Name   string
	Terms  []Term
	Equals float64
}

// Relation is a condition that is not linear: At returns a value that must be
// zero and its partial derivatives, both at the given values of Streams, in that
// order. It must be a smooth function near the answer.
type Relation struct {
	Name    string
	Streams []int
	At      func(v []float64) (f float64, gradient []float64)
}

// Correlation ties the errors of two readings: two tickets off one meter have R
// near 1. The covariance of the two readings is R times their standard errors.
type Correlation struct {
	A, B int // places in Problem.Streams
	R    float64
}

// Problem is everything that is known before reconciling.
type Problem struct {
	Streams      []Stream
	Balances     []Balance
	Relations    []Relation
	Correlations []Correlation
	// Level is the share of sound data that the tests may find fault with; 0
	// means 0.05, common practice.
	Level float64
}

// Simple returns the balance of streams that go in against those that come out.
func Simple(name string, in, out []int) Balance {
	b := Balance{Name: name}
	for _, i := range in {
		b.Terms = append(b.Terms, Term{i, 1})
	}
	for _, i := range out {
		b.Terms = append(b.Terms, Term{i, -1})
	}
	return b
}
