package intake

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"

	"github.com/go-json-experiment/json/jsontext"

	"tankside/events"
)

// JSONLines reads entries, one JSON object a line, in the form in which a log
// stores and exports them. What only that log could say (n, node, recorded, prev)
// stays readable in the draft's source. An entry without an id gets one from its
// content, and the options' mode and recorder where it says none. An entry of another
// incident than the one asked for is a fault; when none is asked for, each entry's own
// incident stands.
//
// The error is one of reading; what is wrong in the lines is in the result.
func JSONLines(r io.Reader, o Options) (Result, error) {
	data, err := slurp(r)
	if err != nil {
		return Result{}, err
	}
	var res Result
	seen := map[string]int{}
	for line := 1; len(data) > 0; line++ {
		var raw []byte
		raw, data, _ = bytes.Cut(data, []byte("\n"))
		raw = bytes.TrimSpace(raw)
		if len(raw) == 0 {
			continue
		}
		res.Rows++
		d, fault := o.entry(raw, line, seen)
		if fault != nil {
			res.Faults = append(res.Faults, *fault)
			continue
		}
		res.Drafts = append(res.Drafts, d)
	}
	return res, nil
}

// entry makes a draft of one line.
func (o Options) entry(raw []byte, line int, seen map[string]int) (events.Draft, *Fault) {
	fault := func(at int, what string) *Fault {
		return &Fault{Name: o.Name, Line: line, Byte: at, What: what}
	}
	if what := cmp.Or(lengthFault(string(raw)), textFault(string(raw))); what != "" {
		return events.Draft{}, fault(0, what)
	}
	d, err := o.Catalogue.OpenDraft(raw)
	if err != nil {
		return d, fault(byteOf(err), invalid(err)+"; put the line right")
	}
	if d.Incident == "" {
		d.Incident = o.Incident
	}
	if o.Incident != "" && events.IncidentID(d.Incident) != events.IncidentID(o.Incident) {
		return d, fault(0, fmt.Sprintf("the entry is of incident %q, not of %q; name that incident, or take the member \"incident\" out of the line", clip(d.Incident), o.Incident))
	}
	d.Mode, d.RecordedBy = cmp.Or(d.Mode, o.Mode), cmp.Or(d.RecordedBy, o.RecordedBy)
	if d.ID == "" {
		text := string(raw)
		d.ID = events.ContentID(d.Occurred.At, events.IncidentID(d.Incident), text, fmt.Sprint(seen[text]))
		seen[text]++
	}
	d.Source = events.Source{Name: o.Name, Line: line, Raw: string(raw)}
	if err := o.Catalogue.Validate(d); err != nil {
		return d, fault(0, invalid(err)+"; put the line right")
	}
	return d, nil
}

// byteOf returns where in the line the JSON breaks off, 0 when the JSON is whole.
func byteOf(err error) int {
	var syntax *jsontext.SyntacticError
	if errors.As(err, &syntax) {
		return int(syntax.ByteOffset) + 1
	}
	return 0
}
