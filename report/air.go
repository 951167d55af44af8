package report

import (
	"cmp"
	"slices"

	"tankside/events"
	"tankside/projections"
)

// AirRow is what was read at one time and place, one cell a quantity.
type AirRow struct {
	projections.AirReading // of the first quantity read
	Place                  string
	Cells                  []projections.AirReading // as Document.AirOf; not known where it was not read
}

// setAir turns the series of readings into rows by time, as they are read on paper.
func (d *Document) setAir() {
	for _, s := range d.State.Air {
		if !slices.Contains(d.AirOf, s.Quantity) {
			d.AirOf = append(d.AirOf, s.Quantity)
		}
	}
	type key struct {
		place string
		entry events.Seq
	}
	rows := map[key]*AirRow{}
	for _, s := range d.State.Air {
		for _, r := range s.Readings {
			k := key{s.Place, r.At.From[0]}
			if rows[k] == nil {
				rows[k] = &AirRow{AirReading: r, Place: s.Place, Cells: make([]projections.AirReading, len(d.AirOf))}
				d.AirRows = append(d.AirRows, rows[k])
			}
			rows[k].Cells[slices.Index(d.AirOf, s.Quantity)] = r
		}
	}
	slices.SortStableFunc(d.AirRows, func(a, b *AirRow) int {
		return cmp.Or(a.At.Best.Compare(b.At.Best), cmp.Compare(a.At.From[0], b.At.From[0]))
	})
}
