package quantity

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/go-json-experiment/json/jsontext"
	"pgregory.net/rapid"
)

// canonical parses an amount of the named scale and returns it in the canonical unit.
func canonical(t *testing.T, scale, text string) (float64, string) {
	t.Helper()
	switch scale {
	case "volume":
		return value[Gallons](t, text)
	case "weight":
		return value[Pounds](t, text)
	case "temperature":
		return value[Fahrenheit](t, text)
	case "pressure":
		return value[PSI](t, text)
	case "length":
		return value[Inches](t, text)
	case "distance":
		return value[Feet](t, text)
	case "area":
		return value[SquareFeet](t, text)
	case "speed":
		return value[MPH](t, text)
	case "resistance":
		return value[Ohms](t, text)
	case "concentration":
		return value[PPM](t, text)
	case "flow":
		return value[GallonsPerMinute](t, text)
	case "time":
		return value[Minutes](t, text)
	}
	t.Fatalf("no scale %q in this test", scale)
	return 0, ""
}

func value[Q Quantity](t *testing.T, text string) (float64, string) {
	t.Helper()
	a, err := Parse[Q](text)
	if err != nil {
		t.Fatal(err)
	}
	return float64(a.Value()), ScaleOf[Q]().Canonical()
}

func TestPublishedFactors(t *testing.T) {
	f, err := os.Open("../../testdata/published/units.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		want, _ := strconv.ParseFloat(row[2], 64)
		tol, _ := strconv.ParseFloat(row[4], 64)
		if row[6] == "" {
			t.Fatalf("%v: a check value without a source", row)
		}
		got, unit := canonical(t, row[0], row[1])
		if unit != row[3] || math.Abs(got-want) > tol {
			t.Errorf("%s = %.10g %s, want %s %s ± %s (%s)", row[1], got, unit, row[2], row[3], row[4], row[6])
		}
	}
}

func TestParse(t *testing.T) {
	for _, tt := range []struct {
		in        string
		want      Amount[Gallons]
		low, high Gallons
	}{
		{"2500 gal E10", Amount[Gallons]{Qual: Exactly, Best: 2500, Unit: "gal", Words: "E10"}, 2500, 2500},
		{"5 gal into pan", Amount[Gallons]{Qual: Exactly, Best: 5, Unit: "gal", Words: "into pan"}, 5, 5},
		{"1,240", Amount[Gallons]{Qual: Exactly, Best: 1240, Unit: "gal", Assumed: true}, 1240, 1240},
		{"about 4500 gal", Amount[Gallons]{Qual: About, Best: 4500, Unit: "gal"}, 4500, 4500},
		{"more than 1500 gal", Amount[Gallons]{Qual: Over, Best: 1500, Unit: "gal"}, 1500, Gallons(math.Inf(1))},
		{"> 1500", Amount[Gallons]{Qual: Over, Best: 1500, Unit: "gal", Assumed: true}, 1500, Gallons(math.Inf(1))},
		{"up to 3400 gal", Amount[Gallons]{Qual: UpTo, Best: 3400, Unit: "gal"}, Gallons(math.Inf(-1)), 3400},
		{"2800 to 3200 gal", Amount[Gallons]{Qual: Between, Best: 3000, Low: 2800, High: 3200, Unit: "gal"}, 2800, 3200},
		{"2800-3200 gal", Amount[Gallons]{Qual: Between, Best: 3000, Low: 2800, High: 3200, Unit: "gal"}, 2800, 3200},
		{"3830 ± 30 gal", Amount[Gallons]{Qual: Exactly, Best: 3830, U: 30, Unit: "gal"}, 3830, 3830},
		{".7 gal", Amount[Gallons]{Qual: Exactly, Best: .7, Unit: "gal"}, .7, .7},
		{"0 L", Amount[Gallons]{Qual: Exactly, Unit: "L"}, 0, 0},
		{"+12 gal", Amount[Gallons]{Qual: Exactly, Best: 12, Unit: "gal"}, 12, 12},
		{"900 gal stick", Amount[Gallons]{Qual: Exactly, Best: 900, Unit: "gal", Words: "stick"}, 900, 900},
		{"5 in the pan", Amount[Gallons]{Qual: Exactly, Best: 5, Unit: "gal", Assumed: true, Words: "in the pan"}, 5, 5},
		{"overflow", Amount[Gallons]{}, 0, 0},
		{"", Amount[Gallons]{}, 0, 0},
		{"NaN", Amount[Gallons]{}, 0, 0},
		{"Inf gal", Amount[Gallons]{}, 0, 0},
		{"1e400", Amount[Gallons]{}, 0, 0},
		{"1.5e3 gal", Amount[Gallons]{Qual: Exactly, Best: 1500, Unit: "gal"}, 1500, 1500},
		{"900 lb", Amount[Gallons]{}, 0, 0},
		{"3200 to 2800 gal", Amount[Gallons]{}, 0, 0},
		{"about 2800 to 3200 gal", Amount[Gallons]{}, 0, 0},
		{"1.2.3 gal", Amount[Gallons]{}, 0, 0},
		{"1,5 gal", Amount[Gallons]{}, 0, 0},
		{"1,24 gal", Amount[Gallons]{}, 0, 0},
		{"1234,567 gal", Amount[Gallons]{}, 0, 0},
		{"1.5,000 gal", Amount[Gallons]{}, 0, 0},
		{"1,234,567.5 gal", Amount[Gallons]{Qual: Exactly, Best: 1234567.5, Unit: "gal"}, 1234567.5, 1234567.5},
		{"38 1/4 gal", Amount[Gallons]{Qual: Exactly, Best: 38.25, Unit: "gal"}, 38.25, 38.25},
		{"3/4 gal", Amount[Gallons]{Qual: Exactly, Best: .75, Unit: "gal"}, .75, .75},
		{"-1 1/2 gal", Amount[Gallons]{Qual: Exactly, Best: -1.5, Unit: "gal"}, -1.5, -1.5},
		{"38 1/4 to 38 3/4", Amount[Gallons]{Qual: Between, Best: 38.5, Low: 38.25, High: 38.75, Unit: "gal", Assumed: true}, 38.25, 38.75},
		{"5 2nd try", Amount[Gallons]{Qual: Exactly, Best: 5, Unit: "gal", Assumed: true, Words: "2nd try"}, 5, 5},
		{"1/0 gal", Amount[Gallons]{}, 0, 0},
		{"10/14/25", Amount[Gallons]{}, 0, 0},
	} {
		got, err := Parse[Gallons](tt.in)
		if !tt.want.Said() {
			if err == nil {
				t.Errorf("Parse(%q) = %+v, want an error", tt.in, got)
			}
			continue
		}
		if err != nil || got != tt.want {
			t.Errorf("Parse(%q) = %+v, %v; want %+v", tt.in, got, err, tt.want)
		}
		if low, high := got.Interval(); low != tt.low || high != tt.high {
			t.Errorf("Parse(%q) lies in %v to %v, want %v to %v", tt.in, low, high, tt.low, tt.high)
		}
	}
}

func TestNotSaidIsNotZero(t *testing.T) {
	var a Amount[Ohms]
	if a.Said() || !math.IsNaN(float64(a.Value())) || a.String() != "not said" {
		t.Errorf("the zero amount reads %v (%v), want not said", a.Value(), a)
	}
	if low, high := a.Interval(); !math.IsInf(float64(low), -1) || !math.IsInf(float64(high), 1) {
		t.Errorf("the zero amount lies in %v to %v, want no bounds", low, high)
	}
}

func TestFault(t *testing.T) {
	for text, want := range map[string]string{
		"3 ohm": "", "-3 ohm": "-3 ohm is outside 0 to 100000 ohm", "1 Mohm": "1 Mohm is outside 0 to 100000 ohm",
		"50 to 200000 ohm": "50 to 200000 ohm is outside",
	} {
		a, err := Parse[Ohms](text)
		if err != nil {
			t.Fatal(err)
		}
		err = a.Fault(0, 100_000)
		if (err == nil) != (want == "") || err != nil && !strings.Contains(err.Error(), want) {
			t.Errorf("Fault of %q: %v, want %q", text, err, want)
		}
	}
}

// anyAmount draws an amount such as Parse could have returned.
func anyAmount(t *rapid.T) Amount[Gallons] {
	unit := rapid.SampledFrom(ScaleOf[Gallons]().Symbols()).Draw(t, "unit")
	a := Amount[Gallons]{Qual: rapid.SampledFrom([]Qualifier{Exactly, About, Over, Under, UpTo, Between}).Draw(t, "qualifier"), Unit: unit}
	a.Best = rapid.Float64Range(-1e6, 1e6).Draw(t, "best")
	if a.Qual == Between {
		a.Low = a.Best
		a.High = a.Low + rapid.Float64Range(0, 1e5).Draw(t, "width")
		a.Best = a.Low + (a.High-a.Low)/2
	}
	a.U = rapid.Float64Range(0, 100).Draw(t, "u")
	a.Words = rapid.SampledFrom([]string{"", "into pan", "E10", "<b>& \u202e x"}).Draw(t, "words")
	return a
}

func TestJSONRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyAmount(t)
		var b bytes.Buffer
		if err := want.MarshalJSONTo(jsontext.NewEncoder(&b)); err != nil {
			t.Fatal(err)
		}
		var got Amount[Gallons]
		if err := got.UnmarshalJSONFrom(jsontext.NewDecoder(&b)); err != nil || got != want {
			t.Fatalf("read back %+v, %v; want %+v", got, err, want)
		}
	})
}

func TestTextRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyAmount(t)
		got, err := Parse[Gallons](want.String())
		if err != nil || got != want {
			t.Fatalf("Parse(%q) = %+v, %v; want %+v", want.String(), got, err, want)
		}
	})
}

func TestJSONIsStrict(t *testing.T) {
	for _, bad := range []string{
		`null`, `5`, `"5 gal"`, `[]`, `{}`, `{"value":null,"unit":"gal"}`, `{"value":"5"}`, `{"value":5,"value":6}`,
		`{"value":5,"unit":"gal","extra":1}`, `{"value":1e999}`, `{"value":NaN}`, `{"low":1,"unit":"gal"}`,
		`{"qualifier":"range","value":5}`, `{"qualifier":"maybe","value":5}`, `{"value":5,"assumed":false}`, `{"value":5,"unit":null}`, `{"value":5`,
	} {
		var a Amount[Gallons]
		if err := a.UnmarshalJSONFrom(jsontext.NewDecoder(bytes.NewBufferString(bad))); err == nil {
			t.Errorf("%s was read as %+v, want an error", bad, a)
		}
	}
}
