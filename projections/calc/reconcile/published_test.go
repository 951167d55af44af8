package reconcile

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// table reads a file of check values; a row without a source fails.
func table(t *testing.T, name string) (rows []map[string]string) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "published", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, cell := range line {
			row[all[0][i]] = cell
		}
		if row["source"] == "" || !slices.Contains([]string{"seen", "computed", "memory"}, row["mark"]) {
			t.Fatalf("%s: row %q has no source or no mark", name, line)
		}
		rows = append(rows, row)
	}
	return rows
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// published is a problem as the check table writes it: streams and nodes are
// counted from 1, a stream in a node is signed, null is not measured, conf is the
// half-width of the 95 % interval.
type published struct {
	SameAs string       `json:"same_as"`
	X      []*float64   `json:"x"`
	SD     []float64    `json:"sd"`
	Var    []float64    `json:"var"`
	Conf   []float64    `json:"conf"`
	Nodes  [][]int      `json:"nodes"`
	Matrix [][]float64  `json:"matrix"`
	Corr   [][3]float64 `json:"corr"`
	Signed bool         `json:"signed"`
}

func (d published) problem() *Problem {
	p := &Problem{}
	for i, x := range d.X {
		s := Stream{Name: "stream " + strconv.Itoa(i+1), Signed: d.Signed}
		if x != nil {
			s.Measured, s.Reading = true, *x
			switch {
			case d.SD != nil:
				s.SD = d.SD[i]
			case d.Var != nil:
				s.SD = math.Sqrt(d.Var[i])
			default:
				s.SD = d.Conf[i] / 1.96
			}
		}
		p.Streams = append(p.Streams, s)
	}
	for _, node := range d.Nodes {
		b := Balance{}
		for _, i := range node {
			b.Terms = append(b.Terms, Term{max(i, -i) - 1, math.Copysign(1, float64(i))})
		}
		p.Balances = append(p.Balances, b)
	}
	for _, coefs := range d.Matrix {
		b := Balance{}
		for i, c := range coefs {
			if c != 0 {
				b.Terms = append(b.Terms, Term{i, c})
			}
		}
		p.Balances = append(p.Balances, b)
	}
	for _, c := range d.Corr {
		p.Correlations = append(p.Correlations, Correlation{int(c[0]) - 1, int(c[1]) - 1, c[2]})
	}
	return p
}

// check holds one expectation of a row against both answers.
type check struct {
	t      *testing.T
	p      *Problem
	plain  *Result // nobody set aside
	result *Result
	tol    float64
	source string
}

func (c check) near(what string, got, want float64) {
	c.t.Helper()
	if !(math.Abs(got-want) <= c.tol) {
		c.t.Errorf("%s = %.12g; %s gives %.12g ± %g", what, got, c.source, want, c.tol)
	}
}

// list compares numbers one by one; null in the table is not compared.
func (c check) list(what string, raw json.RawMessage, got func(i int) float64) {
	c.t.Helper()
	var want []*float64
	decode(c.t, raw, &want)
	for i, w := range want {
		if w != nil {
			c.near(what+" "+strconv.Itoa(i+1), got(i), *w)
		}
	}
}

func (c check) places(what string, raw json.RawMessage, got []int) {
	c.t.Helper()
	var want []int
	decode(c.t, raw, &want)
	for i := range want {
		want[i]--
	}
	if !slices.Equal(got, want) {
		c.t.Errorf("%s = %v counted from 0; %s gives %v", what, got, c.source, want)
	}
}

func (c check) same(what string, raw json.RawMessage, got string) {
	c.t.Helper()
	if want := strings.Trim(string(raw), `"`); got != want {
		c.t.Errorf("%s = %s; %s gives %s", what, got, c.source, want)
	}
}

// adjustedZ is the form of the test that divides the adjustment by its own
// standard error; for independent readings it equals Estimate.Z.
func (c check) adjustedZ(i int) float64 {
	s, e := c.p.Streams[i], c.plain.Estimates[i]
	return (s.Reading - e.Value) / math.Sqrt(s.SD*s.SD-e.SD*e.SD)
}

func (c check) hold(key string, raw json.RawMessage) {
	c.t.Helper()
	r := c.plain
	estimates := func(of func(e Estimate) float64) func(int) float64 {
		return func(i int) float64 { return of(r.Estimates[i]) }
	}
	switch key {
	case "x":
		c.list("value", raw, estimates(func(e Estimate) float64 { return e.Value }))
	case "sd":
		c.list("sd", raw, estimates(func(e Estimate) float64 { return e.SD }))
	case "conf":
		c.list("half-width", raw, estimates(func(e Estimate) float64 { return e.SD * 1.96 }))
	case "z":
		c.list("z", raw, estimates(func(e Estimate) float64 { return e.Z }))
	case "z_abs":
		c.list("|z|", raw, estimates(func(e Estimate) float64 { return math.Abs(e.Z) }))
	case "adjusted_z":
		c.list("adjusted z", raw, c.adjustedZ)
	case "lacks":
		c.list("balance lacks", raw, func(i int) float64 { return r.Balances[i].Lacks })
	case "balance_z":
		c.list("z of balance", raw, func(i int) float64 { return r.Balances[i].Z })
	case "g":
		c.near("chi-square", r.ChiSquare, parsed(c.t, raw))
	case "limit_z":
		c.near("limit of |z|", r.LimitZ, parsed(c.t, raw))
	case "df":
		c.same("df", raw, strconv.Itoa(r.DF))
	case "verdict":
		c.same("verdict", raw, r.Verdict.String())
	case "max_abs_z":
		c.near("largest |z|", math.Abs(r.Estimates[c.largestZ()].Z), parsed(c.t, raw))
	case "stream":
		// Two streams between the same nodes tie (9 and 12 in one source): which of
		// them is printed as the largest is a matter of rounding there.
		named := int(parsed(c.t, raw)) - 1
		c.near("|z| of stream "+string(raw), math.Abs(r.Estimates[named].Z), math.Abs(r.Estimates[c.largestZ()].Z))
	case "pinned":
		c.places("pinned", raw, r.Pinned)
	case "unchecked":
		c.places("unchecked", raw, c.standing(Unchecked))
	case "set_aside":
		var got []int
		for _, a := range c.result.SetAside {
			got = append(got, a.Stream)
		}
		c.places("set aside", raw, got)
	case "suspects":
		var want []json.RawMessage
		decode(c.t, raw, &want)
		if len(want) != len(c.result.Suspects) {
			c.t.Fatalf("suspects = %v; %s gives %s", c.result.Suspects, c.source, raw)
		}
		for i := range want {
			c.places("suspects", want[i], slices.Sorted(slices.Values(c.result.Suspects[i])))
		}
	case "most_lacking":
		most := 0.0
		for _, b := range r.Balances {
			most = max(most, math.Abs(b.Lacks))
		}
		c.near("largest lack of a balance", most, parsed(c.t, raw))
	case "sum_sd":
		var all []Term
		for i := range c.p.Streams {
			all = append(all, Term{i, 1})
		}
		_, sd := r.Sum(all...)
		c.near("standard error of the sum", sd, parsed(c.t, raw))
	default:
		c.t.Errorf("the table asks for %q, which no check knows", key)
	}
}

func (c check) largestZ() int {
	top := -1
	for i, e := range c.plain.Estimates {
		if !math.IsNaN(e.Z) && (top < 0 || math.Abs(e.Z) > math.Abs(c.plain.Estimates[top].Z)) {
			top = i
		}
	}
	return top
}

func (c check) standing(s Standing) (places []int) {
	for i, e := range c.plain.Estimates {
		if e.Standing == s {
			places = append(places, i)
		}
	}
	return places
}

func decode(t *testing.T, raw json.RawMessage, into any) {
	t.Helper()
	if err := json.Unmarshal(raw, into); err != nil {
		t.Fatalf("%s: %v", raw, err)
	}
}

func parsed(t *testing.T, raw json.RawMessage) float64 {
	t.Helper()
	return number(t, string(raw))
}

func TestPublished(t *testing.T) {
	problems := map[string]published{}
	held := 0
	for _, row := range table(t, "reconcile.csv") {
		if row["left_out"] != "" {
			continue // the table says why
		}
		held++
		t.Run(row["id"], func(t *testing.T) {
			var data published
			decode(t, json.RawMessage(row["problem"]), &data)
			if data.SameAs != "" {
				data = problems[data.SameAs]
			}
			problems[row["id"]] = data
			c := check{t: t, p: data.problem(), tol: number(t, row["tolerance"]), source: row["source"]}
			var err error
			if c.plain, err = Solve(c.p); err != nil {
				t.Fatal(err)
			}
			if c.result, err = Reconcile(c.p); err != nil {
				t.Fatal(err)
			}
			var want map[string]json.RawMessage
			decode(t, json.RawMessage(row["want"]), &want)
			for key, raw := range want {
				c.hold(key, raw)
			}
		})
	}
	if held < 60 {
		t.Errorf("%d rows were held against the code, want at least 60", held)
	}
}

func TestLimits(t *testing.T) {
	for _, row := range table(t, "limits.csv") {
		if row["left_out"] != "" {
			continue
		}
		n, level := int(number(t, row["n"])), number(t, row["level"])
		got := sidak(level, n)
		switch row["kind"] {
		case "chi-square":
			got = chiLimit(level, n)
		case "share below": // of the distribution, at what stands under level
			r := Result{DF: n, ChiSquare: level}
			got = 1 - r.P()
		}
		if want, tol := number(t, row["want"]), number(t, row["tolerance"]); math.Abs(got-want) > tol {
			t.Errorf("%s: %s of %d at %g = %.5f; %s gives %g ± %g", row["id"], row["kind"], n, level, got, row["source"], want, tol)
		}
	}
}
