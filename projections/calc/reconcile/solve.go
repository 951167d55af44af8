package reconcile

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// errExact is returned where values taken as exact and balances cannot all hold.
var errExact = errors.New("reconcile: the balances and the values taken as exact contradict one another; " +
	"give one of those values a doubt or take a balance out")

// solution is the answer to one system.
type solution struct {
	value []float64  // by place in Problem.Streams; NaN where it cannot be told
	move  *mat.Dense // value = exact + move·(errors of variance 1); nil if nothing is measured
	fit
}

// fit is the adjustment of the readings, seen in the space of the balances that
// are left when what is not measured has been eliminated, each made to variance 1.
type fit struct {
	t    []float64 // what the balances lack; the chi-square is |t|²
	bias *mat.Dense
	// bias has a column for each reading: what a unit error in it does to t. Two
	// readings whose columns are parallel cannot be told apart, and a column of
	// zeros is a reading that nothing checks.
	left *mat.Dense // errors of variance 1 after the adjustment, times l
	x    []float64
}

// solve finds the answer of the system for a problem with so many streams.
func (s *system) solve(streams int) (*solution, error) {
	sol := &solution{value: make([]float64, streams)}
	for i := range sol.value {
		sol.value[i] = math.NaN()
	}
	e := s.eliminate()
	g, d := e.rest(s)
	var err error
	if sol.fit, err = s.adjust(g, d); err != nil {
		return nil, err
	}
	if len(s.read) > 0 {
		_, k := s.l.Dims()
		sol.move = mat.NewDense(streams, k, nil)
	}
	for k, i := range s.read {
		sol.value[i] = sol.x[k]
		sol.move.SetRow(i, sol.left.RawRowView(k))
	}
	e.deduce(s, sol)
	return sol, nil
}

// elimination is B made triangular: Qᵀ·B·P = R.
type elimination struct {
	qr
	size []float64 // of the columns of B, which are scaled to 1 before
}

func (s *system) eliminate() *elimination {
	if s.b == nil {
		return nil
	}
	e := &elimination{size: make([]float64, len(s.free))}
	b := mat.DenseCopyOf(s.b)
	for j := range e.size {
		if e.size[j] = mat.Norm(b.ColView(j), 2); e.size[j] > 0 {
			blas64.Scal(1/e.size[j], b.ColView(j).(*mat.VecDense).RawVector())
		}
	}
	e.qr = factor(b, true)
	return e
}

// rest returns the balances that are free of what is not measured: G·x = d.
func (e *elimination) rest(s *system) (*mat.Dense, []float64) {
	if e == nil {
		return s.a, s.c
	}
	rows := len(s.rows)
	if s.a == nil || e.rank == rows {
		if e.rank == rows {
			return nil, nil
		}
		return nil, e.part(e.rank, rows, s.c)
	}
	g := mat.NewDense(rows-e.rank, len(s.read), nil)
	g.Mul(e.q.Slice(0, rows, e.rank, rows).T(), s.a)
	raw := g.RawMatrix().Data
	for i, v := range raw {
		if math.Abs(v) < 1e-13 {
			raw[i] = 0 // rounding of rotations: a stream with no part in the balance
		}
	}
	return g, e.part(e.rank, rows, s.c)
}

// part returns rows from to to of Qᵀ·v.
func (e *elimination) part(from, to int, v []float64) []float64 {
	out := make([]float64, to-from)
	for i := range out {
		out[i] = mat.Dot(e.q.ColView(from+i), mat.NewVecDense(len(v), v))
	}
	return out
}

// adjust moves the readings the least that closes the balances G·x = d:
//
//	x = m − S·Gᵀ·(G·S·Gᵀ)⁻¹·(G·m − d)
//
// by a factorisation of l·Gᵀ, so that the condition is not squared. Rows are
// first divided by their standard error.
func (s *system) adjust(g *mat.Dense, d []float64) (fit, error) {
	f := fit{x: append([]float64(nil), s.m...)}
	if s.l != nil {
		f.left = mat.DenseCopyOf(s.l)
	}
	lack, size, rows, err := s.lacks(g, d)
	if err != nil || len(rows) == 0 {
		return f, err
	}
	n, k := s.l.Dims()
	scaled := mat.NewDense(len(rows), n, nil)
	for i, row := range rows {
		floats.ScaleTo(scaled.RawRowView(i), 1/size[i], g.RawRowView(row))
	}
	h := mat.NewDense(k, len(rows), nil)
	h.Mul(s.l.T(), scaled.T())
	q := factor(h, false)
	if q.rank > 0 {
		f.t = make([]float64, q.rank)
		f.bias = mat.NewDense(q.rank, n, nil)
		for i, row := range q.perm[:q.rank] {
			f.t[i] = lack[row]
			f.bias.SetRow(i, scaled.RawRowView(row))
		}
		q.solve(true, mat.NewDense(q.rank, 1, f.t))
		q.solve(true, f.bias)
		f.apply(s, q)
	}
	return f, q.agree(f.t, lack, size, s.scale())
}

// scale is the size of the largest sum in any row, by which rounding is judged.
func (s *system) scale() float64 {
	most := 0.0
	for i, c := range s.c {
		sum := math.Abs(c)
		for j, m := range s.m {
			sum += math.Abs(s.a.At(i, j) * m)
		}
		most = max(most, sum)
	}
	return most
}

// lacks returns what each balance lacks and its standard error, for those that
// have one, with their rows in g. A balance without any must hold as it is.
func (s *system) lacks(g *mat.Dense, d []float64) (lack, size []float64, rows []int, err error) {
	slack := 1e-9 * s.scale()
	for i, want := range d {
		r, v := -want, 0.0
		for j, m := range s.m {
			c := g.At(i, j)
			r += c * m
			v += c * c * s.sd[j] * s.sd[j]
		}
		switch sd := math.Sqrt(v); {
		case v > 0:
			lack, size, rows = append(lack, r/sd), append(size, sd), append(rows, i)
		case math.Abs(r) > slack:
			return nil, nil, nil, errExact
		}
	}
	return lack, size, rows, nil
}

// agree makes sure that the balances which depend on the others say the same.
func (f qr) agree(t, lack, size []float64, scale float64) error {
	for k := f.rank; k < len(f.perm); k++ {
		row := f.perm[k]
		want := 0.0
		for i, v := range t {
			want += f.r.At(i, k) * v
		}
		if math.Abs(lack[row]-want)*size[row] > 1e-9*scale {
			return errExact
		}
	}
	return nil
}

// apply moves the readings and takes from their errors what the balances see.
func (f *fit) apply(s *system, q qr) {
	n, k := s.l.Dims()
	seen := q.q.Slice(0, k, 0, q.rank)
	var part mat.Dense // of the errors of the readings that the balances see
	part.Mul(s.l, seen)
	for i := range n {
		f.x[i] -= floats.Dot(part.RawRowView(i), f.t)
	}
	var back mat.Dense
	back.Mul(&part, seen.T())
	f.left.Sub(f.left, &back)
}

// deduce works out what was not measured, where it can be: u = R⁻¹·Qᵀ·(c − A·x).
func (e *elimination) deduce(s *system, sol *solution) {
	if e == nil || e.rank == 0 {
		return
	}
	// One column for the value, then one for each error of the readings.
	width := 1
	if s.a != nil {
		_, k := s.l.Dims()
		width += k
	}
	right := mat.NewDense(len(s.rows), width, nil)
	if s.a != nil {
		right.Slice(0, len(s.rows), 1, width).(*mat.Dense).Mul(s.a, sol.left)
		right.Scale(-1, right)
	}
	for i, c := range s.c {
		if s.a != nil {
			c -= floats.Dot(s.a.RawRowView(i), sol.x)
		}
		right.Set(i, 0, c)
	}
	u := mat.NewDense(e.rank, width, nil)
	u.Mul(e.q.Slice(0, len(s.rows), 0, e.rank).T(), right)
	e.solve(false, u)
	for k, told := range e.told() {
		if !told {
			continue
		}
		j := e.perm[k]
		sol.value[s.free[j]] = u.At(k, 0) / e.size[j]
		if sol.move != nil {
			floats.ScaleTo(sol.move.RawRowView(s.free[j]), 1/e.size[j], u.RawRowView(k)[1:])
		}
	}
}

// told says which of the independent columns do not hang on a dependent one: only
// those streams have one value.
func (e *elimination) told() []bool {
	out := make([]bool, e.rank)
	cols := len(e.perm)
	if cols == e.rank {
		for k := range out {
			out[k] = true
		}
		return out
	}
	hang := mat.NewDense(e.rank, cols-e.rank, nil)
	hang.Copy(e.r.Slice(0, e.rank, e.rank, cols))
	e.solve(false, hang)
	for k := range out {
		out[k] = floats.Norm(hang.RawRowView(k), math.Inf(1)) < 1e-9
	}
	return out
}
