package rest

import (
	"math"
	"os"
	"testing"

	"tankside/events/quantity"
	"tankside/projections/calc/published"
)

func owed(r published.Row) []float64 {
	d := Done{Work: quantity.Minutes(r.Num("work"))}
	if r.Text("rated") != "" {
		for _, m := range r.List("rated") {
			d.Rated = append(d.Rated, quantity.Minutes(m))
		}
	}
	is := 0.0
	if Usual.Owed(d) != "" {
		is = 1
	}
	return []float64{is, float64(Usual.First), float64(Usual.After)}
}

var checks = map[string]func(published.Row) []float64{
	"owed": owed,
	"next": func(r published.Row) []float64 {
		return []float64{float64(Next(quantity.Minutes(r.Num("worked")), quantity.PerMinute(r.Num("pulse")), Most(r.Num("age")), r.Num("share")))}
	},
	"share": func(r published.Row) (out []float64) {
		for _, s := range r.List("share") {
			out = append(out, s*float64(Most(r.Num("age"))))
		}
		return out
	},
}

func TestPublished(t *testing.T) { published.Hold(t, os.ReadFile, "rest.csv", 9, checks) }

// A bottle whose size nobody said counts as a short one.
func TestOwedUnsaid(t *testing.T) {
	for _, c := range []struct {
		done Done
		want string
	}{
		{Done{}, ""},
		{Done{Rated: []quantity.Minutes{0}, Work: 25}, ""},
		{Done{Rated: []quantity.Minutes{0, 0}, Work: 25}, "2 bottles"},
		{Done{Rated: []quantity.Minutes{0, 60}}, "a bottle of 60 min"},
		{Done{Rated: []quantity.Minutes{0}, Work: 44.6}, "45 min of work"},
	} {
		if got := Usual.Owed(c.done); got != c.want {
			t.Errorf("after %+v a rest is owed for %q, want %q", c.done, got, c.want)
		}
	}
}

func TestRuleCheck(t *testing.T) {
	if err := Usual.Check(); err != nil {
		t.Error(err)
	}
	for name, change := range map[string]func(*Rule){
		"no bottles":     func(r *Rule) { r.Bottles = 0 },
		"no work":        func(r *Rule) { r.Work = 0 },
		"work NaN":       func(r *Rule) { r.Work = quantity.Minutes(math.NaN()) },
		"work for ever":  func(r *Rule) { r.Work = quantity.Minutes(math.Inf(1)) },
		"shorter second": func(r *Rule) { r.After = 5 },
	} {
		r := Usual
		change(&r)
		if r.Check() == nil {
			t.Errorf("%s: want an error", name)
		}
	}
}
