package report

import (
	"regexp"
	"strings"
	"testing"

	"tankside/events"
	"tankside/report/chart"
	"tankside/report/chart/charttest"
)

var svgElement = regexp.MustCompile(`(?s)<svg .*?</svg>`)

// TestDrawn looks at every picture of the demonstrations, of a log of one entry, of one
// that runs over a day, of one with fifty compartments and of one of 10,000 entries: no word is cut off or stands on
// another, every picture says what it shows, and no id is given twice in a page.
func TestDrawn(t *testing.T) {
	quarry := incident(t, "quarry-bend.csv", "Quarry Bend")
	for _, tt := range []struct {
		name string
		log  []events.Recorded
		most int // elements in any one picture
		want int // pictures at least
	}{
		{"Quarry Bend", quarry, 1000, 20},
		{"Harrow Mill", incident(t, "harrow-mill.csv", "Harrow Mill"), 1000, 10},
		{"one entry", quarry[:1], 0, 0},
		{"one day", repeated(t, 2*len(quarry)), 2000, 20},
		{"ten tanks", tenfold(t, "quarry-bend.csv", "Quarry Bend"), 3000, 60},
		{"10,000 entries", repeated(t, 10_000), 60_000, 20},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := built(tt.log, events.View{})
			pictures, ids := 0, map[string]bool{}
			for _, html := range d.pictures() {
				for _, svg := range svgElement.FindAllString(html, -1) {
					pictures++
					p := charttest.Read(t, svg, chart.Breadth)
					charttest.Clear(t, p)
					if p.Role != "img" || strings.TrimSpace(p.Said) == "" || len(p.Names) > tt.most {
						t.Errorf("role %q, said %.40q, %d elements: want an image that is said in words and at most %d", p.Role, p.Said, len(p.Names), tt.most)
					}
					for id := range p.IDs {
						if ids[id] {
							t.Errorf("id %q is given twice in the page", id)
						}
						ids[id] = true
					}
				}
			}
			if pictures < tt.want {
				t.Errorf("%d pictures, want %d at least", pictures, tt.want)
			}
		})
	}
}
