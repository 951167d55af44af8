package findings

import (
	"testing"

	"tankside/events/kinds"
	"tankside/events/quantity"
)

func ordered(truck string, usable float64) line {
	return line{"08:00", "Haulier", kinds.TruckOrdered{Truck: truck, Usable: gal(usable), ETA: "09:00"}}
}

func TestTransferRules(t *testing.T) {
	r1 := ordered("R1", 1500)
	bored := func(at, leg string, in float64) line {
		return line{at, "C1 to R1", kinds.PumpOn{Leg: leg, Meter: "skid M", Start: gal(0), Bore: quantity.Of(quantity.Inches(in))}}
	}
	read := func(at string, v float64) line {
		return line{at, "Skid meter", kinds.MeterRead{Leg: "L1", Reads: gal(v)}}
	}
	dip := line{"12:00", "Tank", kinds.DipRead{Total: gal(10)}}
	runCases(t, []ruleCase{
		{"receiver-over-fill", "over", 1, []line{r1, on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 1501)}},
		{"receiver-over-fill", "full to the gallon", 0, []line{r1, on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 1500)}},
		{"receiver-over-fill", "near, the pump running", 1, []line{r1, on("10:00", "L1", "C1", "R1"), read("10:20", 1360)}},
		{"receiver-over-fill", "near, the pump off", 0, []line{r1, on("10:00", "L1", "C1", "R1"), off("10:20", "L1", "C1", "R1", 1360)}},
		{"receiver-no-room", "2,000 into 1,500", 1, []line{load("07:00"), r1, on("10:00", "L1", "C1", "R1")}},
		{"receiver-no-room", "2,000 into 3,800", 0, []line{load("07:00"), ordered("R1", 3800), on("10:00", "L1", "C1", "R1")}},
		{"receiver-no-room", "1,000 into what 2,000 left", 1, []line{
			load("07:00"), ordered("R1", 2800), on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 1990), on("10:40", "L2", "C2", "R1"),
		}},
		{"product-mixed", "diesel after E10 in one receiver", 2, []line{ // into the receiver, and through the hose
			load("07:00"), on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 900), on("10:40", "L2", "C2", "R1"), off("10:50", "L2", "C2", "R1", 900),
		}},
		{"product-mixed", "another receiver, hoses flushed", 0, []line{
			load("07:00"), on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 900),
			{"10:40", "C2 to R2", kinds.PumpOn{Leg: "L2", Hoses: "drained and flushed"}}, off("10:50", "L2", "C2", "R2", 900),
		}},
		{"product-mixed", "last load another, nothing said", 1, []line{
			load("07:00"), r1, {"09:00", "R1", kinds.TruckChecked{LastLoad: "diesel"}}, on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 900),
		}},
		{"product-mixed", "last load another, drained", 0, []line{
			load("07:00"), r1, {"09:00", "R1", kinds.TruckChecked{LastLoad: "diesel", Drained: "yes"}}, on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 900),
		}},
		{"product-mixed", "another truck of which the name begins alike", 0, []line{
			load("07:00"), r1, {"09:00", "R1", kinds.TruckChecked{LastLoad: "diesel"}}, on("10:00", "L1", "C1", "R10"), off("10:30", "L1", "C1", "R10", 900),
		}},
		// 2 in: 0.5/0.0508 is over 7 m/s, so 7 m/s: 225 gal/min. 1 m/s is 32.
		{"rate-over-hose-limit", "226 gal/min through 2 in", 1, []line{bored("10:00", "L1", 2), read("10:10", 2260)}},
		{"rate-over-hose-limit", "224 gal/min through 2 in", 0, []line{bored("10:00", "L1", 2), read("10:10", 2240)}},
		{"no-slow-start", "33 gal/min", 1, []line{bored("10:00", "L1", 2), read("10:02", 66)}},
		{"no-slow-start", "31 gal/min", 0, []line{bored("10:00", "L1", 2), read("10:02", 62)}},
		{"no-slow-start", "too late to tell", 0, []line{bored("10:00", "L1", 2), read("10:10", 900)}},
		{"volume-unaccounted", "a third missing", 1, []line{load("07:00"), on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 1900), dip}},
		{"volume-unaccounted", "not dipped yet", 0, []line{load("07:00"), on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 1900)}},
		{"volume-unaccounted", "all found", 0, []line{
			load("07:00"), on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 1995), on("10:40", "L2", "C2", "R2"), off("11:00", "L2", "C2", "R2", 995), dip,
		}},
		{"volume-unaccounted", "a third missing, told by who emptied them", 1, []line{
			load("07:00"), on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 1900),
			{"12:00", "C1", kinds.CompartmentEmptied{Residual: gal(0)}}, {"12:05", "C2", kinds.CompartmentEmptied{Residual: gal(0)}},
		}},
		{"more-than-load", "3,100 of 3,000", 1, []line{
			load("07:00"), on("10:00", "L1", "C1", "R1"), off("10:30", "L1", "C1", "R1", 2050), on("10:40", "L2", "C2", "R2"), off("11:00", "L2", "C2", "R2", 1050),
		}},
		{"truck-late", "16 min", 1, []line{r1, {"09:16", "Staging", kinds.OnScene{Truck: "R1"}}}},
		{"truck-late", "15 min", 0, []line{r1, {"09:15", "Staging", kinds.OnScene{Truck: "R1"}}}},
		{"vacuum-into-406", "said", 1, []line{
			{"08:00", "Haulier", kinds.TruckOrdered{Truck: "V1", Spec: "DOT 406"}}, {"10:00", "Pool to V1", kinds.PumpOn{Leg: "L1", Vacuum: "yes"}},
		}},
		{"vacuum-into-406", "another truck of which the name begins alike", 0, []line{
			{"08:00", "Haulier", kinds.TruckOrdered{Truck: "V1", Spec: "DOT 406"}}, {"10:00", "Pool to V10", kinds.PumpOn{Leg: "L1", Vacuum: "yes"}},
		}},
		{"vacuum-into-406", "a pump", 0, []line{
			{"08:00", "Haulier", kinds.TruckOrdered{Truck: "V1", Spec: "DOT 406"}}, {"10:00", "C1 to V1", kinds.PumpOn{Leg: "L1"}},
		}},
	})
}
