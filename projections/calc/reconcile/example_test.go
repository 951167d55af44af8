package reconcile_test

import (
	"fmt"

	"tankside/projections/calc/reconcile"
)

// Three ways of measuring what is in one truck, net gallons. The meter skipped.
func ExampleReconcile() {
	const truck, meter, stick, scale = 0, 1, 2, 3
	p := &reconcile.Problem{
		Streams: []reconcile.Stream{
			truck: {Name: "truck"},
			meter: {Name: "meter", Measured: true, Reading: 3225, SD: 16},
			stick: {Name: "stick", Measured: true, Reading: 3835, SD: 30},
			scale: {Name: "scale", Measured: true, Reading: 3810, SD: 6},
		},
		Balances: []reconcile.Balance{
			reconcile.Simple("", []int{meter}, []int{truck}), reconcile.Simple("", []int{stick}, []int{truck}), reconcile.Simple("", []int{scale}, []int{truck}),
		},
	}
	r, err := reconcile.Reconcile(p)
	if err != nil {
		fmt.Println(err)
		return
	}
	best := r.Estimates[truck]
	fmt.Printf("truck %.0f ± %.0f gal, readings %v\n", best.Value, best.SD, r.Verdict)
	for _, a := range r.SetAside {
		with := a.With.Estimates[truck].Value
		fmt.Printf("without %s, %.0f standard errors away: %s; with it %.0f gal\n", p.Streams[a.Stream].Name, a.Z, a.Why, with)
	}
	// Output:
	// truck 3811 ± 6 gal, readings agree
	// without meter, -34 standard errors away: stands out whichever other reading is left out; with it 3741 gal
}
