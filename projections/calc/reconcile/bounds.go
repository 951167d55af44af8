package reconcile

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// set is a set of places in Problem.Streams.
type set map[int]bool

func (s set) without(i int) set {
	out := set{}
	for k := range s {
		if k != i {
			out[k] = true
		}
	}
	return out
}

func (s set) and(i int) set {
	out := s.without(i)
	out[i] = true
	return out
}

// bounded is a solution in which no volume is below zero, if there is one.
type bounded struct {
	*solution
	free   *solution // without pins: what can be told and how well, zeros not being known
	sys    *system
	pinned []int // held at zero
	below  []int // below zero all the same: the balances leave no other answer
}

// solveBounded solves with no volume below zero. It pins streams to zero, and
// lets go of pins that the answer no longer leans on, always the first in order
// that is wrong: with that rule the search cannot go round in circles, and the
// answer, if there is one, is exact (Murty 1974).
func solveBounded(p *Problem, out set) (*bounded, error) {
	sys, err := newSystem(p, out)
	if err != nil {
		return nil, err
	}
	free, err := solveRelations(p, sys, nil)
	if err != nil {
		return nil, err
	}
	now := &bounded{solution: free, free: free, sys: sys}
	for range 20 * (len(p.Streams) + 1) {
		i, err := firstWrong(p, now)
		if i < 0 || err != nil {
			return now, err
		}
		if k := slices.Index(now.pinned, i); k >= 0 {
			now.pinned = slices.Delete(slices.Clone(now.pinned), k, k+1)
		} else {
			now.pinned = append(slices.Clone(now.pinned), i)
		}
		now.solution, err = solveRelations(p, sys, now.pinned)
		if errors.Is(err, errExact) {
			break
		}
		if err != nil {
			return nil, err
		}
	}
	now = &bounded{solution: free, free: free, sys: sys}
	for i, v := range free.value {
		if !p.Streams[i].Signed && v < -tiny(p) {
			now.below = append(now.below, i)
		}
	}
	return now, nil
}

// firstWrong returns the first stream that should be pinned or let go, or -1.
func firstWrong(p *Problem, b *bounded) (int, error) {
	slack := tiny(p)
	for i, s := range p.Streams {
		if s.Signed {
			continue
		}
		k := slices.Index(b.pinned, i)
		if k < 0 {
			if b.value[i] < -slack {
				return i, nil
			}
			continue
		}
		others := slices.Delete(slices.Clone(b.pinned), k, k+1)
		sol, err := solveRelations(p, b.sys, others)
		if err != nil {
			return -1, err
		}
		if sol.value[i] > slack {
			return i, nil
		}
	}
	return -1, nil
}

// tiny is what rounding may leave of a zero.
func tiny(p *Problem) float64 {
	most := 0.0
	for _, s := range p.Streams {
		if s.Measured {
			most = max(most, math.Abs(s.Reading), s.SD)
		}
	}
	return 1e-10 * most
}

// solveRelations solves a problem with relations by making them linear about the
// answer again and again, until it no longer moves (VDI 2048 part 1; Gauss-Newton
// on the conditions). Without relations one step is the answer.
func solveRelations(p *Problem, sys *system, pinned []int) (*solution, error) {
	const most = 50
	n := len(p.Streams)
	if len(p.Relations) == 0 {
		rows, _ := conditions(p, nil, pinned)
		return sys.with(rows, n).solve(n)
	}
	v, err := start(p, sys, pinned)
	if err != nil {
		return nil, err
	}
	for range most {
		rows, err := conditions(p, v, pinned)
		if err != nil {
			return nil, err
		}
		sol, err := sys.with(rows, n).solve(n)
		if err != nil {
			return nil, err
		}
		moved, size := 0.0, 0.0
		for i, to := range sol.value {
			if math.IsNaN(to) {
				continue // cannot be told: stay where the search began
			}
			moved, size = max(moved, math.Abs(to-v[i])), max(size, math.Abs(to))
			v[i] = to
		}
		if moved <= 1e-12*size {
			return sol, nil
		}
	}
	return nil, fmt.Errorf("reconcile: no answer after %d steps: begin nearer to it, or give relation %s readings with more doubt",
		most, p.Relations[0].Name)
}

// start is where the search begins: what the balances alone give, else the
// readings as they came.
func start(p *Problem, sys *system, pinned []int) ([]float64, error) {
	linear := *p
	linear.Relations = nil
	sol, err := solveRelations(&linear, sys, pinned)
	if err != nil {
		return nil, err
	}
	for i, s := range p.Streams {
		if math.IsNaN(sol.value[i]) {
			sol.value[i] = s.Reading
		}
	}
	return sol.value, nil
}
