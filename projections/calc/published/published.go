// Package published holds formulas to tables of check values. It is for tests.
//
// A table is a CSV file with the columns
//
//	id, quantity, check, inputs, want, tolerance, mark, source, left_out
//
// check names the test that works the row out from inputs, which are written
// "depth=36; head=conical" with lists spaced; want is one number or several. The
// mark says where the numbers come from: seen in print, computed, from memory, or
// negative, a value that is known to be wrong and must not come out. A row that
// no test holds says in left_out why.
package published

import (
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Row is one check value.
type Row struct {
	t         testing.TB
	id        string
	check     string
	inputs    map[string]string
	want      []float64
	tolerance float64
	mark      string
	source    string
	leftOut   string
}

// Text returns an input as it stands; the row fails if it is not there.
func (r Row) Text(name string) string {
	r.t.Helper()
	v, ok := r.inputs[name]
	if !ok {
		r.t.Fatalf("%s: the table gives no %s", r.id, name)
	}
	return v
}

// Num returns an input that is a number.
func (r Row) Num(name string) float64 {
	r.t.Helper()
	return number(r.t, r.id, r.Text(name))
}

// List returns an input that is a list of numbers.
func (r Row) List(name string) []float64 {
	r.t.Helper()
	return numbers(r.t, r.id, r.Text(name))
}

// Or returns an input that is a number, or other where the row does not give it.
func (r Row) Or(name string, other float64) float64 {
	r.t.Helper()
	if _, ok := r.inputs[name]; !ok {
		return other
	}
	return r.Num(name)
}

// Has reports whether the row gives the input and it is the value.
func (r Row) Has(name, value string) bool { return r.inputs[name] == value }

// Ok returns v; the row fails if there is an error.
func (r Row) Ok(v float64, err error) float64 {
	r.t.Helper()
	if err != nil {
		r.t.Fatalf("%s: %v", r.id, err)
	}
	return v
}

// Hold reads a table and holds every row to the check it names. read is
// os.ReadFile: what stands beside formulas may not reach the disk itself. It
// fails when fewer than least rows were held.
func Hold(t *testing.T, read func(string) ([]byte, error), name string, least int, checks map[string]func(Row) []float64) {
	t.Helper()
	text, err := read("../../../testdata/published/" + name)
	if err != nil {
		t.Fatal(err)
	}
	held := 0
	for _, r := range rows(t, name, string(text)) {
		if r.leftOut != "" {
			continue
		}
		held++
		t.Run(r.id, func(t *testing.T) {
			r.t = t
			check, ok := checks[r.check]
			if !ok {
				t.Fatalf("the table asks for the check %q, which this test does not have", r.check)
			}
			r.hold(check(r))
		})
	}
	if held < least {
		t.Errorf("%s: %d rows were held, want at least %d", name, held, least)
	}
}

// hold compares what came out with what is in the table.
func (r Row) hold(got []float64) {
	r.t.Helper()
	if len(got) != len(r.want) {
		r.t.Fatalf("%s gives %d values, the table %d", r.check, len(got), len(r.want))
	}
	for i, want := range r.want {
		off := math.Abs(got[i] - want)
		switch near := off <= r.tolerance; {
		case r.mark == "negative" && !(off > r.tolerance): // NaN too
			r.t.Errorf("%s = %.10g, which is the wrong value %g of %s", r.check, got[i], want, r.source)
		case r.mark != "negative" && !near:
			r.t.Errorf("%s = %.12g; %s gives %.12g ± %g", r.check, got[i], r.source, want, r.tolerance)
		}
	}
}

// rows parses a table; a row without a source or a mark fails.
func rows(t *testing.T, name, text string) (out []Row) {
	t.Helper()
	all, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	for _, line := range all[1:] {
		cell := func(column string) string {
			i := slices.Index(all[0], column)
			if i < 0 {
				t.Fatalf("%s has no column %s", name, column)
			}
			return strings.TrimSpace(line[i])
		}
		r := Row{id: cell("id"), check: cell("check"), mark: cell("mark"), source: cell("source"), leftOut: cell("left_out")}
		if r.source == "" || !slices.Contains([]string{"seen", "computed", "memory", "negative"}, r.mark) {
			t.Fatalf("%s: row %q has no source or no mark", name, line)
		}
		if r.leftOut == "" {
			r.want, r.tolerance = numbers(t, r.id, cell("want")), number(t, r.id, cell("tolerance"))
			r.inputs = inputs(t, r.id, cell("inputs"))
		}
		out = append(out, r)
	}
	return out
}

// inputs parses "depth=36; head=conical".
func inputs(t testing.TB, id, text string) map[string]string {
	t.Helper()
	out := map[string]string{}
	for part := range strings.SplitSeq(text, ";") {
		name, value, ok := strings.Cut(part, "=")
		if !ok && strings.TrimSpace(part) != "" {
			t.Fatalf("%s: input %q has no value", id, part)
		}
		out[strings.TrimSpace(name)] = strings.TrimSpace(value)
	}
	return out
}

func numbers(t testing.TB, id, text string) (out []float64) {
	t.Helper()
	for word := range strings.FieldsSeq(text) {
		out = append(out, number(t, id, word))
	}
	if len(out) == 0 {
		t.Fatalf("%s: %q holds no number", id, text)
	}
	return out
}

func number(t testing.TB, id, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatalf("%s: %v", id, err)
	}
	return v
}
