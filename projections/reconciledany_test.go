package projections

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

// anyEntry is an entry of a transfer that may be anything a scribe can type: amounts
// that contradict each other, zeros, legs without a start, truck or product.
func anyEntry(t *rapid.T, minute int) line {
	when := fmt.Sprintf("%02d:%02d", 9+minute/60, minute%60)
	pick := func(label string, of ...string) string { return rapid.SampledFrom(of).Draw(t, label) }
	some := func(label string) quantity.Amount[quantity.Gallons] {
		if rapid.Bool().Draw(t, label+" said") {
			return gal(float64(rapid.IntRange(0, 9000).Draw(t, label)))
		}
		return quantity.Amount[quantity.Gallons]{}
	}
	temp := func() (a quantity.Amount[quantity.Fahrenheit]) {
		if rapid.Bool().Draw(t, "temp said") {
			a = quantity.Of(quantity.Fahrenheit(rapid.IntRange(-20, 110).Draw(t, "temp")))
		}
		return a
	}
	leg := pick("leg", "L1", "L2", "L3", "")
	from, to := pick("from", "C1", "C2", "tank", "ditch", ""), pick("to", "R1", "R1A", "R1B", "R2", "drum", "")
	switch rapid.IntRange(0, 9).Draw(t, "kind") {
	case 0:
		return line{when, from + " to " + to, kinds.PumpOn{Leg: leg, From: from, To: to, Meter: pick("meter", "skid", ""), Start: some("start")}}
	case 1:
		return line{when, from + " to " + to, kinds.PumpOff{Leg: leg, Meter: some("reads"), Stick: some("stick"), WaterLayer: some("water"), ProductLayer: some("product"), Temp: temp()}}
	case 2:
		return line{when, "meter", kinds.MeterRead{Leg: leg, Reads: some("reads"), StrokeCount: quantity.Of(quantity.Count(rapid.IntRange(0, 3000).Draw(t, "strokes"))), PerStroke: gal(0.5)}}
	case 3:
		return line{when, to, kinds.StickRead{Reads: some("stick"), WaterLayer: some("water"), Temp: temp()}}
	case 4:
		return line{when, to, kinds.ScaleTicket{Net: quantity.Of(quantity.Pounds(rapid.IntRange(0, 60000).Draw(t, "net")))}}
	case 5:
		return line{when, to, kinds.LabResult{Water: quantity.Of(quantity.Percent(rapid.IntRange(0, 100).Draw(t, "lab")))}}
	case 6:
		return line{when, "tank", kinds.DipRead{C: events.KeyedAmounts[quantity.Gallons]{{Key: pick("c", "C1", "C2"), Value: gal(float64(rapid.IntRange(0, 3000).Draw(t, "dip")))}}}}
	case 7:
		return line{when, from + " to " + to, kinds.GallonsTransferred{Leg: leg, From: from, To: to, Amount: some("amount"), Method: pick("method", "meter", "scale", "stick", "estimate", ""), Product: pick("product", "diesel", "E10", "")}}
	case 8:
		return line{when, pick("about", "Leg L1", "R1", "Leg L2"), kinds.DoubtSettled{Ruling: pick("ruling", "meter set aside", "stick set aside", "meter stands", "scale set aside"), WeightSays: some("weight")}}
	}
	return line{when, to, kinds.TruckChecked{Heel: some("heel")}}
}

// Whatever is logged, the state can be written, every answer is a number between its
// bounds or none, and no doubt is below nothing.
func TestAnyTransferHasAState(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		rows := []line{loaded(2500, 1400)}
		if rapid.Bool().Draw(rt, "no load") {
			rows = nil
		}
		for i := range rapid.IntRange(0, 25).Draw(rt, "entries") {
			rows = append(rows, anyEntry(rt, 10+7*i))
		}
		inc := toldOf(t, rows...)
		if _, err := json.Marshal(inc); err != nil {
			rt.Fatalf("%v\n%+v", err, rows)
		}
		s := inc.Volume.State(inc.AsOf)
		var all []Figure
		for _, l := range s.Legs {
			all = append(all, l.Best, l.BestWater)
		}
		for _, r := range s.Receivers {
			all = append(all, r.Best, r.BestWater)
		}
		for _, c := range s.Compartments {
			all = append(all, c.Best, c.LeftOver)
		}
		for _, f := range append(all, s.Transferred, s.LeftOver, s.Unaccounted) {
			if math.IsNaN(f.Value) || math.IsInf(f.Value, 0) || math.IsNaN(f.U) || f.U < 0 || f.Known && (f.Low > f.Value || f.Value > f.High) {
				rt.Fatalf("%+v\n%+v", f, rows)
			}
		}
		for _, r := range s.Reconciled {
			if r.Verdict == "no answer" {
				rt.Fatalf("%s\n%+v", r.Why, rows)
			}
		}
	})
}
