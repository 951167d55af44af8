package exposure

import (
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankside/events/quantity"
	"tankside/projections/calc/published"
)

var methods = map[string]Method{"hold": HoldPrevious, "lines": StraightLines, "lowest": Lowest, "highest": Highest}

// series reads the readings of a row; a row without a hold has none worth naming.
func series(r published.Row) Profile {
	var all []Reading
	levels := r.List("ppm")
	for i, t := range r.List("min") {
		all = append(all, Read(quantity.Minutes(t), quantity.PPM(levels[i])))
	}
	end := quantity.Minutes(r.Or("end", r.List("min")[len(levels)-1]))
	p, err := New(all, methods[r.Text("method")], quantity.Minutes(r.Or("hold", 1e9)), end)
	r.Ok(0, err)
	return p
}

// outcomes gives a number for what Judge says.
func z2(r published.Row) []float64 {
	l, _ := LimitOf(r.Text("gas"), AtOnce)
	o, _ := l.Ceiling().Judge(series(r))
	return []float64{float64(o)}
}

var checks = map[string]func(published.Row) []float64{
	"twa of spans": func(r published.Row) []float64 {
		var readings []Reading
		at := quantity.Minutes(0)
		hours := r.List("h")
		for i, level := range r.List("ppm") {
			readings = append(readings, Read(at, quantity.PPM(level)))
			at += quantity.Minutes(hours[i] * 60)
		}
		p, err := New(readings, HoldPrevious, 1e9, at)
		return []float64{r.Ok(float64(p.Dose().Average(Shift)), err)}
	},
	"mixture": func(r published.Row) []float64 {
		var parts []Part
		limits := r.List("limit")
		for i, level := range r.List("ppm") {
			parts = append(parts, Part{level, limits[i]})
		}
		return []float64{r.Ok(Mixture(parts))}
	},
	"severity": func(r published.Row) []float64 {
		s := SeverityOf(r.Num("x"), r.Num("limit"), r.Num("sae"))
		return []float64{s.Y, s.Lower, s.Upper}
	},
	"class of severity": func(r published.Row) []float64 {
		return []float64{float64(SeverityOf(r.Num("x"), r.Num("limit"), r.Num("sae")).Outcome())}
	},
	"daily":  func(r published.Row) []float64 { return each(r, "h", Daily) },
	"weekly": func(r published.Row) []float64 { return each(r, "h", Weekly) },
	"dose":   func(r published.Row) []float64 { return []float64{float64(series(r).Dose())} },
	"twa":    func(r published.Row) []float64 { return []float64{float64(series(r).Dose().Average(Shift))} },
	"rolling": func(r published.Row) []float64 {
		v, from := series(r).Rolling(Short)
		return []float64{float64(v), float64(from)}
	},
	"rolling level": func(r published.Row) []float64 {
		v, _ := series(r).Rolling(Short)
		return []float64{float64(v)}
	},
	"mean of a span": func(r published.Row) []float64 {
		from, to := quantity.Minutes(r.Num("from")), quantity.Minutes(r.Num("to"))
		return []float64{float64(series(r).Within([]Span{{from, to}}).Dose().Average(to - from))}
	},
	"most use": func(r published.Row) []float64 {
		return []float64{float64(MostUse(r.Num("apf"), quantity.PPM(r.Num("limit")), quantity.PPM(r.Or("danger", 0)), quantity.PPM(r.Or("cartridge", 0))))}
	},
	"factor": func(r published.Row) (out []float64) {
		for said := range strings.SplitSeq(r.Text("said"), ",") {
			mask, _ := RespiratorOf(said)
			out = append(out, mask.Factor)
		}
		return out
	},
	"held": func(r published.Row) (out []float64) {
		for _, b := range []Basis{ActionLevel, OverShift, OverShort} {
			l, _ := LimitOf(r.Text("gas"), b)
			out = append(out, float64(l.Value))
		}
		return append(out, float64(Short))
	},
	"excursions": z2,
}

func each(r published.Row, name string, of func(float64) (float64, error)) (out []float64) {
	for _, v := range r.List(name) {
		out = append(out, r.Ok(of(v)))
	}
	return out
}

func TestPublished(t *testing.T) { published.Hold(t, os.ReadFile, "exposure.csv", 35, checks) }

// TestProfile: what is not measured is listed and counts for nothing; what an
// instrument could not show has bounds.
func TestProfile(t *testing.T) {
	stay := []Span{{0, 60}}
	readings := []Reading{Read(10, 4), Below(20, 1), Past(30, 100), Read(55, 2)}
	for _, tt := range []struct {
		method Method
		dose   Dose // by hand; each reading holds 10 min
		gaps   string
	}{
		// 4 for 10 min, 0.5 for 10, 100 for 10, 2 for 5
		{HoldPrevious, 40 + 5 + 1000 + 10, "0-10 40-55"},
		// 4 to 0.5 over 10 min, 0.5 to 100 over 10; then 100 and 2 hold
		{StraightLines, 22.5 + 502.5 + 1000 + 10, "0-10 40-55"},
		// 0 for 10 min, 0 for 10, nothing known of the rest
		{Lowest, 0, "0-10 40-55"},
		{Highest, Dose(math.Inf(1)), "0-10 40-55"},
	} {
		p, err := New(readings, tt.method, 10, 60)
		if err != nil {
			t.Fatal(err)
		}
		if got := p.Within(stay).Dose(); got != tt.dose {
			t.Errorf("%v: dose %g, want %g", tt.method, got, tt.dose)
		}
		if got := spans(p.Unmonitored(stay)); got != tt.gaps {
			t.Errorf("%v: unmonitored %s, want %s", tt.method, got, tt.gaps)
		}
	}
	p, err := New(readings[:2], HoldPrevious, 10, 60)
	if err != nil {
		t.Fatal(err)
	}
	if got := p.Filled(stay, 4).Dose(); got != 4*40+40+5 {
		t.Errorf("filled to its peak the dose is %g, want 205", got)
	}
	if got := p.Within([]Span{{12, 14}, {13, 22}}).Dose(); got != 4*8+0.5*2 {
		t.Errorf("within two spans that overlap the dose is %g, want 33", got)
	}
	if v, _ := (Profile{}).Rolling(Short); v != 0 {
		t.Errorf("a profile that holds nothing rolls to %g", v)
	}
}

func spans(list []Span) string {
	var words []string
	for _, s := range list {
		words = append(words, quantity.Digits(float64(s.From))+"-"+quantity.Digits(float64(s.To)))
	}
	return strings.Join(words, " ")
}

func TestRefuses(t *testing.T) {
	for name, err := range map[string]error{
		"a hold of nothing": fault(New(nil, HoldPrevious, 0, 1)),
		"a level of NaN":    fault(New([]Reading{Read(0, quantity.PPM(math.NaN()))}, HoldPrevious, 1, 1)),
		"a level below 0":   fault(New([]Reading{Read(0, -1)}, HoldPrevious, 1, 1)),
		"a shift of 25 h":   fault(Daily(25)),
		"a week of nothing": fault(Weekly(0)),
		"a limit of 0":      fault(Mixture([]Part{{1, 0}})),
	} {
		if err == nil {
			t.Errorf("%s was taken", name)
		}
	}
}

func fault[T any](_ T, err error) error { return err }

func TestJudge(t *testing.T) {
	for _, tt := range []struct {
		high, hold, lines quantity.PPM
		want              Outcome
	}{
		{5, 5, 5, NotOver}, // equal is not over
		{9, 5.1, 4.9, PossiblyOver},
		{5.2, 4, 4, PossiblyOver},
		{9, 6.64, 6.27, Over},
	} {
		if got := Judge(5, tt.high, tt.hold, tt.lines); got != tt.want {
			t.Errorf("%g and %g of at most %g: %v, want %v", tt.hold, tt.lines, tt.high, got, tt.want)
		}
	}
}

func TestRespiratorOf(t *testing.T) {
	for said, want := range map[string]string{
		"none": "", "": "", "air pack": "air pack, taken as SCBA, pressure demand", "SCBA": "SCBA, taken as pressure demand",
		"full-face APR": "air-purifying, full face", "APR half mask": "air-purifying, half mask", "PAPR": "powered air-purifying, loose fitting",
		"SCBA pressure-demand full face": "SCBA, pressure demand, full face",
	} {
		if got, ok := RespiratorOf(said); got.Name != want || ok != (want != "") {
			t.Errorf("%q is %q, %t; want %q", said, got.Name, ok, want)
		}
	}
}

// TestLimits: every limit says what it is of and who says so, and one a basis is held
// against.
func TestLimits(t *testing.T) {
	held := map[string]int{}
	for _, l := range Limits {
		if l.Value <= 0 || l.Source == "" || l.Status == "" || l.Regime == "" {
			t.Errorf("%+v lacks something", l)
		}
		if l.Policy {
			held[l.Substance+string(l.Basis)]++
		}
	}
	for what, n := range held {
		if n != 1 {
			t.Errorf("%s is held against %d limits", what, n)
		}
	}
}

// anySeries draws readings and where they end.
func anySeries(t *rapid.T) (all []Reading, end quantity.Minutes) {
	for range rapid.IntRange(1, 12).Draw(t, "readings") {
		all = append(all, Read(quantity.Minutes(rapid.IntRange(0, 90).Draw(t, "at")), quantity.PPM(rapid.IntRange(0, 20).Draw(t, "ppm"))))
	}
	return all, quantity.Minutes(rapid.IntRange(60, 120).Draw(t, "end"))
}

// The highest window is no lower than any other; estimates lie between the bounds; a
// dose is the average of its window; time is measured or listed, never both.
func TestProfileHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		readings, end := anySeries(t)
		hold := quantity.Minutes(rapid.IntRange(1, 60).Draw(t, "hold"))
		doses := map[Method]float64{}
		for _, m := range methods {
			p, err := New(readings, m, hold, end)
			if err != nil {
				t.Fatal(err)
			}
			all := []Span{{0, end}}
			doses[m] = float64(p.Within(all).Dose())
			highest, from := p.Rolling(Short)
			at := quantity.Minutes(rapid.Float64Range(-20, 120).Draw(t, "window"))
			other := p.Within([]Span{{at, at + Short}}).Dose().Average(Short)
			own := p.Within([]Span{{from, from + Short}}).Dose().Average(Short)
			if other > highest+1e-9 || math.Abs(float64(own-highest)) > 1e-6 {
				t.Fatalf("%v: the highest window is %g from %g, which has %g; that from %g has %g", m, highest, from, own, at, other)
			}
			var open quantity.Minutes
			for _, g := range p.Unmonitored(all) {
				open += g.Length()
			}
			if sum := open + p.Within(all).Minutes(); math.Abs(float64(sum-end)) > 1e-6 {
				t.Fatalf("%v: %g min measured and listed, want %g", m, sum, end)
			}
		}
		for _, m := range []Method{HoldPrevious, StraightLines} {
			if doses[m] < doses[Lowest]-1e-6 || doses[m] > doses[Highest]+1e-6 {
				t.Fatalf("%v gives %g, outside %g to %g", m, doses[m], doses[Lowest], doses[Highest])
			}
		}
	})
}
