package reconcile

import (
	"math/rand/v2"
	"testing"
)

// chain is a network of so many streams: a row of nodes, each fed by the one
// before and by a stream from outside, each with one outlet; every seventh stream
// is not measured.
func chain(streams int, fault float64) *Problem {
	dice := rand.New(rand.NewPCG(1, 2))
	p := &Problem{}
	flow := 0.0
	for i := range streams {
		reading := flow // on to the next node
		switch i % 3 {
		case 0:
			reading = 50 + dice.Float64()*100
			flow += reading
		case 1:
			reading = flow / 3
			flow -= reading
		}
		sd := 0.005*reading + 0.5
		p.Streams = append(p.Streams, Stream{
			Name: "s", Measured: i%7 != 6, Reading: reading + sd*dice.NormFloat64(), SD: sd,
		})
	}
	for i := 0; i+2 < streams; i += 3 {
		in := []int{i}
		if i > 0 {
			in = append(in, i-1)
		}
		p.Balances = append(p.Balances, Simple("node", in, []int{i + 1, i + 2}))
	}
	const between = 2 // from the first node to the second: two balances see it
	p.Streams[between].Reading += fault * p.Streams[between].SD
	return p
}

func benchmark(b *testing.B, p *Problem, wrong int) {
	b.ReportAllocs()
	for b.Loop() {
		r, err := Reconcile(p)
		if err != nil || len(r.SetAside) != wrong {
			b.Fatalf("set aside %v, %v; want %d", aside(r), err, wrong)
		}
	}
}

// BenchmarkReconcile60 reconciles a sound network of 60 streams; the limit is 1 ms.
func BenchmarkReconcile60(b *testing.B) { benchmark(b, chain(60, 0), 0) }

// BenchmarkReconcile60Fault does so with one reading to be found and set aside.
func BenchmarkReconcile60Fault(b *testing.B) { benchmark(b, chain(60, 50), 1) }
