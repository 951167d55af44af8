package report

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"time"

	"tankside/events"
	"tankside/projections"
)

// Table is one file of the set of tables.
type Table struct {
	Name string // of the file
	CSV  []byte // RFC 4180, UTF-8
}

// Tables writes the report's material for a spreadsheet: every entry, and of their own
// the trips into the hot zone, the legs of the transfer, the air and the costs. A text
// that a spreadsheet would take for a formula has an apostrophe before it. An unknown
// number is an empty cell, never zero.
func Tables(cat *events.Catalogue, tl *events.Timeline, s projections.State) []Table {
	return []Table{eventTable(cat, tl), tripTable(s), legTable(s), airTable(s), costTable(s)}
}

// sheetOf gathers rows, the first of which names the columns.
type sheetOf struct{ rows [][]string }

func (t *sheetOf) add(cells ...string) { t.rows = append(t.rows, cells) }

func (t *sheetOf) table(name string) Table {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	_ = w.WriteAll(t.rows) // into memory
	return Table{name, b.Bytes()}
}

// cell is a text that no spreadsheet runs.
func cell(text string) string {
	text = strings.ReplaceAll(text, "\x00", "␀")
	if text != "" && strings.ContainsAny(text[:1], "=+-@\t\r\n") {
		return "'" + text
	}
	return text
}

// plainNumber is a number without its unit, "" where it is not known.
func plainNumber(f projections.Figure) string {
	if !f.Known {
		return ""
	}
	return strconv.FormatFloat(f.Value, 'f', -1, 64)
}

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.RFC3339)
}

// cited lists entries by number.
func cited(from []events.Seq) string {
	var out []string
	for _, n := range from {
		out = append(out, strconv.FormatUint(uint64(n), 10))
	}
	return strings.Join(out, " ")
}

func eventTable(cat *events.Catalogue, tl *events.Timeline) Table {
	var t sheetOf
	t.add("node", "n", "id", "happened", "told", "recorded", "kind", "where", "by", "channel", "line", "words", "counts")
	for _, e := range tl.Entries {
		counts := "yes"
		if e.Struck != nil {
			counts = "struck"
		} else if e.Joined != nil {
			counts = "second witness"
		}
		t.add(cell(e.Node), strconv.FormatUint(uint64(e.Seq), 10), string(e.ID), stamp(e.Time()), stamp(e.Reported), stamp(e.RecordedAt),
			cell(string(e.Payload.Kind())), cell(e.Where), cell(e.ObservedBy), cell(string(e.Channel)), cell(cat.Line(e.Payload)), cell(e.Words), counts)
	}
	return t.table("events.csv")
}

func tripTable(s projections.State) Table {
	var t sheetOf
	t.add("person", "in", "out", "minutes", "task", "from entries")
	for _, p := range s.People {
		for _, trip := range p.Trips {
			t.add(cell(p.Person), stamp(trip.Start.Best), stamp(trip.End.Best), plainNumber(trip.Minutes), cell(trip.Task), cited(trip.Minutes.From))
		}
	}
	return t.table("entries.csv")
}

func legTable(s projections.State) Table {
	var t sheetOf
	t.add("leg", "from", "to", "compartment", "start", "stop", "gal_gross", "gal_net_at_60F", "from entries")
	for _, l := range s.Volume.Legs {
		t.add(cell(l.ID), cell(l.From), cell(l.To), cell(l.Compartment), stamp(l.Start.Best), stamp(l.Stop.Best), plainNumber(l.Gross.Figure), plainNumber(l.Net.Figure), cited(l.Gross.From))
	}
	return t.table("transfers.csv")
}

func airTable(s projections.State) Table {
	var t sheetOf
	t.add("place", "quantity", "at", "value", "unit", "instrument", "limit", "from entries")
	for _, series := range s.Air {
		for _, r := range series.Readings {
			limit := ""
			if r.Limit != nil {
				limit = plainNumber(*r.Limit)
			}
			t.add(cell(series.Place), cell(series.Quantity), stamp(r.At.Best), plainNumber(r.Value), r.Value.Unit, cell(r.Instrument), limit, cited(r.Value.From))
		}
	}
	return t.table("air.csv")
}

func costTable(s projections.State) Table {
	var t sheetOf
	t.add("at", "category", "item", "quantity", "unit", "minutes", "rate", "amount", "agency", "invoice", "from entries")
	for _, c := range s.Costs {
		t.add(stamp(c.At.Best), cell(c.Category), cell(c.Item), plainNumber(c.Quantity), cell(c.Quantity.Unit), plainNumber(c.Hours), plainNumber(c.Rate),
			plainNumber(c.Amount), cell(c.Agency), cell(c.Invoice), cited(c.At.From))
	}
	return t.table("costs.csv")
}
