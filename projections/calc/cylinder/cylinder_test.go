package cylinder

import (
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
	"tankside/projections/calc/published"
)

func bottle(r published.Row) Type {
	return Type{Name: "row", Full: quantity.PSI(r.Num("full")), Litres: Litres(r.Num("litres"))}
}

func plan(r published.Row) []float64 {
	t := bottle(r)
	p := Plan{
		Start: quantity.PSI(r.Num("start")), Full: t.Full, Falls: t.Takes(LitresPerMinute(r.Num("rate"))), Alarm: r.Num("alarm"),
		In: quantity.Minutes(r.Num("in")), Out: quantity.Minutes(r.Num("out")), Decon: quantity.Minutes(r.Num("decon")),
	}
	r.Ok(0, p.Check())
	of := map[string]float64{
		"alarm": float64(p.ToAlarm()), "work": float64(p.Work()), "turn back": float64(p.TurnBack()), "turn back litres": float64(t.Holds(p.TurnBack())),
	}
	return []float64{of[r.Text("of")]}
}

func lasts(r published.Row) (out []float64) {
	rates := r.List("rate")
	for i, v := range r.List("litres") {
		out = append(out, float64(Lasts(Litres(v), LitresPerMinute(rates[i]))))
	}
	return out
}

// usable is the time to the alarm of full bottles at the breathing they are rated at.
func usable(r published.Row) (out []float64) {
	for _, m := range r.List("rated") {
		t := Type{Full: 4500, Litres: Litres(m) * Litres(RatedBreath)}
		p := Plan{Start: t.Full, Full: t.Full, Falls: t.Takes(RatedBreath), Alarm: r.Num("alarm")}
		out = append(out, float64(p.ToAlarm()))
	}
	return out
}

var checks = map[string]func(published.Row) []float64{
	"old rule": func(r published.Row) []float64 {
		v := FreeAir(r.Num("water"), r.Num("bar"))
		return []float64{float64(Lasts(v, LitresPerMinute(r.Num("rate")))) - r.Num("keep")}
	},
	"free":       func(r published.Row) []float64 { return []float64{float64(FreeAir(r.Num("water"), r.Num("bar")))} },
	"lasts":      lasts,
	"cubic feet": func(r published.Row) []float64 { return []float64{r.Num("litres") / LitresPerCubicFoot} },
	"usable":     usable,
	"plan":       plan,
	"holds": func(r published.Row) []float64 {
		return []float64{float64(bottle(r).Holds(quantity.PSI(r.Num("psi"))))}
	},
	"takes": func(r published.Row) []float64 { return []float64{bottle(r).Takes(LitresPerMinute(r.Num("rate")))} },
	"used": func(r published.Row) []float64 {
		v, err := bottle(r).Used(quantity.PSI(r.Num("start")), quantity.PSI(r.Num("end")), quantity.Minutes(r.Num("min")))
		return []float64{r.Ok(float64(v), err)}
	},
}

func TestPublished(t *testing.T) { published.Hold(t, os.ReadFile, "cylinder.csv", 19, checks) }

// A label's rated minutes are what its bottle lasts at the rated breathing, or less.
func TestTypes(t *testing.T) {
	for _, b := range Types {
		if err := b.Check(); err != nil {
			t.Error(err)
		}
		if got := Lasts(b.Litres, RatedBreath); math.Abs(float64(got-b.Rated)) > 0.08*float64(b.Rated) {
			t.Errorf("%s lasts %.1f min at %g L/min, its label says %g", b.Name, got, RatedBreath, b.Rated)
		}
	}
}

func TestFind(t *testing.T) {
	for _, c := range []struct {
		words string
		read  quantity.PSI
		want  string // "" where the words name no bottle
	}{
		{"45 min", 0, "45 min, 4500 psi"},
		{"60-minute", 0, "60 min, 4500 psi"},
		{"45", 0, "45 min, 4500 psi"},
		{"30 min", 4400, "30 min, 4500 psi"},
		{"30 min", 2100, "30 min, 2216 psi"},
		{"30 min", 0, "30 min, 4500 psi"},
		{"30 min 2,216 psi", 0, "30 min, 2216 psi"},
		{"6.8 L 300 bar", 0, "6.8 L at 300 bar"},
		{"40 min", 0, ""},
		{"the big one", 0, ""},
		{"", 0, ""},
		{"0 L 300 bar", 0, ""},
	} {
		if got, ok := Find(c.words, c.read); got.Name != c.want && ok || ok != (c.want != "") {
			t.Errorf("Find(%q, %g) = %q, %v, want %q", c.words, c.read, got.Name, ok, c.want)
		}
	}
}

func TestPressure(t *testing.T) {
	for words, want := range map[string]quantity.PSI{"turn back at 2,000 psi": 2000, "turn round at 1800 pounds": 1800, "turn back at half": 0} {
		if got, ok := Pressure(words); got != want || ok != (want > 0) {
			t.Errorf("Pressure(%q) = %g, %v, want %g", words, got, ok, want)
		}
	}
}

func TestFullAbove(t *testing.T) {
	for read, want := range map[quantity.PSI]quantity.PSI{2100: 2216, 2300: 2216, 2980: 4500, 4450: 4500, 5400: 5500, 9000: 0} {
		if got, ok := FullAbove(read); got != want || ok != (want > 0) {
			t.Errorf("FullAbove(%g) = %g, %v, want %g", read, got, ok, want)
		}
	}
}

// What a plan says by its pressures it also says by litres, whatever the bottle; the
// time to turn round comes before the alarm, and the alarm before empty.
func TestPlanHoldsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SampledFrom(Types).Draw(t, "bottle")
		r := LitresPerMinute(rapid.Float64Range(20, 120).Draw(t, "L/min"))
		draw := func(name string) quantity.Minutes { return quantity.Minutes(rapid.Float64Range(0, 8).Draw(t, name)) }
		p := Plan{
			Start: b.Full * quantity.PSI(rapid.Float64Range(0.4, 1).Draw(t, "fill")), Full: b.Full, Falls: b.Takes(r),
			Alarm: rapid.SampledFrom([]float64{OldAlarm, Alarm, CautiousAlarm}).Draw(t, "alarm"), In: draw("in"), Out: draw("out"), Decon: draw("decon"),
		}
		if err := p.Check(); err != nil {
			t.Fatal(err)
		}
		left := b.Holds(p.Start) - Litres(p.Alarm)*b.Litres
		if got, want := p.ToAlarm(), Lasts(left, r); math.Abs(float64(got-want)) > 1e-6 {
			t.Fatalf("%g min to the alarm by pressure, %g by litres", got, want)
		}
		if !(p.ToTurnBack() <= p.ToAlarm() && p.ToAlarm() <= p.ToEmpty()) {
			t.Fatalf("turn back in %g, alarm in %g, empty in %g min", p.ToTurnBack(), p.ToAlarm(), p.ToEmpty())
		}
		if gap := float64(p.Work() - (p.ToTurnBack() - p.In)); math.Abs(gap) > 1e-6 {
			t.Fatalf("work %g min, turn back in %g after %g in", p.Work(), p.ToTurnBack(), p.In)
		}
		half := Plan{Start: p.Start, Full: p.Full, Falls: 2 * p.Falls, Alarm: p.Alarm}
		if math.Abs(float64(2*half.ToAlarm()-p.ToAlarm())) > 1e-6 {
			t.Fatal("twice the breathing does not halve the time")
		}
	})
}

func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, err := range map[string]error{
		"pressure rises":  second(Fall(1000, 1200, 5)),
		"no time":         second(Fall(1200, 1000, 0)),
		"pressure NaN":    second(Fall(quantity.PSI(nan), 1000, 5)),
		"for ever":        second(Fall(1200, 1000, quantity.Minutes(inf))),
		"nobody":          second(Team(nil)),
		"one not known":   second(Team([]quantity.Minutes{5, quantity.Minutes(nan)})),
		"no fall":         Plan{Start: 4000, Full: 4500, Alarm: Alarm}.Check(),
		"alarm over full": Plan{Start: 4000, Full: 4500, Falls: 100, Alarm: 33}.Check(),
		"way below 0":     Plan{Start: 4000, Full: 4500, Falls: 100, Alarm: Alarm, Out: -1}.Check(),
		"way NaN":         Plan{Start: 4000, Full: 4500, Falls: 100, Alarm: Alarm, In: quantity.Minutes(nan)}.Check(),
		"no volume":       Type{Name: "x", Full: 4500}.Check(),
	} {
		if err == nil {
			t.Errorf("%s: want an error", name)
		}
	}
	if got, err := Team([]quantity.Minutes{12, 9, 14}); got != 9 || err != nil {
		t.Errorf("a team of 12, 9 and 14 min has %g, %v, want 9", got, err)
	}
}

func second[T any](_ T, err error) error { return err }
