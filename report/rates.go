package report

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"tankside/events"
	"tankside/projections"
)

// Rates are what an hour of each unit costs, by a file of the department. None is
// built in: schedules are issued anew, and what may be claimed is for others to say.
type Rates struct {
	rows []rate
}

type rate struct {
	resource           string
	operating, standby float64 // USD an hour; standby below zero where the file has none
	edition            string
}

// rateColumns head the file; each of the first, the second and the last must be filled.
var rateColumns = []string{"resource", "operating_usd_per_h", "standby_usd_per_h", "edition"}

// ReadRates reads a CSV file of rates in USD an hour. Every row names the schedule and
// the edition it is from. The error names the line and what is wrong with it.
func ReadRates(r io.Reader) (*Rates, error) {
	rows, err := csv.NewReader(r).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("report: rates: %w", err)
	}
	if len(rows) == 0 || !slices.Equal(rows[0], rateColumns) {
		return nil, fmt.Errorf("report: rates: the first line must be %s", strings.Join(rateColumns, ","))
	}
	var out Rates
	for i, row := range rows[1:] {
		got, err := readRate(row)
		if err != nil {
			return nil, fmt.Errorf("report: rates: row %d: %w", i+2, err)
		}
		out.rows = append(out.rows, got)
	}
	return &out, nil
}

func readRate(row []string) (r rate, err error) {
	r = rate{resource: strings.TrimSpace(row[0]), standby: -1, edition: strings.TrimSpace(row[3])}
	switch {
	case r.resource == "":
		return r, fmt.Errorf("no resource is named")
	case r.edition == "":
		return r, fmt.Errorf("%s: no edition; name the schedule and its date, so that the figure can be checked", r.resource)
	}
	if r.operating, err = dollars(row[1]); err != nil {
		return r, fmt.Errorf("%s: operating %w", r.resource, err)
	}
	if strings.TrimSpace(row[2]) != "" {
		if r.standby, err = dollars(row[2]); err != nil {
			return r, fmt.Errorf("%s: standby %w", r.resource, err)
		}
	}
	return r, nil
}

func dollars(s string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil || !(v >= 0 && v <= 1e6) {
		return 0, fmt.Errorf("%q is no amount of USD an hour from 0 to 1,000,000", s)
	}
	return v, nil
}

// Bill is the cost record: hours by the log, rates by the department's file.
type Bill struct {
	Rows    []BillRow
	Total   projections.Figure // USD, of what could be worked out
	Lacking []string           // what no amount could be worked out for, and why
}

// BillRow is a unit whose rate is in the file.
type BillRow struct {
	Name             string
	Worked, StoodBy  projections.Figure // min, as told on leaving
	Rate, StandbyAt  projections.Figure // USD/h
	Amount, ForStand projections.Figure // USD
	Edition          string
}

// bill works out what the hours cost; nil without rates.
func (r *Rates) bill(s projections.State) *Bill {
	if r == nil {
		return nil
	}
	b := Bill{Total: projections.Exact(0, "USD", "sum")}
	for _, u := range s.Resources {
		i := slices.IndexFunc(r.rows, func(x rate) bool { return strings.EqualFold(x.resource, u.Name) })
		if i < 0 {
			b.Lacking = append(b.Lacking, u.Name+": no rate in the file")
			continue
		}
		b.add(u, r.rows[i])
	}
	for _, x := range r.rows {
		if !slices.ContainsFunc(s.Resources, func(u projections.Resource) bool { return strings.EqualFold(x.resource, u.Name) }) {
			b.Lacking = append(b.Lacking, x.resource+": in the file of rates, not in the log")
		}
	}
	return &b
}

func (b *Bill) add(u projections.Resource, x rate) {
	row := BillRow{
		Name: u.Name, Worked: u.Worked, StoodBy: u.StoodBy, Edition: x.edition,
		Rate: projections.Exact(x.operating, "USD/h", x.edition), StandbyAt: projections.Lacking("USD/h", "rate"),
		ForStand: projections.Lacking("USD", "standby rate"),
	}
	row.Amount = charged(u.Worked, x.operating)
	if x.standby >= 0 {
		row.StandbyAt = projections.Exact(x.standby, "USD/h", x.edition)
		row.ForStand = charged(u.StoodBy, x.standby)
	}
	if !u.Worked.Known {
		b.Lacking = append(b.Lacking, u.Name+": operating hours not recorded")
	}
	for _, f := range []projections.Figure{row.Amount, row.ForStand} {
		if f.Known {
			b.Total = b.Total.Plus(f)
		}
	}
	b.Rows = append(b.Rows, row)
}

// charged is minutes at so many USD an hour.
func charged(minutes projections.Figure, usd float64) projections.Figure {
	if !minutes.Known {
		return projections.Lacking("USD", "hours")
	}
	f, by := minutes, usd/60
	f.Value, f.Low, f.High, f.U, f.Unit, f.Method = f.Value*by, f.Low*by, f.High*by, f.U*by, "USD", "hours x rate"
	f.From = append([]events.Seq(nil), minutes.From...)
	return f
}
