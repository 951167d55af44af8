package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"tankside/projections"
	"tankside/report/chart"
)

// ExposedRow is what a place or a person had to breathe, as a line of a table.
type ExposedRow struct {
	projections.Exposed
	Straight projections.Figure // the 15 min average by straight lines, without the bounds it shares
	Short    string             // what can be said of it, and of what limit; "" where there is none
	Past     bool               // it is over
	Times    string             // how often the person was there, where it was more than once
	Shift    string             // the same of the 8 h average
}

// Unsampled is who was at work where nobody read a substance.
type Unsampled struct {
	Substance string
	Who       []string
}

// LimitRow is a limit that was held against.
type LimitRow struct {
	Substance string
	projections.HeldAgainst
}

// ExposureTables are the tables of what there was to breathe.
type ExposureTables struct {
	Places  []ExposedRow
	People  []ExposedRow // with a reading where they were
	Without []Unsampled
	Limits  []LimitRow
	Flags   []string
}

// setExposure sorts what there was to breathe into tables.
func (d *Document) setExposure() {
	t := &d.Exposure
	for _, x := range d.State.Exposure {
		for _, l := range x.Limits {
			known := func(r LimitRow) bool { return r.Substance == x.Substance && r.Basis == l.Basis }
			if !slices.ContainsFunc(t.Limits, known) {
				t.Limits = append(t.Limits, LimitRow{x.Substance, l})
			}
		}
		for _, f := range x.Flags {
			if !strings.HasPrefix(f, "not recorded") && !slices.Contains(t.Flags, x.Substance+": "+f) {
				t.Flags = append(t.Flags, x.Substance+": "+f)
			}
		}
		switch row := exposedRow(x); {
		case x.Person == "":
			t.Places = append(t.Places, row)
		case x.Readings > 0:
			t.People = append(t.People, row)
		case x.Unread.Value > 0:
			t.without(x)
		}
	}
	slices.SortStableFunc(t.Limits, func(a, b LimitRow) int { return cmp.Compare(a.Substance, b.Substance) })
}

func exposedRow(x projections.Exposed) ExposedRow {
	r := ExposedRow{Exposed: x, Straight: x.Rolling15.Straight}
	r.Straight.Low, r.Straight.High = r.Straight.Value, r.Straight.Value
	if n := len(x.Stays); n > 1 {
		r.Times = fmt.Sprintf("%d times", n)
	}
	for _, l := range x.Limits {
		switch l.Basis {
		case "15 min average":
			r.Short, r.Past = l.Outcome+" "+digits(l.Limit.Value), l.Outcome == "over"
		case "8 h average":
			r.Shift = l.Outcome + " " + digits(l.Limit.Value)
		}
	}
	return r
}

// without adds somebody to those nobody read a substance for.
func (t *ExposureTables) without(x projections.Exposed) {
	i := slices.IndexFunc(t.Without, func(u Unsampled) bool { return u.Substance == x.Substance })
	if i < 0 {
		t.Without, i = append(t.Without, Unsampled{Substance: x.Substance}), len(t.Without)
	}
	t.Without[i].Who = append(t.Without[i].Who, fmt.Sprintf("%s %s min", x.Person, digits(x.Unread.Value)))
}

// levels are the pictures of the air of each place where something with a limit was
// read more than once.
func (d *Document) levels() (out []chart.Levels) {
	for i := range d.State.Air {
		s := &d.State.Air[i]
		if len(s.Readings) < 2 {
			continue
		}
		l := chart.Levels{Title: shown(s.Quantity + " at " + s.Place), Unit: s.Max.Unit, Limits: d.lines(s)}
		if s.Quantity == "LEL" {
			l.Unit = "% of LEL"
		}
		if len(l.Limits) == 0 {
			continue
		}
		d.steps(&l, s)
		for _, u := range s.Unread {
			l.Unread = append(l.Unread, chart.Stretch{From: d.local(u.Start), To: d.local(u.End)})
		}
		if x := d.placeExposed(s); x != nil && x.Rolling15.Window != nil {
			w := x.Rolling15.Window
			from, to := d.local(w.Start), d.local(w.End)
			l.Mean = &chart.Mean{
				Stretch: chart.Stretch{From: from, To: to}, Value: x.Rolling15.Hold.Value,
				Word: fmt.Sprintf("highest 15 min average, %s to %s: %s ppm, by straight lines %s", from.Format("15:04"), to.Format("15:04"), digits(x.Rolling15.Hold.Value), digits(x.Rolling15.Straight.Value)),
			}
		}
		out = append(out, l)
	}
	return out
}

// steps are the readings, each as far as it speaks.
func (d *Document) steps(l *chart.Levels, s *projections.AirSeries) {
	for i, r := range s.Readings {
		until := r.At.Best.Add(time.Duration(s.Speaks * float64(time.Minute)))
		if i+1 < len(s.Readings) && s.Readings[i+1].At.Best.Before(until) {
			until = s.Readings[i+1].At.Best
		}
		l.Levels = append(l.Levels, chart.Level{
			At: d.local(r.At.Best), Until: d.local(until), Value: r.Value.Value, Text: figureWords(r.Value), Beyond: r.Value.Method == "past the end of the scale",
		})
	}
}

// lines are the limits of a series: the published ones of a substance, the action
// levels that were ordered.
func (d *Document) lines(s *projections.AirSeries) (out []chart.Line) {
	if x := d.placeExposed(s); x != nil {
		for _, l := range x.Limits {
			out = append(out, chart.Line{Value: l.Limit.Value, Word: digits(l.Limit.Value) + " ppm, " + strings.TrimSuffix(l.Basis, " average")})
		}
	}
	for _, r := range s.Readings {
		if r.Limit == nil {
			continue
		}
		line := chart.Line{Value: r.Limit.Value, Word: digits(r.Limit.Value) + " " + r.Limit.Unit + ", ordered"}
		if !slices.Contains(out, line) {
			out = append(out, line)
		}
	}
	return out
}

// placeExposed is what there was to breathe at the place of a series, nil where its
// quantity has no published limit.
func (d *Document) placeExposed(s *projections.AirSeries) *projections.Exposed {
	for i := range d.State.Exposure {
		x := &d.State.Exposure[i]
		same := x.Substance == s.Quantity || s.Quantity == "VOC" && x.Substance == "gasoline"
		if x.Person == "" && same && x.Places[0] == s.Place {
			return x
		}
	}
	return nil
}
