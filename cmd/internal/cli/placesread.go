package cli

import "fmt"

// placesRead lists what the air of each place averaged, for whoever stands there: over
// the fifteen minutes to now, and over the highest fifteen.
func (b *board) placesRead() {
	g := grid{title: "READ AT THE PLACES, average ppm", heads: []string{"place", "what", "last read", "last 15 min", "highest 15", "from", "15 min limit"}, right: []int{3, 4}}
	for i := range b.s.Exposure {
		e := &b.s.Exposure[i]
		if e.Person != "" {
			continue
		}
		against, from := "-", "-"
		for _, l := range e.Limits {
			if l.Basis == "15 min average" {
				against = fmt.Sprintf("%s %s", l.Outcome, digits(l.Limit.Value))
			}
		}
		if w := e.Rolling15.Window; w != nil {
			from = b.time(w.Start)
		}
		g.add(e.Places[0], e.Substance, b.clock(e.End), value(e.Last15.Hold), value(e.Rolling15.Hold), from, against)
	}
	if len(g.rows) > 0 {
		b.table(g)
	}
}
