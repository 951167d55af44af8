package report

import (
	"fmt"
)

// Picture is a picture of the report for a page beside it.
type Picture struct {
	Name string // load, left, crew, or leg and its number
	SVG  string
}

// Product returns the pictures of the product, so many px wide: where the load went,
// what is left over, and below them each leg against the clock.
func (d *Document) Product(width float64) (out []Picture) {
	for i := range d.Falls {
		w := d.Falls[i].picture()
		w.ID = "screen-" + d.Falls[i].Name
		out = append(out, Picture{d.Falls[i].Name, w.SVG(width)})
	}
	for i := range d.State.Volume.Legs {
		if l := &d.State.Volume.Legs[i]; len(l.Readings) > 1 {
			c := d.leg(l)
			c.ID = fmt.Sprintf("screen-leg-%d", i+1)
			out = append(out, Picture{fmt.Sprintf("leg %d", i+1), c.SVG(legWidth)})
		}
	}
	return out
}

// People returns the picture of who was in against the clock, with the backup beneath;
// none while nobody has gone in.
func (d *Document) People(width float64) []Picture {
	l, ok := d.crew()
	if !ok {
		return nil
	}
	l.ID = "screen-crew"
	return []Picture{{"crew", l.SVG(width)}}
}
