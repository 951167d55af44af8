package report

import (
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tankside/events"
	"tankside/events/kinds"
	"tankside/events/quantity"
	"tankside/projections"
)

// pictured are the two demonstration incidents with what their pictures must show.
var pictured = []struct {
	file, name string
	legs       int // with two readings of a meter or more
	air        int // places with two readings or more of what has a limit
	strips     int // of foam
	words      []string
}{
	{"quarry-bend.csv", "Quarry Bend", 5, 4, 1, []string{"1,850 Ω, over limit", "16 min past 23:34 to 23:50", "benzene at R1 hose end", "5 ppm, 15 min", "10 %, ordered", "leg L3, C1 to R2", "2,443.3 ± 9.3", "336 ± 23 (236 to 435)", "released, C4", "15 ± 58 (−109 to 176)", "too little"}},
	{"harrow-mill.csv", "Harrow Mill", 2, 0, 0, []string{"240 Ω, over limit", "delivered before", "leg L2, C2 to R1B", "535.6 ± 2.5", "not computable; at least 2.34"}},
}

// TestPictures looks for the pictures on the page, and for the numbers in them in the
// Markdown, which has no picture.
func TestPictures(t *testing.T) {
	for _, tt := range pictured {
		d := built(incident(t, tt.file, tt.name), events.View{})
		page, md := htmlOf(t, d), markdownOf(t, d)
		if got, want := strings.Count(page, "<svg "), 2*(len(d.Falls)+5+tt.strips)+tt.legs+tt.air; got != want || len(d.Falls) != 4 {
			t.Errorf("%s: the page has %d pictures, %d of them falls, want %d and 4: all, what is left, and each product", tt.name, got, len(d.Falls), want)
		}
		if strings.Contains(page, "raw HTML omitted") || strings.Contains(md, "<svg") {
			t.Errorf("%s: a place for a picture was left over, or a picture stands in the Markdown", tt.name)
		}
		var drawn strings.Builder
		for _, svg := range d.pictures() {
			drawn.WriteString(svg)
		}
		for _, w := range tt.words {
			if !strings.Contains(drawn.String(), ">"+w+"<") {
				t.Errorf("%s: no picture says %q", tt.name, w)
			}
		}
		said := strings.ReplaceAll(md, " gal net", "") // a picture names its unit once
		for _, f := range d.Falls {
			for _, s := range f.Steps {
				if text := amount(s.Figure, false).Text; s.Figure.Known && !strings.Contains(said, text) {
					t.Errorf("%s: the picture says %q of %s, the Markdown does not", tt.name, text, s.Name)
				}
			}
		}
	}
}

// TestFallsAddUp holds the steps to the ends of their falls.
func TestFallsAddUp(t *testing.T) {
	for _, f := range built(incident(t, "quarry-bend.csv", "Quarry Bend"), events.View{}).Falls {
		at := f.Steps[0].Figure.Value
		last := f.Steps[len(f.Steps)-1]
		for _, s := range f.Steps[1 : len(f.Steps)-1] {
			at -= s.Figure.Value
		}
		if math.Abs(at-last.Figure.Value) > 0.05 {
			t.Errorf("%s: the steps come to %g, the end is %g", f.Title, at, last.Figure.Value)
		}
	}
}

// TestPartsThatDoNotAddUp wants the whole where the parts are not all of it.
func TestPartsThatDoNotAddUp(t *testing.T) {
	whole := FallStep{Name: "transferred", Less: true, Figure: projections.Exact(10, "gal", "")}
	of := func(f projections.Figure) part { return part{"transferred", "leg", f} }
	for _, tt := range []struct {
		name  string
		parts []part
		want  int
	}{
		{"all", []part{of(projections.Exact(4, "gal", "")), of(projections.Exact(6, "gal", ""))}, 2},
		{"none", nil, 1},
		{"too little", []part{of(projections.Exact(4, "gal", "")), of(projections.Exact(5, "gal", ""))}, 1},
		{"another unit", []part{of(projections.Exact(4, "gal", "")), of(projections.Exact(6, "gal at 60 F", ""))}, 1},
		{"one unknown", []part{of(projections.Exact(10, "gal", "")), of(projections.Lacking("gal", "a reading"))}, 1},
		{"of another term", []part{{"released", "leg", projections.Exact(10, "gal", "")}}, 1},
	} {
		if got := whole.apart(tt.parts); len(got) != tt.want {
			t.Errorf("%s: got %d steps, want %d", tt.name, len(got), tt.want)
		}
	}
}

// metered is a log of one leg whose words are s, with three readings of its meter.
func metered(s string) []events.Draft {
	gal := func(v float64) quantity.Amount[quantity.Gallons] { return quantity.Of(quantity.Gallons(v)) }
	return []events.Draft{
		said(0, "C1 to "+s, s, kinds.PumpOn{Leg: s, From: "C1", To: s, Product: s, Start: gal(0)}),
		said(10, "C1 to "+s, s, kinds.MeterRead{Leg: s, Reads: gal(500)}),
		said(20, "C1 to "+s, s, kinds.MeterRead{Leg: s, Reads: gal(1000)}),
	}
}

// shapes are the elements of a page without the lines and words of its pictures, whose
// number depends on how broad the words beside them are.
func (p *parsed) shapes() []string {
	return slices.DeleteFunc(slices.Clone(p.tags), func(tag string) bool { return tag == "line" || tag == "text" })
}

// TestHostileWordsInPictures puts awkward words where a picture shows them, and wants
// the page of a plain word; a place for a picture that somebody said gets none.
func TestHostileWordsInPictures(t *testing.T) {
	plain := readPage(t, htmlOf(t, built(sealed(t, metered("plain")), events.View{})))
	if n := strings.Count(strings.Join(plain.tags, " "), "svg"); n == 0 {
		t.Fatal("the leg has no picture")
	}
	for _, s := range append([]string{"<!-- picture legs -->", "</title></svg><script>"}, nasty...) {
		s = strings.ToValidUTF8(s, "?")
		drafts := metered("a" + s + "z")
		if slices.ContainsFunc(drafts, func(d events.Draft) bool { return kinds.Catalogue().Validate(d) != nil }) {
			continue
		}
		p := readPage(t, htmlOf(t, built(sealed(t, drafts), events.View{})))
		p.resolve(t)
		if got, want := p.shapes(), plain.shapes(); !slices.Equal(got, want) {
			t.Errorf("%.60q makes %d elements of the %d of the page of a plain word, or others", s, len(got), len(want))
		}
	}
}

var (
	writtenIn = regexp.MustCompile(`>([^<]*)</text>`)
	customary = regexp.MustCompile(`\b(gal|gallons|gpm|psi)\b`)
)

// TestPicturesInMetric wants no picture of a report in SI to name a unit that its numbers
// are not in.
func TestPicturesInMetric(t *testing.T) {
	for _, tt := range pictured {
		c := kinds.Catalogue()
		tl := c.NewTimeline(incident(t, tt.file, tt.name), events.View{})
		inc := projections.Fold(c, tl)
		for _, units := range []Units{US, SI} {
			d, err := BuildAs(c, inc, tl, made, Options{Units: units})
			if err != nil {
				t.Fatal(err)
			}
			found := ""
			for _, svg := range d.pictures() {
				for _, m := range writtenIn.FindAllStringSubmatch(svg, -1) {
					if customary.MatchString(m[1]) {
						found = m[1]
					}
				}
			}
			if (found == "") != (units == SI) {
				t.Errorf("%s in %s: a picture says %q", tt.name, units, found)
			}
		}
	}
}

// TestNothingToDraw wants no picture of nothing.
func TestNothingToDraw(t *testing.T) {
	if page := htmlOf(t, built(nil, events.View{})); strings.Contains(page, "<svg") {
		t.Error("an empty log has a picture")
	}
}
