package reconcile

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// system is a problem made linear about one point and sorted into what is
// measured (x) and what is not (u): the least (x − m)ᵀS⁻¹(x − m) such that
// A·x + B·u = c. S is l·lᵀ, so it may be singular: exact readings and readings
// that share one error are no special case.
type system struct {
	read, free []int // places in Problem.Streams of x and of u
	m          []float64
	sd         []float64
	l          *mat.Dense
	rows       []condition
	a, b       *mat.Dense // nil when there is no x, or no u, or no row
	c          []float64
}

// condition is one row of A, B and c by places in Problem.Streams, scaled so that
// its largest coefficient is 1.
type condition struct {
	terms  []Term
	equals float64
}

// newSystem sorts the streams; those in out are treated as not measured.
func newSystem(p *Problem, out set) (*system, error) {
	s := &system{}
	for i, st := range p.Streams {
		if !st.Measured || out[i] {
			s.free = append(s.free, i)
			continue
		}
		s.read = append(s.read, i)
		s.m = append(s.m, st.Reading)
		s.sd = append(s.sd, st.SD)
	}
	if len(s.read) == 0 {
		return s, nil
	}
	var err error
	s.l, err = spread(p, s.read, s.sd)
	return s, err
}

// spread returns l with l·lᵀ the covariance of the readings.
func spread(p *Problem, read []int, sd []float64) (*mat.Dense, error) {
	n := len(read)
	l := mat.NewDense(n, n, nil)
	place := make(map[int]int, n)
	for k, i := range read {
		place[i] = k
	}
	corr := mat.NewSymDense(n, nil)
	for k := range n {
		corr.SetSym(k, k, 1)
		l.Set(k, k, sd[k])
	}
	tied := false
	for _, c := range p.Correlations {
		a, inA := place[c.A]
		b, inB := place[c.B]
		if inA && inB {
			corr.SetSym(a, b, c.R)
			tied = tied || c.R != 0
		}
	}
	if !tied {
		return l, nil
	}
	var chol mat.PivotedCholesky
	chol.Factorize(corr, lost)
	var u mat.TriDense
	chol.UTo(&u)
	for k, row := range chol.ColumnPivots(nil) {
		for j := range n {
			l.Set(row, j, 0)
		}
		for j := range min(k+1, chol.Rank()) {
			l.Set(row, j, u.At(j, k)*sd[row])
		}
	}
	return l, fits(p, read, sd, l, corr)
}

// fits makes sure that l gives back the correlations: those of real errors leave
// no direction in which the spread would be negative.
func fits(p *Problem, read []int, sd []float64, l *mat.Dense, corr *mat.SymDense) error {
	for i := range sd {
		for j := range i {
			got := floats.Dot(l.RawRowView(i), l.RawRowView(j))
			if math.Abs(got-corr.At(i, j)*sd[i]*sd[j]) > 1e-8*sd[i]*sd[j] {
				return fmt.Errorf("reconcile: the correlations contradict one another about %s and %s; "+
					"two errors that both follow a third must follow each other",
					p.Streams[read[i]].Name, p.Streams[read[j]].Name)
			}
		}
	}
	return nil
}

// conditions gathers the balances, the relations made linear about v and a zero
// for each pinned stream. It fails where a relation has no value or no slope.
func conditions(p *Problem, v []float64, pinned []int) ([]condition, error) {
	var rows []condition
	for _, b := range p.Balances {
		rows = append(rows, condition{b.Terms, b.Equals}.scaled())
	}
	for _, r := range p.Relations {
		at := make([]float64, len(r.Streams))
		for k, i := range r.Streams {
			at[k] = v[i]
		}
		f, gradient := r.At(at)
		if len(gradient) != len(at) {
			return nil, fmt.Errorf("reconcile: relation %s gives %d slopes for %d streams", r.Name, len(gradient), len(at))
		}
		row := condition{equals: -f}
		for k, i := range r.Streams {
			row.terms = append(row.terms, Term{i, gradient[k]})
			row.equals += gradient[k] * at[k]
		}
		if math.IsNaN(row.equals) || math.IsInf(row.equals, 0) {
			return nil, fmt.Errorf("reconcile: relation %s has no value at %g: begin elsewhere", r.Name, at)
		}
		rows = append(rows, row.scaled())
	}
	for _, i := range pinned {
		rows = append(rows, condition{terms: []Term{{i, 1}}})
	}
	return rows, nil
}

func (c condition) scaled() condition {
	size := 0.0
	for _, t := range c.terms {
		size = max(size, math.Abs(t.Coef))
	}
	if size == 0 || size == 1 {
		return c
	}
	out := condition{make([]Term, len(c.terms)), c.equals / size}
	for k, t := range c.terms {
		out.terms[k] = Term{t.Stream, t.Coef / size}
	}
	return out
}

// with sets the rows of the system.
func (s *system) with(rows []condition, streams int) *system {
	s.rows, s.a, s.b, s.c = rows, nil, nil, make([]float64, len(rows))
	if len(rows) == 0 {
		return s
	}
	column := make([]int, streams)
	for k, i := range s.read {
		column[i] = k
	}
	for k, i := range s.free {
		column[i] = -1 - k
	}
	if len(s.read) > 0 {
		s.a = mat.NewDense(len(rows), len(s.read), nil)
	}
	if len(s.free) > 0 {
		s.b = mat.NewDense(len(rows), len(s.free), nil)
	}
	for i, row := range rows {
		s.c[i] = row.equals
		for _, t := range row.terms {
			if k := column[t.Stream]; k >= 0 {
				s.a.Set(i, k, s.a.At(i, k)+t.Coef)
			} else {
				s.b.Set(i, -1-k, s.b.At(i, -1-k)+t.Coef)
			}
		}
	}
	return s
}
