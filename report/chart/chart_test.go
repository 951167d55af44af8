package chart

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tankside/report/chart/charttest"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

func exactly(v float64) Amount {
	return Amount{Known: true, Value: v, Low: v, High: v, Text: label(v)}
}

func about(v, u float64) Amount {
	return Amount{Known: true, Value: v, Low: v, High: v, U: u, Text: label(v) + " ± " + label(u)}
}

func between(low, v, high, u float64) Amount {
	return Amount{Known: true, Value: v, Low: low, High: high, U: u, Text: label(v) + " ± " + label(u) + " (" + label(low) + " to " + label(high) + ")"}
}

const netGallons = "net gallons at 60 °F"

// hostile are words that try to be more than words.
var hostile = []string{
	`</text><script>alert(1)</script>`, `" onload="x`, "&lt;&#x3c;", "]]><!--", "a\x00b\x1b[2J\x7f\u0085", "\u202eright to left\u2066",
	"\xff\xfe not UTF-8", "שלום 12 עולם", "\uffff\ufffe", strings.Repeat("W", 100_000), strings.Repeat("漢", 300), strings.Repeat("e\u0301", 300), "🛢️🛢️🛢️", "line\nline\r\n\tline",
}

// rows is a waterfall with n steps.
func rows(n int) Waterfall {
	w := Waterfall{ID: "rows", Title: "Where the load went", Scale: netGallons, Start: Step{"load", Whole, about(float64(100*n+7), 20)}, End: Step{"left over", Left, between(-20, 7, 34, 20)}}
	for i := range n {
		w.Steps = append(w.Steps, Step{fmt.Sprintf("leg L%d, C%d to R%d", i+1, i%5+1, i/8+1), Look(i%3 + 1), about(100, 3)})
	}
	return w
}

// at is a moment of the night of the tests, minutes after its beginning.
func at(minutes float64) time.Time {
	return time.Date(2025, 3, 1, 22, 3, 0, 0, time.FixedZone("", -5*3600)).Add(time.Duration(minutes * float64(time.Minute)))
}

// run is a leg whose meter is read at those minutes.
func run(id string, expected float64, readings ...[2]float64) Leg {
	l := Leg{ID: id, Title: "L3: C1 to R2, E10", Lines: []string{"by meter 1,859 gal"}, Unit: "gal", RateUnit: "gal/min"}
	for i, r := range readings {
		p := Point{at(r[0]), r[1]}
		if i > 0 {
			q := l.Points[i-1]
			s := Span{From: q, To: p, Rate: exactly((p.Value - q.Value) / p.At.Sub(q.At).Minutes()), Expected: exactly(expected)}
			switch share := s.Rate.Value / expected; {
			case share < 0:
				s.Flag, s.Word = WentDown, "register went down"
			case share < 0.7:
				s.Flag, s.Word = TooLittle, "too little"
			case share > 1.3:
				s.Flag, s.Word = TooMuch, "too much"
			}
			l.Spans = append(l.Spans, s)
		}
		l.Points = append(l.Points, p)
	}
	return l
}

// crew is n people who go in by turns, with a backup that has a hole, and roll calls.
func crew(n int) Lanes {
	l := Lanes{
		Title: "Who was in", Mark: "roll call",
		Means: map[Fill]string{Solid: "in the hot zone", ToldLate: "in, told late", Named: "backup named", Rest: "rehab", Hole: "nobody named"},
	}
	for i := range n {
		from := float64(20 * i)
		l.Lanes = append(l.Lanes, Lane{Label: fmt.Sprintf("P%dA", i+1), Bars: []Bar{
			{From: at(from), To: at(from + 18)}, {From: at(from + 20), To: at(from + 41), Fill: Rest}, {From: at(from + 60), To: at(from + 74), Fill: ToldLate},
			{From: at(from + 90), To: at(from + 100), Open: i == n-1},
		}})
	}
	l.Lanes = append(l.Lanes,
		Lane{Label: "backup", Apart: true, Bars: []Bar{{From: at(-5), To: at(60), Fill: Named, Word: "pair 4"}, {From: at(60), To: at(74), Fill: Hole}, {From: at(74), To: at(75), Fill: Named, Word: "pair 2"}}},
		Lane{Label: "roll calls", Marks: []time.Time{at(12), at(31), at(32)}},
	)
	return l
}

// ohms is readings of bonds against a limit of 25, the third with none and the second
// with a doubt.
func ohms(values ...float64) Dots {
	d := Dots{
		Title: "Grounds and bonds against their limits", Lines: []string{"by meter E1"}, Unit: "ohm",
		Far: &Line{1e6, "1 megohm: what static alone would allow"},
	}
	for i, v := range values {
		p := Dot{Label: fmt.Sprintf("22:%02d Tank shell to R%d", i, i), Amount: exactly(v), Limit: exactly(25), Stand: Within, Word: "within limit"}
		p.Text += " ohm"
		switch {
		case i == 1:
			p.Low, p.High, p.Stand, p.Word = v/2, v*2, MayBeOver, "may be over"
		case i == 2:
			p.Limit, p.Stand, p.Word = Amount{}, NoLimit, "no limit given"
		case v > 25:
			p.Stand, p.Word = IsOver, "over limit"
		}
		d.Dots = append(d.Dots, p)
	}
	d.Dots = append(d.Dots, Dot{Label: "23:00 Rod G1"})
	return d
}

// hoseEnd is what a hose end read, with a stretch of work before it that nobody read.
func hoseEnd(values ...float64) Levels {
	l := Levels{
		Title: "benzene at R1 hose end", Lines: []string{"highest 15 min 6.64, by straight lines 6.27 ppm"}, Unit: "ppm",
		Limits: []Line{{5, "5 ppm, 15 min"}, {25, "25 ppm, ceiling"}}, Unread: []Stretch{{at(-29), at(-5)}},
		Mean: &Mean{Stretch{at(0), at(15)}, 6.64, "highest 15 min average: 6.64 ppm, 22:03 to 22:18"},
	}
	for i, v := range values {
		until := at(float64(3*i) + 3)
		if i+1 == len(values) {
			until = at(float64(3*i) + 20)
		}
		l.Levels = append(l.Levels, Level{At: at(float64(3 * i)), Until: until, Value: v, Text: label(v) + " ppm", Beyond: v >= 100})
	}
	return l
}

// many is a leg with n readings, some of which do not fit.
func many(n int) Leg {
	var readings [][2]float64
	sum := 0.0
	for i := range n {
		readings = append(readings, [2]float64{float64(5 * i), sum})
		sum += []float64{250, 250, 20, 600, 250, -40, 250}[i%7]
	}
	return run("many", 50, readings...)
}

// strip is the crew with every word worn and a label that takes too much room.
func strip(n int) Lanes {
	l := crew(n)
	l.Worn = true
	l.Lanes[0].Label = "leak uncontrolled, C3 lid under water"
	l.Lanes[0].Bars[0].Word, l.Lanes[0].Bars[1].Word = "2", "21 min"
	l.Lanes = append(l.Lanes, Lane{Label: "R2", Apart: true, Bars: []Bar{
		{From: at(0), To: at(20), Fill: Rest, Word: "ordered"}, {From: at(20), To: at(60), Fill: Hole, Word: "40 min late"}, {From: at(60), To: at(75), Fill: Named, Word: "here"},
	}})
	return l
}

// holds is a tank of every shape, rolled on its side, filled to shares of it.
func holds(shares ...float64) Tank {
	t := Tank{Title: "What is in the tank"}
	for i, v := range shares {
		shape := []string{"circle", "ellipse", "obround", "rounded", "four-arc", ""}[i%6]
		h := Hold{Label: fmt.Sprintf("C%d", i+1), Share: exactly(v), Lines: []string{"E10", label(v*1000) + " ± 2 gal net by dip"}}
		h.Outline = Outline{Shape: shape, Width: 96, Height: 60, Radius: 20, Roll: 30 * float64(i)}
		for j := range i + 1 {
			h.Holes = append(h.Holes, Opening{Word: fmt.Sprintf("C%d-%d", i+1, j), Vapour: j%2 == 0, Closed: j%3 == 0})
		}
		t.Holds = append(t.Holds, h)
	}
	t.Holds = append(t.Holds, Hold{Label: "C9", Lines: []string{"how much is in it: " + Unknown}})
	return t
}

// told is n moments, most of them soon, with a gap in which nothing was told.
func told(n int, apart float64) Pace {
	p := Pace{Title: "How much was told when", What: "entries", Gap: "nothing told for more than 10 min", Gaps: []Stretch{{at(40), at(60)}}}
	for i := range n {
		p.Moments = append(p.Moments, at(apart*float64(i*i)/float64(n)))
	}
	return p
}

// pictures are all that the tests look at.
func pictures() map[string]func(width float64) string {
	out := map[string]func(float64) string{}
	fall := func(name string, w Waterfall) {
		w.ID = name
		out[name] = w.SVG
	}
	leg := func(name string, l Leg) {
		l.ID = name
		out[name] = l.SVG
	}
	lanes := func(name string, l Lanes) {
		l.ID = name
		out[name] = l.SVG
	}
	levels := func(name string, l Levels) {
		l.ID = name
		out[name] = l.SVG
	}
	dots := func(name string, d Dots) {
		d.ID = name
		out[name] = d.SVG
	}
	tank := func(name string, v Tank) {
		v.ID = name
		out[name] = v.SVG
	}
	pace := func(name string, v Pace) {
		v.ID = name
		out[name] = v.SVG
	}
	tank("tank-0", Tank{Title: "What is in the tank"})
	tank("tank-usual", holds(0.01, 0.25, 0.5, 0.75, 1))
	tank("tank-60", holds(slices.Repeat([]float64{0, 0.3, 1.2}, 20)...))
	tank("tank-odd", holds(math.NaN(), math.Inf(1), -1, 1e300))
	odd := holds(0.5, 0.5, 0.5, 0.5, 0.5)
	for i := range odd.Holds {
		odd.Holds[i].Outline = Outline{Shape: odd.Holds[i].Shape, Width: []float64{0, math.NaN(), 1e300, -4, 1}[i%5], Height: 50, Radius: math.Inf(1), Roll: math.Inf(1)}
	}
	tank("tank-odd-shapes", odd)
	pace("pace-0", Pace{Title: "How much was told when", What: "entries"})
	pace("pace-one", told(1, 1))
	pace("pace-usual", told(200, 3))
	pace("pace-days", told(1000, 60))
	pace("pace-years", told(100, 1e5))
	lanes("strip-usual", strip(3))
	lanes("strip-60", strip(60))
	dots("dots-0", Dots{Title: "Grounds and bonds", Unit: "ohm"})
	dots("dots-usual", ohms(38, 14, 0.4, 1850, 0.7))
	dots("dots-one", ohms(1))
	dots("dots-60", ohms(slices.Repeat([]float64{0.001, 2e6, 25}, 20)...))
	dots("dots-odd", ohms(math.Inf(1), 0, -3, math.NaN(), 1e300, 5))
	levels("levels-0", Levels{Title: "benzene at R2 hose end"})
	levels("levels-usual", hoseEnd(4.6, 8.9, 9.6, 7.1, 3, 0.9))
	levels("levels-one", hoseEnd(0))
	levels("levels-beyond", hoseEnd(40, 100, 100, 12))
	levels("levels-odd", hoseEnd(math.Inf(1), 4, math.NaN(), 1e300))
	lanes("lanes-0", Lanes{Title: "Who was in"})
	lanes("lanes-usual", crew(3))
	lanes("lanes-60", crew(60))
	lanes("lanes-days", Lanes{Title: "Who was in", Lanes: []Lane{{Label: "P1A", Bars: []Bar{{From: at(0), To: at(6000)}}}}})
	lanes("lanes-moment", Lanes{Title: "Who was in", Lanes: []Lane{{Label: "roll calls", Marks: []time.Time{at(0)}}}})
	fall("fall-0", rows(0))
	fall("fall-1", rows(1))
	fall("fall-60", rows(60))
	fall("fall-nothing", Waterfall{Title: "Where the load went", Scale: netGallons, Start: Step{Label: "load"}, End: Step{Label: "left over"}})
	fall("fall-usual", Waterfall{
		Title: "Where the load went", Scale: netGallons, Start: Step{"load", Whole, about(8636, 21)},
		Steps: []Step{
			{"leg L1, C4 to R1", Moved, about(1006.2, 1.7)}, {"leg L2, C5 to R1", Moved, about(2454.8, 4.2)}, {"leg L3, C1 to R2", Moved, about(2443.3, 9.3)},
			{"leg L4, C2 to R2", Moved, about(1368.1, 6.8)}, {"leg L5, C3 to R3A", Moved, about(932.8, 4.4)}, {"dip", Lies, about(95, 4.5)},
		}, End: Step{"left over", Left, between(236, 336, 435, 23)},
	})
	fall("fall-below", Waterfall{
		Title: "What was left over", Scale: netGallons, Start: Step{"left over", Whole, between(236, 336, 435, 23)},
		Steps: []Step{{"let out, C4", Lost, between(220, 474, 500, 52)}, {"let out, C5", Lost, about(40.2, 7.2)}, {"let out, C1", Lost, exactly(4)}, {"soil", Lost, Amount{}}},
		End:   Step{"unaccounted for", Left, between(-409, -182, 76, 58)},
	})
	fall("fall-load-unknown", Waterfall{
		Title: "Where the load went", Scale: netGallons, Start: Step{"load", Whole, Amount{}},
		Steps: []Step{{"leg L1, C4 to R1", Moved, about(1006.2, 1.7)}, {"let out", Lost, Amount{Text: "not computable"}}},
		End:   Step{"left over", Left, Amount{Text: "not computable"}},
	})
	fall("fall-beyond", Waterfall{Title: "Beyond", Scale: netGallons, Start: Step{"load", Whole, Amount{Known: true, Value: math.Inf(1), Text: "∞"}}, Steps: []Step{{"leg", Moved, Amount{Known: true, Value: math.NaN()}}, {"leg", Moved, exactly(1e300)}}, End: Step{"left over", Left, Amount{Known: true, Low: math.Inf(-1), High: math.Inf(1), Text: "about 0"}}})
	leg("leg-skips", run("", 52.4, [2]float64{0, 0}, [2]float64{10, 524}, [2]float64{17, 577}, [2]float64{25, 706}, [2]float64{35, 1230}, [2]float64{47, 1859}))
	leg("leg-sound", run("", 48.9, [2]float64{0, 0}, [2]float64{12, 587}, [2]float64{28, 1370}))
	leg("leg-0", run("", 50))
	leg("leg-1", run("", 50, [2]float64{0, 12345}))
	leg("leg-60", many(60))
	leg("leg-still", run("", 50, [2]float64{0, 0}, [2]float64{0, 0}))
	leg("leg-days", run("", 1, [2]float64{0, 0}, [2]float64{1440, 1400}, [2]float64{4000, 4000}))
	held := run("", 50, [2]float64{0, 0}, [2]float64{20, 500}, [2]float64{30, 1000})
	held.Held = []Stretch{{at(5), at(15)}}
	leg("leg-held", held)
	beyond := run("", 50, [2]float64{0, 0}, [2]float64{5, math.NaN()}, [2]float64{6, math.Inf(1)}, [2]float64{7, 300})
	leg("leg-beyond", beyond)
	for i, s := range hostile {
		w := rows(2)
		w.Title, w.Scale, w.Steps[0].Label, w.Steps[0].Text, w.End.Text = s, s, s, s, s
		fall(fmt.Sprintf("fall-hostile-%d", i), w)
		c := crew(2)
		c.Title, c.Lanes[0].Label, c.Lanes[0].Bars[0].Word, c.Lanes[2].Bars[0].Word, c.Mark = s, s, s, s, s
		lanes(fmt.Sprintf("lanes-hostile-%d", i), c)
		k := holds(0.5)
		k.Title, k.Holds[0].Label, k.Holds[0].Lines, k.Holds[0].Holes[0].Word = s, s, []string{s}, s
		tank(fmt.Sprintf("tank-hostile-%d", i), k)
		q := told(9, 5)
		q.Title, q.What, q.Gap = s, s, s
		pace(fmt.Sprintf("pace-hostile-%d", i), q)
		l := many(4)
		l.Title, l.Lines, l.Unit, l.Spans[1].Word = s, []string{s}, "gal", s
		leg(fmt.Sprintf("leg-hostile-%d", i), l)
		v := hoseEnd(4, 9)
		v.Title, v.Lines, v.Unit, v.Limits[0].Word, v.Limits[1].Word, v.Mean.Word, v.Levels[0].Text = s, []string{s}, "ppm", s, s, s, s
		levels(fmt.Sprintf("levels-hostile-%d", i), v)
		o := ohms(4, 90)
		o.Title, o.Lines, o.Dots[0].Label, o.Dots[0].Text, o.Dots[1].Word, o.Far.Word = s, []string{s}, s, s, s, s
		dots(fmt.Sprintf("dots-hostile-%d", i), o)
	}
	return out
}

// TestLegible looks at every picture at both widths: well formed, words inside the
// frame and clear of each other, names given once, and said in words.
func TestLegible(t *testing.T) {
	for name, svg := range pictures() {
		for _, width := range []float64{Narrow, 340, Wide} {
			t.Run(fmt.Sprintf("%s-%g", name, width), func(t *testing.T) {
				d := charttest.Read(t, svg(width), Breadth)
				if d.Role != "img" || strings.TrimSpace(d.Said) == "" {
					t.Errorf("role %q, said %q: want an image that is said in words", d.Role, d.Said)
				}
				for id, n := range d.IDs {
					if n != 1 || !strings.HasPrefix(id, name+"-") {
						t.Errorf("id %q is given %d times, want once and with the name of the picture", id, n)
					}
				}
				for _, ref := range d.Refs {
					if d.IDs[ref] == 0 {
						t.Errorf("leads to %q, which is not there", ref)
					}
				}
				charttest.Clear(t, d)
			})
		}
	}
}

// TestClearBites shows that the check above sees what it looks for.
func TestClearBites(t *testing.T) {
	for _, tt := range []struct {
		name  string
		texts []charttest.Text
	}{
		{"overlap", []charttest.Text{{Words: "a", X1: 0, Y1: 0, X2: 10, Y2: 10}, {Words: "b", X1: 5, Y1: 5, X2: 15, Y2: 15}}},
		{"left", []charttest.Text{{Words: "a", X1: -3, Y1: 0, X2: 10, Y2: 10}}},
		{"right", []charttest.Text{{Words: "a", X1: 95, Y1: 0, X2: 110, Y2: 10}}},
		{"below", []charttest.Text{{Words: "a", X1: 0, Y1: 95, X2: 10, Y2: 103}}},
	} {
		var probe testing.T
		charttest.Clear(&probe, charttest.Picture{Width: 100, Height: 100, Texts: tt.texts})
		if !probe.Failed() {
			t.Errorf("%s: not seen", tt.name)
		}
	}
}

// TestHostileWords wants the same elements whatever the words are, and nothing but
// words from them.
func TestHostileWords(t *testing.T) {
	for i, s := range hostile {
		w := rows(2)
		w.Steps[0].Label, w.Steps[0].Text = "plain", "plain"
		plain := charttest.Read(t, w.SVG(Narrow), Breadth)
		w.Steps[0].Label, w.Steps[0].Text = s, "plain"
		got := charttest.Read(t, w.SVG(Narrow), Breadth)
		if strings.Join(got.Names, " ") != strings.Join(plain.Names, " ") {
			t.Errorf("%d: %.40q changes the elements to %v", i, s, got.Names)
		}
		if i == 0 && !strings.Contains(got.Said, s) {
			t.Errorf("%q is not said: %q", s, got.Said)
		}
	}
}

// TestGolden holds the pictures to those kept, byte for byte.
func TestGolden(t *testing.T) {
	all := pictures()
	for _, name := range []string{"fall-usual", "fall-below", "fall-load-unknown", "fall-nothing", "leg-skips", "leg-sound", "leg-held", "leg-days", "leg-0", "lanes-usual", "lanes-0", "levels-usual", "levels-beyond", "levels-0", "dots-usual", "dots-0", "strip-usual", "tank-usual", "tank-0", "pace-usual", "pace-0"} {
		for _, width := range []float64{Narrow, Wide} {
			file := filepath.Join("..", "..", "testdata", "golden", "chart", fmt.Sprintf("%s-%g.svg", name, width))
			got := all[name](width)
			if again := pictures()[name](width); again != got {
				t.Errorf("%s differs when drawn a second time", file)
			}
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatalf("%v; write it with go test ./report/chart -update", err)
			}
			if got != string(want) {
				t.Errorf("%s has changed; look at it, then write it anew with go test ./report/chart -update", file)
			}
		}
	}
}
