package heat

import (
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
	"tankside/projections/calc/published"
)

func limits(r published.Row, m Watts) []float64 {
	ral, err := Unacclimatised(m)
	r.Ok(0, err)
	rel, err := Acclimatised(m)
	return []float64{float64(ral), r.Ok(float64(rel), err)}
}

func average(r published.Row) Watts {
	var all []Stretch
	watts := r.List("watts")
	for i, m := range r.List("minutes") {
		all = append(all, Stretch{quantity.Minutes(m), Watts(watts[i])})
	}
	m, err := Average(all)
	r.Ok(0, err)
	return m
}

func outdoors(r published.Row) float64 {
	return float64(Outdoors(Celsius(r.Num("wet")), Celsius(r.Num("globe")), Celsius(r.Num("air"))))
}

func adds(r published.Row) float64 {
	for _, c := range Clothes {
		if strings.Contains(c.Name, r.Text("clothes")) {
			return float64(c.Adds)
		}
	}
	return math.NaN()
}

func checkEvery(r published.Row) (out []float64) {
	for _, f := range r.List("adjusted") {
		out = append(out, float64(CheckEvery(quantity.Fahrenheit(f))))
	}
	return out
}

var checks = map[string]func(published.Row) []float64{
	"limits": func(r published.Row) []float64 { return limits(r, Watts(r.Num("watts"))) },
	"rel":    func(r published.Row) []float64 { return limits(r, Watts(r.Num("watts")))[1:] },
	"constants": func(r published.Row) []float64 {
		one, ten := limits(r, 1), limits(r, 10)
		return []float64{one[0], ten[0], one[1], ten[1]}
	},
	"outdoors": func(r published.Row) []float64 { return []float64{outdoors(r)} },
	"indoors": func(r published.Row) []float64 {
		return []float64{float64(Indoors(Celsius(r.Num("wet")), Celsius(r.Num("globe"))))}
	},
	"in clothes": func(r published.Row) []float64 { return []float64{outdoors(r) + adds(r)} },
	"clothes": func(published.Row) (out []float64) {
		for _, c := range Clothes {
			out = append(out, float64(c.Adds))
		}
		return out
	},
	"most":           func(r published.Row) []float64 { return []float64{limits(r, Watts(r.Num("watts")))[1] - adds(r)} },
	"average":        func(r published.Row) []float64 { return []float64{float64(average(r))} },
	"average limits": func(r published.Row) []float64 { return limits(r, average(r)) },
	"check every":    checkEvery,
	"adjusted": func(r published.Row) []float64 {
		f, err := Adjusted(quantity.Fahrenheit(r.Num("air")), r.Num("sun"))
		return []float64{r.Ok(float64(f), err)}
	},
}

func TestPublished(t *testing.T) { published.Hold(t, os.ReadFile, "heat.csv", 20, checks) }

// Harder work has a lower limit, and who is not used to heat never a higher one than
// who is; the band of a guess holds the limit of the guess.
func TestLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Watts(rapid.Float64Range(100, 700).Draw(t, "W"))
		for _, limit := range []func(Watts) (Celsius, error){Unacclimatised, Acclimatised} {
			at, err := limit(m)
			harder, err2 := limit(m * 1.1)
			low, high, err3 := Band(limit, m)
			if err != nil || err2 != nil || err3 != nil || !(harder < at && low < at && at < high) {
				t.Fatalf("at %g W %g C, at 1.1 times that %g, band %g to %g", m, at, harder, low, high)
			}
		}
		ral, _ := Unacclimatised(m)
		rel, _ := Acclimatised(m)
		if ral >= rel {
			t.Fatalf("at %g W %g C unacclimatised and %g acclimatised", m, ral, rel)
		}
	})
}

func TestFahrenheitAndBack(t *testing.T) {
	for f, c := range map[quantity.Fahrenheit]Celsius{32: 0, 212: 100, -40: -40} {
		if got := FromFahrenheit(f); math.Abs(float64(got-c)) > 1e-9 || math.Abs(float64(got.Fahrenheit()-f)) > 1e-9 {
			t.Errorf("%g F is %g C, want %g", f, got, c)
		}
	}
}

func TestRefusals(t *testing.T) {
	for name, err := range map[string]error{
		"no work":     second(Acclimatised(0)),
		"work NaN":    second(Unacclimatised(Watts(math.NaN()))),
		"no minutes":  second(Average(nil)),
		"below 0":     second(Average([]Stretch{{-1, 100}})),
		"sun of 101":  second(Adjusted(80, 101)),
		"sun NaN":     second(Adjusted(80, math.NaN())),
		"nothing NaN": second(Average([]Stretch{{quantity.Minutes(math.NaN()), 100}})),
	} {
		if err == nil {
			t.Errorf("%s: want an error", name)
		}
	}
	if _, _, err := Band(Acclimatised, 0); err == nil {
		t.Error("a band of no work: want an error")
	}
}

func second[T any](_ T, err error) error { return err }
