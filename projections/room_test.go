package projections

import (
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

func lb(v float64) quantity.Amount[quantity.Pounds] { return quantity.Of(quantity.Pounds(v)) }

// Each fact that is told may bring another limit to bind. Diesel weighs 7.04 lb a
// gallon and shrinks by 0.00046 for each degree; at 60 °F a bare tank may be filled to
// 0.99·(1 − 0.00046·55) = 0.964953 of it.
func TestRoomByTheSmallestLimit(t *testing.T) {
	order := line{"09:00", "yard", kinds.TruckOrdered{Truck: "R1", Usable: gal(3900), Product: "diesel"}}
	rows := []line{order, {"09:30", "R1", kinds.TruckChecked{Truck: "R1", Heel: gal(0)}}}
	for _, tt := range []struct {
		told  kinds.TruckChecked
		room  float64
		by    string
		count int
	}{
		{kinds.TruckChecked{}, 3900, "usable volume said", 1},
		{kinds.TruckChecked{Capacity: gal(4000)}, 0.95 * 4000, "outage", 2}, // nobody read the temperature: the usual 95 %
		{kinds.TruckChecked{Empty: lb(26000), LimitWeight: lb(52000)}, 26000 / 7.04, "gross weight", 3},
		{kinds.TruckChecked{Limit: gal(3500)}, 3500, "department's limit", 4},
		{kinds.TruckChecked{Limit: gal(3700), LimitWeight: lb(90000)}, 3700, "department's limit", 4},
	} {
		tt.told.Truck = "R1"
		rows = append(rows, line{"09:40", "R1", tt.told})
		s := receiver(t, volumeOf(t, rows...), "R1")
		near1(t, "room with "+tt.by, s.Room, tt.room, 0.01)
		if s.RoomBy != tt.by || len(s.Limits) != tt.count || !strings.Contains(s.Room.Method, "by "+tt.by) {
			t.Errorf("room is by %q (%s), of %d limits; want %q of %d", s.RoomBy, s.Room.Method, len(s.Limits), tt.by, tt.count)
		}
	}
	// A leg at 60 °F took 400 gal: the outage is reckoned by the temperature then.
	rows = append(rows[:3:3], line{"10:00", "C1 to R1", kinds.PumpOn{Leg: "L1", Start: gal(0)}},
		line{"10:10", "C1 to R1", kinds.MeterRead{Leg: "L1", Reads: gal(200), Temp: quantity.Of[quantity.Fahrenheit](60)}},
		line{"10:20", "C1 to R1", kinds.PumpOff{Leg: "L1", Meter: gal(400)}}, line{"09:45", "R1", kinds.TruckChecked{Truck: "R1", Capacity: gal(4000)}})
	s := receiver(t, volumeOf(t, rows...), "R1")
	near1(t, "room after a leg", s.Room, 0.964953*4000-400, 0.01)
}

// A weight is of the truck: one hole has what the other has not taken of it.
func TestRoomOfTwoHoles(t *testing.T) {
	rows := []line{
		{"09:00", "yard", kinds.TruckOrdered{Truck: "R3", Product: "diesel", Capacity: gal(2000), Holes: events.KeyedAmounts[quantity.Gallons]{{Key: "A", Value: gal(1000)}, {Key: "B", Value: gal(900)}}}},
		{"09:30", "R3", kinds.TruckChecked{Truck: "R3", Dry: "yes", Empty: lb(20000), LimitWeight: lb(30000)}},
		{"10:00", "C1 to R3B", kinds.PumpOn{Leg: "L1", Start: gal(0)}},
		{"10:20", "C1 to R3B", kinds.PumpOff{Leg: "L1", Meter: gal(800)}},
	}
	v := volumeOf(t, rows...)
	a, b := receiver(t, v, "R3A"), receiver(t, v, "R3B")
	near1(t, "room in A", a.Room, 10000/7.04-800, 0.01)
	near1(t, "room in B", b.Room, 100, 0.01)
	if a.RoomBy != "gross weight" || b.RoomBy != "usable volume said" {
		t.Errorf("room is by %q in A and by %q in B; want gross weight and usable volume said", a.RoomBy, b.RoomBy)
	}
	for _, l := range a.Limits {
		if l.Limit == "outage" {
			t.Error("the capacity of the truck is taken for that of one of its two holes")
		}
	}
}

// A vacuum truck that takes up product and water is weighed as if it took water; one of
// which nothing was told has no room anybody knows of.
func TestRoomOfWaterAndOfNothingTold(t *testing.T) {
	rows := []line{
		{"09:30", "V1", kinds.TruckChecked{Truck: "V1", Dry: "yes", Empty: lb(30000), LimitWeight: lb(46680)}},
		{"10:00", "ditch to V1", kinds.PumpOn{Leg: "V", Start: gal(0)}},
		{"10:20", "ditch to V1", kinds.PumpOff{Leg: "V", Meter: gal(500)}},
		{"10:30", "C1 to R9", kinds.PumpOn{Leg: "L9", Start: gal(0)}},
		{"10:40", "C1 to R9", kinds.PumpOff{Leg: "L9", Meter: gal(300)}},
	}
	v := volumeOf(t, rows...)
	near1(t, "room in V1", receiver(t, v, "V1").Room, 16680/8.34-500, 0.01)
	r := receiver(t, v, "R9")
	if r.Room.Known || r.RoomBy != "" || !strings.Contains(strings.Join(r.Room.Missing, " "), "usable volume of R9") {
		t.Errorf("R9: %+v by %q; want it unknown for want of the usable volume", r.Room, r.RoomBy)
	}
}

// What a truck may weigh goes by its axles where nobody said it: 5 of them over 36 ft
// carry 500·(36·5/4 + 60 + 36) = 70,500 lb by the bridge formula, over 60 ft more than
// the federal 80,000. A weight that was said goes before it.
func TestRoomByTheBridgeFormula(t *testing.T) {
	axles := func(feet float64, said kinds.TruckChecked) float64 {
		said.Truck, said.Empty = "R1", lb(26000)
		said.Axles, said.Wheelbase = quantity.Of[quantity.Count](5), quantity.Of(quantity.Feet(feet))
		s := receiver(t, volumeOf(t, line{"09:00", "yard", kinds.TruckOrdered{Truck: "R1", Product: "diesel"}}, line{"09:40", "R1", said}), "R1")
		return s.Room.Value * 7.04
	}
	for _, tt := range []struct {
		feet float64
		said kinds.TruckChecked
		want float64
	}{{36, kinds.TruckChecked{}, 44500}, {60, kinds.TruckChecked{}, 54000}, {36, kinds.TruckChecked{LimitWeight: lb(76000)}, 50000}} {
		if got := axles(tt.feet, tt.said); got < tt.want-1 || got > tt.want+1 {
			t.Errorf("5 axles over %g ft: room for %.0f lb, want %.0f", tt.feet, got, tt.want)
		}
	}
}
