package findings

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
)

func foamOn(area float64, kind string) kinds.FoamApplied {
	f := kinds.FoamApplied{
		Flow: quantity.Of[quantity.GallonsPerMinute](125), Ran: quantity.Of[quantity.Minutes](8),
		Mix: quantity.Of[quantity.Percent](3), Foam: kind,
	}
	if area > 0 {
		f.Area = quantity.Of(quantity.SquareFeet(area))
	}
	return f
}

// Each rule of the foam, with the entry that starts it and the entries that answer it.
func TestFoamRules(t *testing.T) {
	leak := line{"12:05", "C4 dome", kinds.LeakSeen{GuessRate: quantity.Of[quantity.GallonsPerMinute](5)}}
	in, wheels := line{"12:30", "Line", kinds.InHot{Pair: "1"}}, line{"14:00", "Tank", kinds.OnWheels{}}
	order := line{"12:00", "", kinds.OrderGiven{Rule: []string{"foam again at 60 min"}}}
	for _, tt := range []struct {
		name string
		rows []line
		want []string
	}{
		{"leak, foam, entry", []line{order, leak, {"12:10", "Ditch", foamOn(0, "")}, in}, nil},
		{"leak, entry, foam", []line{order, leak, in, {"12:40", "Ditch", foamOn(0, "")}}, []string{"no-foam-before-access caution first entry 0"}},
		{"leak, entry, no foam at all", []line{leak, in}, []string{"no-foam-before-access caution first entry 0"}},
		{"no leak, no vapour", []line{in, {"12:35", "C4", lel(22)}}, nil},
		{"leak stopped before", []line{leak, {"12:20", "C4 dome", kinds.LeakStopped{}}, in}, nil},
		{"vapour, entry", []line{{"12:20", "C4", lel(10)}, in}, []string{"no-foam-before-access serious first entry 0"}},
		{"vapour below the level", []line{{"12:20", "C4", lel(9.9)}, in}, nil},
		{"decided against", []line{leak, {"12:20", "", kinds.Decision{Choice: "no foam", Grounds: "far under its flash"}}, in}, nil},
		{"decided for", []line{leak, {"12:20", "", kinds.Decision{Choice: "no entry before the foam is on"}}, in}, []string{"no-foam-before-access caution first entry 0"}},
		{"at the interval ordered", []line{order, {"12:10", "Ditch", foamOn(0, "")}, {"13:10", "Ditch", foamOn(0, "")}, wheels}, nil},
		{"past it", []line{order, {"12:10", "Ditch", foamOn(0, "")}, {"13:11", "Ditch", foamOn(0, "")}, wheels}, []string{"foam-late caution foam 61"}},
		{"past it till the work was done", []line{order, {"12:10", "Ditch", foamOn(0, "")}, wheels}, []string{"foam-late caution foam 110"}},
		{"ordered while it lay", []line{{"12:10", "Ditch", foamOn(0, "")}, {"12:50", "", kinds.OrderGiven{Rule: []string{"foam again at 60 min"}}}, {"13:00", "Ditch", foamOn(0, "")}, wheels}, nil},
		{"ordered sooner while it lay", []line{order, {"12:10", "Ditch", foamOn(0, "")}, {"13:00", "", kinds.OrderGiven{Rule: []string{"foam every 30 min"}}}, {"13:30", "Ditch", foamOn(0, "")}, {"13:50", "Ditch", foamOn(0, "")}, wheels}, nil},
		{"ordered sooner while it lay, and past that", []line{order, {"12:10", "Ditch", foamOn(0, "")}, {"13:00", "", kinds.OrderGiven{Rule: []string{"foam every 30 min"}}}, {"13:31", "Ditch", foamOn(0, "")}, {"13:50", "Ditch", foamOn(0, "")}, wheels}, []string{"foam-late caution foam 31"}},
		{"ordered later while it was late", []line{order, {"12:10", "Ditch", foamOn(0, "")}, {"13:15", "", kinds.OrderGiven{Rule: []string{"foam every 90 min"}}}, {"13:20", "Ditch", foamOn(0, "")}, wheels}, []string{"foam-late caution foam 70"}},
		{"none ordered", []line{{"13:30", "Ditch", foamOn(0, "")}, {"13:46", "Ditch", foamOn(0, "")}, wheels}, []string{"foam-late info foam 16"}},
		{"none ordered, and read clear", []line{{"13:30", "Ditch side", foamOn(0, "")}, {"13:40", "Ditch", lel(3)}, {"13:50", "Ditch", foamOn(0, "")}, wheels}, nil},
		{"none ordered, read clear elsewhere", []line{{"13:30", "Ditch side", foamOn(0, "")}, {"13:40", "NE side", lel(3)}, {"13:50", "Ditch", foamOn(0, "")}, wheels}, []string{"foam-late info foam 20"}},
		{"resists alcohol and lasts", []line{{"13:20", "Ditch", foamOn(0, "AR-AFFF")}, {"13:50", "Ditch", foamOn(0, "AR-AFFF")}, wheels}, nil},
		{"too little", []line{order, {"13:30", "Ditch", foamOn(2000, "AFFF")}, wheels}, []string{"foam-under-applied caution Ditch 0"}}, // 30 of 90 gal
		{"nine tenths of it", []line{order, {"13:30", "Ditch", foamOn(740.7, "AFFF")}, wheels}, nil},                                    // 30 of 33.3 gal
		{"no area", []line{order, {"13:30", "Ditch", foamOn(0, "AFFF")}, wheels}, nil},
		{"not for alcohol", []line{order, {"12:01", "C1", kinds.ProductNamed{Product: "E85"}}, {"13:30", "Ditch", foamOn(0, "AFFF 3 %")}, {"13:40", "Pan", foamOn(0, "AFFF")}, wheels}, []string{"foam-not-for-alcohol serious AFFF 10"}},
		{"for alcohol", []line{order, {"12:01", "C1", kinds.ProductNamed{Product: "E85"}}, {"13:30", "Ditch", foamOn(0, "AR-AFFF 3x6")}, wheels}, nil},
		{"which foam is not recorded", []line{order, {"12:01", "C1", kinds.ProductNamed{Product: "E85"}}, {"13:30", "Ditch", foamOn(0, "")}, wheels}, []string{"foam-not-for-alcohol caution foam 0"}},
		{"ten per cent is not more", []line{order, {"12:01", "C1", kinds.ProductNamed{Product: "E10"}}, {"13:30", "Ditch", foamOn(0, "AFFF")}, wheels}, nil},
	} {
		if got := ofFamily(t, "foam", tt.rows...); !slices.Equal(got, tt.want) {
			t.Errorf("%s:\n got %q\nwant %q", tt.name, got, tt.want)
		}
	}
}

// The two incidents: four gaps past the hour that was ordered, of 76, 72, 70 and 79
// min, and none of them before it was ordered; no foam at the mill, on purpose.
func TestFoamOfTheIncidents(t *testing.T) {
	for name, want := range map[string]string{"quarry-bend": "76 over 60 [20]; 72 over 60 [20]; 70 over 60 [20]; 79 over 60 [20]", "harrow-mill": ""} {
		var got []string
		b := Defaults()
		for _, f := range judged(incident(t, name), events.View{}, b).Findings {
			if b.Rule(f.Rule).Family == "foam" {
				got = append(got, fmt.Sprintf("%v over %v %v", f.Observed.Value, f.Limit.Value, f.Limit.From))
			}
		}
		if s := strings.Join(got, "; "); s != want {
			t.Errorf("%s: %s, want %s", name, s, want)
		}
	}
}
