package intake

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// The columns a table may have, found by name in any order. Only occurred_at and
// event must be there. What stands under any other name is kept in Extra.
const (
	colN        = "n"           // a number of the file's own, for "before #n" and entry=#n
	colOccurred = "occurred_at" // when it happened
	colReported = "reported_at" // when the post was told
	colChannel  = "channel"
	colWho      = "who"
	colEvent    = "event"
	colWhere    = "where"
	colValues   = "values"
	colWords    = "words"
)

var columns = []string{colN, colOccurred, colReported, colChannel, colWho, colEvent, colWhere, colValues, colWords}

// CSV reads a table of entries: a header line, then one entry a row.
//
//	n,occurred_at,reported_at,channel,who,event,where,values,words
//	7,2025-10-14T20:52:00-05:00,2025-10-14T21:19:45-05:00,radio,Foam leader,foam_applied,Ditch,flow=125 gpm; ran=8 min,"on, eight minutes"
//
// occurred_at is a time with its zone, a day, two times with "/" between for
// somewhere between them, "about" and a time, or "before #7" for before the entry
// whose n is 7. reported_at is a time with its zone. values is key=value with ";"
// between; a part without "=" belongs to the value before it, so that a value may
// hold a ";". The entry that a correction, a strike or a join means is "#7" for the row
// whose n is 7, or its id. A channel of "device" makes who the name of the clock that stamped
// the entry.
//
// The error is one of reading; what is wrong in the table is in the result.
func CSV(r io.Reader, o Options) (Result, error) {
	data, err := slurp(r)
	if err != nil {
		return Result{}, err
	}
	t := &table{o: o, data: data, line: 1}
	t.restart()
	if t.header() {
		t.rows()
		t.identify()
	}
	return t.result(), nil
}

// table is a CSV file being read.
type table struct {
	o      Options
	data   []byte // what is left, from where reader began
	line   int    // line of the file at which data begins
	reader *csv.Reader
	names  []string // of the columns, as in the header
	all    []*row
	faults []Fault // of the file as a whole
}

// record is a row as the file has it.
type record struct {
	line  int
	raw   string
	cells []string
}

func (t *table) restart() {
	t.reader = csv.NewReader(bytes.NewReader(t.data))
	t.reader.FieldsPerRecord = -1 // counted here, to say what is wrong in our words
}

// next returns the next row that is not blank; io.EOF after the last. A row that
// cannot be split into cells comes back without cells and with a fault. Reading
// then goes on at the line after the one where that row began, so that a quote
// that is never closed costs its own row and not the rest of the file.
func (t *table) next() (record, *Fault, error) {
	for {
		before := t.reader.InputOffset()
		cells, err := t.reader.Read()
		if err == io.EOF {
			return record{}, nil, io.EOF
		}
		var broken *csv.ParseError
		if errors.As(err, &broken) {
			rec, fault := t.skip(broken)
			return rec, fault, nil
		}
		if blank(cells) {
			continue
		}
		line, _ := t.reader.FieldPos(0)
		raw := string(bytes.Trim(t.data[before:t.reader.InputOffset()], "\r\n"))
		return record{t.line + line - 1, raw, cells}, nil, nil
	}
}

func blank(cells []string) bool {
	return !slices.ContainsFunc(cells, func(s string) bool { return strings.TrimSpace(s) != "" })
}

const quoteWhole = "put the whole value in quotes, and write each quote in it twice"

// skip goes on after the line at which a broken row began.
func (t *table) skip(broken *csv.ParseError) (record, *Fault) {
	for range broken.StartLine - 1 {
		_, t.data, _ = bytes.Cut(t.data, []byte("\n"))
	}
	raw, rest, _ := bytes.Cut(t.data, []byte("\n"))
	line := t.line + broken.StartLine - 1
	t.data, t.line = rest, line+1
	t.restart()
	f := &Fault{Name: t.o.Name, Line: line, What: "a value begins with a quote that is not closed where the value ends; " + quoteWhole}
	if broken.Line == broken.StartLine {
		f.Byte = broken.Column
	}
	if errors.Is(broken, csv.ErrBareQuote) {
		f.What = "a quote stands inside a value; " + quoteWhole
	}
	return record{line: line, raw: string(bytes.TrimRight(raw, "\r"))}, f
}

// header reads the names of the columns and says whether the rows can be read.
func (t *table) header() bool {
	rec, fault, err := t.next()
	if err != nil {
		return t.refuse(1, "the file is empty; its first line must name the columns: "+strings.Join(columns, ","))
	}
	if fault != nil {
		t.faults = append(t.faults, *fault)
		return false
	}
	for _, name := range rec.cells {
		name = strings.TrimSpace(name)
		if what := textFault(name); what != "" {
			return t.refuse(rec.line, what)
		}
		if known := strings.ToLower(name); slices.Contains(columns, known) {
			name = known
		}
		if name != "" && slices.Contains(t.names, name) {
			return t.refuse(rec.line, fmt.Sprintf("the column %q stands twice; give one of them another name", name))
		}
		t.names = append(t.names, name)
	}
	for _, need := range []string{colOccurred, colEvent} {
		if !slices.Contains(t.names, need) {
			return t.refuse(rec.line, fmt.Sprintf("no column is named %q; the first line names the columns, with commas between: %s; it is %q",
				need, strings.Join(columns, ","), clip(rec.raw)))
		}
	}
	return true
}

func (t *table) refuse(line int, what string) bool {
	t.faults = append(t.faults, Fault{Name: t.o.Name, Line: line, What: what})
	return false
}

// rows reads all rows.
func (t *table) rows() {
	for {
		rec, fault, err := t.next()
		if err != nil {
			return
		}
		r := &row{o: t.o, record: rec}
		t.all = append(t.all, r)
		switch {
		case fault != nil:
			r.faults = append(r.faults, *fault)
		case lengthFault(rec.raw) != "":
			r.fault("", "", lengthFault(rec.raw))
		case len(rec.cells) != len(t.names):
			r.fault("", "", fmt.Sprintf("has %d columns, the header has %d; put a value that holds a comma in quotes", len(rec.cells), len(t.names)))
		default:
			r.read(t.names)
		}
	}
}

func (t *table) result() Result {
	res := Result{Rows: len(t.all), Faults: t.faults}
	for _, r := range t.all {
		res.Faults = append(res.Faults, r.faults...)
		if len(r.faults) == 0 {
			res.Drafts = append(res.Drafts, r.draft)
		}
	}
	return res
}
