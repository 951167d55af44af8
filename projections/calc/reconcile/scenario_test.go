package reconcile

import (
	"math"
	"slices"
	"testing"
)

// build makes a problem stream by stream.
type build struct {
	Problem
	t *testing.T
}

// amount adds a true amount that nobody reads directly.
func (b *build) amount(name string) int {
	b.Streams = append(b.Streams, Stream{Name: name})
	return len(b.Streams) - 1
}

// read adds a reading with its doubt.
func (b *build) read(name string, reading, sd float64) int {
	b.Streams = append(b.Streams, Stream{Name: name, Measured: true, Reading: reading, SD: sd})
	return len(b.Streams) - 1
}

// readOf adds a reading of an amount.
func (b *build) readOf(amount int, name string, reading, sd float64) int {
	i := b.read(name, reading, sd)
	b.Balances = append(b.Balances, Simple("", []int{i}, []int{amount}))
	return i
}

func (b *build) reconcile() *Result {
	b.t.Helper()
	r, err := Reconcile(&b.Problem)
	if err != nil {
		b.t.Fatal(err)
	}
	return r
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.4f, want %g ± %g", what, got, want, tol)
	}
}

func aside(r *Result) (streams []int) {
	for _, a := range r.SetAside {
		streams = append(streams, a.Stream)
	}
	return streams
}

// The linear correction of the scene: E10 at 62 °F, diesel at 61 °F.
const (
	e10At62    = 1 - 0.00069*2
	dieselAt61 = 1 - 0.00046*1
	e10Pounds  = 6.22 // lb per net gallon
)

// truck adds a receiver filled by two legs through one meter, whose errors are
// one error, with a stick and a scale ticket; it returns the receiver and the
// readings of the legs.
func (b *build) truck(name string, first, second, stick, stickSD, pounds float64) (truck, m1, m2 int) {
	l1, l2 := b.amount(name+" first leg"), b.amount(name+" second leg")
	truck = b.amount(name)
	b.Balances = append(b.Balances, Simple(name, []int{l1, l2}, []int{truck}))
	m1 = b.readOf(l1, name+" first meter", first*e10At62, 0.005*first*e10At62)
	m2 = b.readOf(l2, name+" second meter", second*e10At62, 0.005*second*e10At62)
	b.Correlations = append(b.Correlations, Correlation{m1, m2, 1})
	b.readOf(truck, name+" stick", stick*e10At62, stickSD)
	b.readOf(truck, name+" scale", pounds/e10Pounds, 40/e10Pounds)
	return truck, m1, m2
}

// TestQuarryBendR1 weighs two legs off one meter, a stick and a scale ticket.
func TestQuarryBendR1(t *testing.T) {
	b := &build{t: t}
	r1, _, _ := b.truck("R1", 1012, 2469, 3450, 25, 21520)
	r := b.reconcile()
	near(t, "R1", r.Estimates[r1].Value, 3460.9, 0.05)
	near(t, "doubt of R1", r.Estimates[r1].SD, 5.9, 0.05)
	near(t, "chi-square", r.ChiSquare, 1.2, 0.05)
	if r.DF != 2 || r.Verdict != Agree || len(r.SetAside) > 0 {
		t.Errorf("df %d, %v, set aside %v; want 2, agree, none", r.DF, r.Verdict, aside(r))
	}
}

// TestQuarryBendR2 has a meter that missed 604 gal. On the truck alone both legs'
// readings could be the wrong one; the stick and the scale are cleared.
func TestQuarryBendR2(t *testing.T) {
	b := &build{t: t}
	r2, m3, m4 := b.truck("R2", 1859, 1370, 3840, 30, 23700)
	r := b.reconcile()
	near(t, "R2 with everything in", r.Estimates[r2].Value, 3733.9, 0.5)
	near(t, "chi-square", r.ChiSquare, 1150, 0.02*1150)
	if len(r.SetAside) > 0 || len(r.Suspects) != 1 {
		t.Fatalf("set aside %v, suspects %v; want none and one group", aside(r), r.Suspects)
	}
	if got := slices.Sorted(slices.Values(r.Suspects[0])); !slices.Equal(got, []int{m3, m4}) {
		t.Errorf("suspects %v, want the two meters %d and %d", got, m3, m4)
	}

	b.Streams[m3].Doubt = "53 gal in 7 min at 84 strokes a minute, before it 524 in 10"
	checkR2(t, b.reconcile(), r2, m3, b.Streams[m3].Doubt)

	b.Streams[m3].Doubt, b.Streams[m3].Ruling = "", Excluded
	r = b.reconcile()
	checkR2(t, r, r2, m3, "set aside by ruling")
	if !r.SetAside[0].ByRule {
		t.Error("the ruling is not marked as one")
	}
}

func checkR2(t *testing.T, r *Result, r2, m3 int, why string) {
	t.Helper()
	near(t, "R2", r.Estimates[r2].Value, 3811.4, 0.1)
	near(t, "doubt of R2", r.Estimates[r2].SD, 6.4, 0.13)
	near(t, "chi-square", r.ChiSquare, 0.6, 0.1)
	if !slices.Equal(aside(r), []int{m3}) || r.Verdict != Agree {
		t.Fatalf("set aside %v, %v; want the meter of leg 3 and agree", aside(r), r.Verdict)
	}
	a := r.SetAside[0]
	near(t, "meter of leg 3, standard errors away", a.Z, -33.8, 0.3)
	near(t, "R2 with the meter in", a.With.Estimates[r2].Value, 3733.9, 0.5)
	if a.Why != why {
		t.Errorf("why = %q, want %q", a.Why, why)
	}
}

// TestQuarryBendMeterTotal takes the meter's two legs as one reading, the form in
// which stick, scale and meter stand three against one another: dropping the
// stick or the scale does not heal the balance, dropping the meter does.
func TestQuarryBendMeterTotal(t *testing.T) {
	b := &build{t: t}
	r2 := b.amount("R2")
	meter := b.readOf(r2, "meters", 3229*e10At62, 0.005*3229*e10At62)
	stick := b.readOf(r2, "stick", 3840*e10At62, 30)
	scale := b.readOf(r2, "scale", 23700/e10Pounds, 40/e10Pounds)
	r := b.reconcile()
	if !slices.Equal(aside(r), []int{meter}) {
		t.Fatalf("set aside %v, want the meter, %d", aside(r), meter)
	}
	near(t, "R2", r.Estimates[r2].Value, 3811.4, 0.1)
	for drop, want := range map[int]float64{stick: 1139, scale: 322} {
		b.Streams[drop].Ruling = Excluded
		s, err := Solve(&b.Problem)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "chi-square without the other", s.ChiSquare, want, 0.02*want)
		b.Streams[drop].Ruling = Unruled
	}
}

// quarryBend is the whole network: five compartments by the bill of lading, the
// dips, the pans, the leaks, five legs, three receivers.
func quarryBend(t *testing.T) (b *build, trucks []int, m3 int) {
	b = &build{t: t}
	r1, _, _ := b.truck("R1", 1012, 2469, 3450, 25, 21520)
	r2, m3, _ := b.truck("R2", 1859, 1370, 3840, 30, 23700)
	r3 := b.amount("R3A")
	const litres = 3.785411784
	b.readOf(r3, "R3A meter", 3537/litres*dieselAt61, 0.005*3537/litres)
	b.readOf(r3, "R3A stick", 925*dieselAt61, 12)

	first := func(truck int) int { return truck - 2 } // legs stand before their truck
	legs := []int{first(r2), first(r2) + 1, r3, first(r1), first(r1) + 1}
	load := []float64{2481.0, 1389.4, 945.2, 1290.1, 2530.6} // net, by the bill
	dip := []float64{25, 20, 10, 15, 25}
	pan := []float64{4, 3, 0, 5, 4}
	leak := []float64{0, 0, 0, 269, 37} // rate by bucket and cup × time
	for c := range legs {
		l := b.read("load", load[c], 0.005*load[c])
		d := b.read("dip", dip[c], 2)
		out := []int{legs[c], d}
		if pan[c] > 0 {
			out = append(out, b.read("pan", pan[c], 2))
		}
		if leak[c] > 0 {
			out = append(out, b.read("leak", leak[c], 0.2*leak[c]))
		}
		b.Balances = append(b.Balances, Simple("compartment", []int{l}, out))
	}
	return b, []int{r1, r2, r3}, m3
}

// TestQuarryBendWhole names the meter of leg 3 without help from anywhere: what
// the bill says was in compartment 1 tells it from the meter of leg 4.
func TestQuarryBendWhole(t *testing.T) {
	b, trucks, m3 := quarryBend(t)
	r := b.reconcile()
	if !slices.Equal(aside(r), []int{m3}) || r.Verdict != Agree {
		t.Fatalf("set aside %v, %v, suspects %v; want the meter of leg 3, %d", aside(r), r.Verdict, r.Suspects, m3)
	}
	truth := []float64{3462.8, 3812.4, 931.2}
	var all []Term
	for k, i := range trucks {
		near(t, b.Streams[i].Name, r.Estimates[i].Value, truth[k], 2*r.Estimates[i].SD)
		all = append(all, Term{i, 1})
	}
	total, sd := r.Sum(all...)
	near(t, "total", total, 8206.4, 2*sd)
}

// TestQuarryBendTotal adds the three receivers, each weighed for itself.
func TestQuarryBendTotal(t *testing.T) {
	b := &build{t: t}
	r1, _, _ := b.truck("R1", 1012, 2469, 3450, 25, 21520)
	r2, m3, _ := b.truck("R2", 1859, 1370, 3840, 30, 23700)
	b.Streams[m3].Ruling = Excluded
	r3 := b.amount("R3A")
	const litres = 3.785411784
	b.readOf(r3, "R3A meter", 3537/litres*dieselAt61, 0.005*3537/litres*dieselAt61)
	b.readOf(r3, "R3A stick", 925*dieselAt61, 12)
	left := b.amount("left over")
	b.Streams[left].Signed = true
	load := b.read("load", 8636.4, 0)
	lost := []int{b.read("dip", 95, 0), b.read("leak", 306, 0), b.read("pans", 16, 0)}
	b.Balances = append(b.Balances, Simple("load", []int{load}, append(lost, r1, r2, r3, left)))
	r := b.reconcile()
	near(t, "R3A", r.Estimates[r3].Value, 932.7, 0.05)
	near(t, "doubt of R3A", r.Estimates[r3].SD, 4.4, 0.06)
	total, _ := r.Sum(Term{r1, 1}, Term{r2, 1}, Term{r3, 1})
	near(t, "total", total, 8205.0, 1)
	near(t, "left over", r.Estimates[left].Value, 14, 5)
	if r.Estimates[left].Standing != WorkedOut {
		t.Errorf("left over is %v, want worked out", r.Estimates[left].Standing)
	}
}

// The exact correction of the scene: No. 2 at 22 °F and 31 °F, kerosene at 21.2 °F
// (API MPMS 11.1, 1980 form).
const (
	no2At22  = 1.01726
	no2At31  = 1.01319
	keroAt21 = 1.01941
)

// TestHarrowMillR1 has two products in one truck: a scale ticket for both.
func TestHarrowMillR1(t *testing.T) {
	b := &build{t: t}
	no2, kero := b.amount("No. 2"), b.amount("kerosene")
	b.readOf(no2, "L1 meter", 897*no2At22, 0.005*897*no2At22)
	b.readOf(kero, "L2 meter", 526*keroAt21, 0.005*526*keroAt21)
	b.readOf(no2, "R1A stick", 900*no2At22, 12)
	b.readOf(kero, "R1B stick", 519*keroAt21, 12)
	scale := b.read("scale", 10120, 40)
	b.Balances = append(b.Balances, Balance{"R1 ticket", []Term{{no2, 7.14}, {kero, 6.75}, {scale, -1}}, 0})
	r := b.reconcile()
	near(t, "No. 2", r.Estimates[no2].Value, 912.2, 0.06)
	near(t, "doubt of No. 2", r.Estimates[no2].SD, 3.5, 0.06)
	near(t, "kerosene", r.Estimates[kero].Value, 535.6, 0.06)
	near(t, "doubt of kerosene", r.Estimates[kero].SD, 2.5, 0.06)
	sum, sd := r.Sum(Term{no2, 1}, Term{kero, 1})
	near(t, "sum", sum, 1447.8, 0.06)
	near(t, "doubt of the sum", sd, 3.8, 0.06)
	near(t, "chi-square", r.ChiSquare, 0.47, 0.006)
	if r.DF != 3 || r.Verdict != Agree {
		t.Errorf("df %d, %v; want 3 and agree", r.DF, r.Verdict)
	}
}

// harrowV1 is oil and water in one truck; the lab gives water by volume, which is
// not linear in the two.
func harrowV1(t *testing.T, lab bool) (b *build, oil, water int) {
	b = &build{t: t}
	oil, water = b.amount("oil, net"), b.amount("water")
	stick := b.read("stick", 1470, 15)
	b.readOf(water, "paste", 620, 15)
	scale := b.read("scale", 11340, 40)
	b.Balances = append(b.Balances,
		Balance{"V1 stick", []Term{{oil, 1 / no2At31}, {water, 1}, {stick, -1}}, 0},
		Balance{"V1 ticket", []Term{{oil, 7.14}, {water, 8.34}, {scale, -1}}, 0})
	if lab {
		share := b.read("lab, water share", 0.419, 0.01)
		b.Relations = append(b.Relations, Relation{"lab", []int{oil, water, share}, func(v []float64) (float64, []float64) {
			all := v[0]/no2At31 + v[1]
			return v[1]/all - v[2], []float64{-v[1] / (all * all * no2At31), v[0] / no2At31 / (all * all), -1}
		}})
	}
	return b, oil, water
}

func TestHarrowMillV1(t *testing.T) {
	for _, tt := range []struct {
		lab                           bool
		oil, oilSD, water, waterSD, g float64
		df                            int
	}{
		{false, 863.3, 17.9, 620.4, 14.9, 0.03, 1},
		{true, 865.3, 12.3, 618.7, 10.2, 0.05, 2},
	} {
		b, oil, water := harrowV1(t, tt.lab)
		r := b.reconcile()
		near(t, "oil", r.Estimates[oil].Value, tt.oil, 0.06)
		near(t, "doubt of oil", r.Estimates[oil].SD, tt.oilSD, 0.06)
		near(t, "water", r.Estimates[water].Value, tt.water, 0.06)
		near(t, "doubt of water", r.Estimates[water].SD, tt.waterSD, 0.06)
		near(t, "chi-square", r.ChiSquare, tt.g, 0.006)
		if r.DF != tt.df || len(r.SetAside) > 0 {
			t.Errorf("df %d, set aside %v; want %d and none", r.DF, aside(r), tt.df)
		}
	}
}
