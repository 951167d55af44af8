package reconcile

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// lost is the share of the largest pivot below which a column of a matrix scaled
// to order 1 is taken to depend on the others: far above rounding (1e-16), far
// below any difference that readings can show.
const lost = 1e-10

// qr is M·P = Q·R with column pivoting: the columns perm[:rank] of M are
// independent, the others depend on them.
type qr struct {
	q    *mat.Dense // orthonormal columns
	r    *mat.Dense
	perm []int
	rank int
}

// factor factorises m. With full, q is square; otherwise it has as many columns
// as the smaller side of m.
func factor(m *mat.Dense, full bool) qr {
	rows, cols := m.Dims()
	k := min(rows, cols)
	a := mat.DenseCopyOf(m).RawMatrix()
	f := qr{perm: make([]int, cols)}
	for i := range f.perm {
		f.perm[i] = -1 // free to move
	}
	tau := make([]float64, k)
	work := make([]float64, 1)
	lapack64.Geqp3(a, f.perm, tau, work, -1)
	work = make([]float64, int(work[0]))
	lapack64.Geqp3(a, f.perm, tau, work, len(work))

	f.r = mat.NewDense(k, cols, nil)
	for i := range k {
		copy(f.r.RawRowView(i)[i:], a.Data[i*a.Stride+i:i*a.Stride+cols])
	}
	for f.rank < k && math.Abs(f.r.At(f.rank, f.rank)) > lost*max(1, math.Abs(f.r.At(0, 0))) {
		f.rank++
	}
	f.q = reflect(a, tau, full)
	return f
}

// reflect multiplies out the reflections that factor leaves below the diagonal.
func reflect(a blas64.General, tau []float64, full bool) *mat.Dense {
	width := len(tau)
	if full {
		width = a.Rows
	}
	q := mat.NewDense(a.Rows, width, nil)
	for i := range a.Rows {
		copy(q.RawRowView(i), a.Data[i*a.Stride:i*a.Stride+min(i+1, len(tau))])
	}
	work := make([]float64, 1)
	lapack64.Orgqr(q.RawMatrix(), tau, work, -1)
	work = make([]float64, int(work[0]))
	lapack64.Orgqr(q.RawMatrix(), tau, work, len(work))
	return q
}

// solve overwrites b with R₁₁⁻¹·b, or R₁₁⁻ᵀ·b, where R₁₁ is the independent part.
func (f qr) solve(transposed bool, b *mat.Dense) {
	raw := f.r.RawMatrix()
	t := blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: f.rank, Data: raw.Data, Stride: raw.Stride}
	trans := blas.NoTrans
	if transposed {
		trans = blas.Trans
	}
	blas64.Trsm(blas.Left, trans, 1, t, b.RawMatrix())
}
