package receiver

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
	"tankside/projections/calc/petroleum"
	"tankside/projections/calc/published"
)

func product(name string) petroleum.Product { p, _ := petroleum.Defaults().Find(name); return p }

var checks = map[string]func(published.Row) []float64{
	"fill": func(r published.Row) []float64 {
		share, _ := MaxFill(Bare, Lading{product(r.Text("product")), quantity.APIGravity(r.Num("api")), quantity.Fahrenheit(r.Num("f"))})
		return []float64{share}
	},
	"by weight": func(r published.Row) []float64 {
		t := New()
		t.Tare, t.Heel = quantity.Pounds(r.Num("tare")), 0
		p := petroleum.Product{Name: "test", PerGallon: r.Num("per"), Alpha: 0.0005}
		room, err := t.Room(Lading{Product: p, Temp: 60})
		return []float64{r.Ok(float64(room.More), err)}
	},
	"bridge": func(r published.Row) []float64 { return []float64{bridge(r.Num("ft"), r.Num("axles"))} },
	"bridge rounded": func(r published.Row) []float64 {
		w, err := Bridge(quantity.Feet(r.Num("ft")), int(r.Num("axles")))
		return []float64{r.Ok(float64(w), err)}
	},
}

func TestPublished(t *testing.T) { published.Hold(t, os.ReadFile, "receiver.csv", 18, checks) }

// The thumb rule of 95 % is over the limit for gasoline loaded cold.
func TestColdGasolineIsBelowTheThumbRule(t *testing.T) {
	share, why := MaxFill(Bare, Lading{product("gasoline"), 60, 40})
	if !(share < 0.95) || !strings.Contains(why, "115 F") {
		t.Errorf("gasoline at 40 F may fill %.4f (%s), want below 0.95", share, why)
	}
	insulated, _ := MaxFill(Insulated, Lading{product("gasoline"), 60, 40})
	if !(insulated > share) {
		t.Errorf("insulated %.4f, bare %.4f: want more where less heat comes in", insulated, share)
	}
	if hot, _ := MaxFill(Bare, Lading{product("gasoline"), 60, 120}); math.Abs(hot-0.99) > 1e-12 {
		t.Errorf("hotter than the rule's temperature may fill %g, want 0.99", hot)
	}
}

// The smallest limit decides and is named.
func TestSmallestWins(t *testing.T) {
	base := New()
	base.Capacity, base.Heel, base.Tare = 3000, 120, 26000
	gasoline := Lading{product("gasoline"), 60, 60}
	for _, tt := range []struct {
		least string
		with  func(*Truck)
		want  float64
		by    string
	}{
		{"outage", func(*Truck) {}, 3000*0.95239 - 120, "row F1"},
		{"gross weight", func(t *Truck) { t.Gross = 40000 }, 14000/6.15127 - 120, "14,000 lb at 6.1513 lb/gal in air"},
		{"rated lading", func(t *Truck) { t.Rated = 12000 }, 12000/6.15127 - 120, "12,000 lb at 6.1513 lb/gal in air"},
		{"department's limit", func(t *Truck) { t.Allowed = 2400 }, 2280, "2,400 − 120"},
		{"department's limit", func(t *Truck) { t.Allowed = 100 }, -20, "it holds too much already"},
		{"gross weight", func(t *Truck) { t.Gross = 25000 }, -1000/6.15127 - 120, "it is too heavy already"},
	} {
		truck := base
		tt.with(&truck)
		r, err := truck.Room(gasoline)
		if err != nil || r.Least.Name != tt.least || math.Abs(float64(r.More)-tt.want) > 0.1 || r.Limits[0] != r.Least || len(r.Missing) > 0 {
			t.Errorf("%s: %.2f by %s, %v, missing %q; want %.2f by %s", tt.by, r.More, r.Least.Name, err, r.Missing, tt.want, tt.least)
		}
	}
}

// What nobody knows is named, and is no limit.
func TestWhatIsMissing(t *testing.T) {
	for _, tt := range []struct {
		name    string
		truck   func(*Truck)
		lading  Lading
		want    float64 // NaN: no limit is known
		least   string
		missing []string
	}{
		{
			"nothing", func(*Truck) {}, Lading{Temp: quantity.Fahrenheit(Unknown)}, Unknown, "",
			[]string{"its capacity", "what it holds", "the product's temperature", "the product"},
		},
		{
			"only the plate", func(t *Truck) { t.Capacity = 3000 }, Lading{Product: product("diesel"), Temp: quantity.Fahrenheit(Unknown)}, 2850, "outage",
			[]string{"its empty weight", "what it holds", "the product's temperature"},
		},
		{
			"no product", func(t *Truck) { t.Capacity, t.Heel, t.Tare = 3000, 0, 26000 }, Lading{Temp: 60}, 2790, "outage",
			[]string{"the product"},
		},
		{
			"no capacity", func(t *Truck) { t.Heel, t.Tare = 0, 26000 }, Lading{Product: product("No. 2"), Temp: 60}, 54000 / 7.14, "gross weight",
			[]string{"its capacity"},
		},
	} {
		truck := New()
		tt.truck(&truck)
		r, err := truck.Room(tt.lading)
		same := math.Abs(float64(r.More)-tt.want) < 0.01 || math.IsNaN(float64(r.More)) && math.IsNaN(tt.want)
		if err != nil || !same || r.Least.Name != tt.least || !slices.Equal(r.Missing, tt.missing) {
			t.Errorf("%s: %.2f by %q, %v, missing %q; want %.2f by %q, missing %q", tt.name, r.More, r.Least.Name, err, r.Missing, tt.want, tt.least, tt.missing)
		}
	}
}

// No limit may make the room larger, more heel makes it smaller, and warmer product
// takes no less of a tank that its outage limits.
func TestRoomProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truck := New()
		truck.Capacity = quantity.Gallons(rapid.Float64Range(500, 9500).Draw(t, "capacity"))
		truck.Heel = quantity.Gallons(rapid.Float64Range(0, 500).Draw(t, "heel"))
		truck.Tare = quantity.Pounds(rapid.Float64Range(10000, 35000).Draw(t, "tare"))
		l := Lading{Product: rapid.SampledFrom(petroleum.Defaults()).Draw(t, "product"), Temp: quantity.Fahrenheit(rapid.Float64Range(-20, 110).Draw(t, "temp"))}
		room := func(truck Truck, l Lading) Room {
			r, err := truck.Room(l)
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
		r := room(truck, l)
		for _, limit := range r.Limits {
			if r.More+truck.Heel > limit.Hold+1e-9 {
				t.Fatalf("room %g gal over a heel of %g gal is over %v", r.More, truck.Heel, limit)
			}
		}
		limited := truck
		limited.Allowed = quantity.Gallons(rapid.Float64Range(100, 9000).Draw(t, "allowed"))
		if got := room(limited, l); got.More > r.More {
			t.Fatalf("one more limit makes the room %g gal, before %g", got.More, r.More)
		}
		fuller := truck
		fuller.Heel += 10
		if got := room(fuller, l); math.Abs(float64(r.More-got.More)-10) > 1e-9 {
			t.Fatalf("10 gal more in it make the room %g gal, before %g", got.More, r.More)
		}
		warm := l
		warm.Temp += 5
		a, _ := MaxFill(truck.Shell, l)
		b, _ := MaxFill(truck.Shell, warm)
		if b < a || b > 0.99 || a < 0.9 {
			t.Fatalf("%s may fill %g at %g F, %g at %g F", l.Product.Name, a, l.Temp, b, warm.Temp)
		}
	})
}

func TestRefusals(t *testing.T) {
	for want, with := range map[string]func(*Truck){
		"capacity 0 gal":     func(t *Truck) { t.Capacity = 0 },
		"heel -1 gal":        func(t *Truck) { t.Heel = -1 },
		"empty weight 0 lb":  func(t *Truck) { t.Tare = 0 },
		"gross weight +Inf":  func(t *Truck) { t.Gross = quantity.Pounds(math.Inf(1)) },
		"rated lading -5 lb": func(t *Truck) { t.Rated = -5 },
		"shell 7":            func(t *Truck) { t.Shell = 7 },
	} {
		truck := New()
		with(&truck)
		if r, err := truck.Room(Lading{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, error %v; want one that says %q", r, err, want)
		}
	}
	for _, axles := range []int{0, 1} {
		if w, err := Bridge(20, axles); err == nil {
			t.Errorf("%d axles may weigh %g lb, want an error", axles, w)
		}
	}
	if w, err := Bridge(quantity.Feet(math.NaN()), 5); err == nil {
		t.Errorf("axles in NaN ft may weigh %g lb, want an error", w)
	}
}

func ExampleTruck_Room() {
	gasoline, _ := petroleum.Defaults().Find("gasoline")
	r1 := New()
	r1.Capacity, r1.Heel, r1.Tare = 3800, 0, 26500
	room, err := r1.Room(Lading{Product: gasoline, API: 60, Temp: 40})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("room for %.0f gal; %s decides: %s", room.More, room.Least.Name, room.Least.Why)
	// Output: room for 3571 gal; outage decides: 1 % empty at 115 F, loaded at 40 F (API MPMS 11.1, 1980 form)
}
