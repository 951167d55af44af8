package projections

import (
	"math"
	"strings"
	"testing"
	"time"

	"tankside/events/kinds"
	"tankside/events/quantity"
)

func fixed(lat, lon float64) kinds.PlaceFixed {
	return kinds.PlaceFixed{Lat: quantity.Of(quantity.Degrees(lat)), Lon: quantity.Of(quantity.Degrees(lon))}
}

// TestPlaces: a place that moved lies where it was fixed last, and before it was first
// fixed where that was.
func TestPlaces(t *testing.T) {
	inc := toldOf(t, line{"10:00", "Command post", fixed(40.1, -82.4)}, line{"11:00", "Command post", fixed(40.2, -82.5)})
	at := inc.Places.Fixed
	for clock, want := range map[string]float64{"09:00": 40.1, "10:30": 40.1, "12:00": 40.2} {
		now, err := time.Parse("15:04", clock)
		if err != nil {
			t.Fatal(err)
		}
		day := at[0].At.Best
		moment := time.Date(day.Year(), day.Month(), day.Day(), now.Hour(), now.Minute(), 0, 0, day.Location())
		if got := Where(at, "command POST", moment); got == nil || got.Lat.Value != want {
			t.Errorf("at %s: got %+v, want latitude %g", clock, got, want)
		}
	}
	if Where(at, "Staging", at[0].At.Best) != nil {
		t.Error("a place nobody fixed has a position")
	}
}

// TestOddPlaces: what is swapped, or lies in another country, is asked about.
func TestOddPlaces(t *testing.T) {
	for _, tt := range []struct {
		name string
		rows []line
		want string
	}{
		{"two near", []line{{"10:00", "A", fixed(40.1, -82.4)}, {"10:01", "B", fixed(40.11, -82.41)}}, ""},
		{"first swapped", []line{{"10:00", "A", fixed(-82.4, 40.1)}}, "A lies south and east of zero; were latitude and longitude swapped?"},
		{"second swapped", []line{{"10:00", "A", fixed(40.1, -82.4)}, {"10:01", "B", fixed(-82.4, 40.1)}}, "were latitude and longitude swapped?"},
		{"a digit", []line{{"10:00", "A", fixed(40.1, -82.4)}, {"10:01", "B", fixed(50.1, -82.4)}}, "B lies 1112 km from A; is a digit or a sign wrong?"},
		{"no place", []line{{"10:00", "", fixed(40.1, -82.4)}}, "without the name"},
		{"half", []line{{"10:00", "A", kinds.PlaceFixed{Lat: quantity.Of(quantity.Degrees(40.1))}}}, "needs both"},
	} {
		var got []string
		for _, n := range toldOf(t, tt.rows...).Places.Notes {
			got = append(got, n.Text)
		}
		if text := strings.Join(got, "|"); (tt.want == "") != (text == "") || !strings.Contains(text, tt.want) {
			t.Errorf("%s: notes %q, want %q", tt.name, text, tt.want)
		}
	}
}

// TestKilometres: a degree of latitude is a 360th of the way round the mean sphere.
func TestKilometres(t *testing.T) {
	a, b := Position{Lat: Exact(0, "deg", ""), Lon: Exact(0, "deg", "")}, Position{Lat: Exact(1, "deg", ""), Lon: Exact(0, "deg", "")}
	if got, want := a.Kilometres(b), 2*math.Pi*earthRadius/360; math.Abs(got-want) > 1e-9 {
		t.Errorf("one degree: got %g km, want %g", got, want)
	}
}
